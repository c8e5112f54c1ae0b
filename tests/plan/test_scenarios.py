"""Given this van, what an expert fitter would expect of the plan: what is in it, what not, when.

All of it is common practice, no source. The vans are invented: demo jobs made otherwise.
"""

from __future__ import annotations

import pytest

from planner.plan.model import Plan
from planner.rulebase.base import RuleBase

from .vans import (
    FLEX,
    LIFTING,
    STEEL,
    Moment,
    chosen,
    in_order,
    moments,
    order,
    plan_of,
    said,
    words,
)

RIBS = {
    "roof__shape": "ribbed",
    "roof__rib_direction": "lengthwise",
    "roof__rib_pitch_mm": 60,
    "roof__rib_flat_mm": 20,
    "roof__rib_height_mm": 8,
    "roof__rib_first_mm": 20,
}


def the(plan: Plan, step: str) -> Moment:
    """Return the first time that a step is done."""
    return next(one for one in moments(plan) if one.task.id == step)


def has(plan: Plan, *steps: str) -> bool:
    """Return whether all of these steps are in the plan."""
    return set(steps) <= set(order(plan))


def lacks(plan: Plan, *steps: str) -> bool:
    """Return whether none of these steps are in the plan."""
    return not set(steps) & set(order(plan))


def drills(plan: Plan, of: str) -> bool:
    """Return whether something is drilled."""
    return any(one.does("drills", of) for one in moments(plan))


def test_two_people_fit_a_framed_panel_on_a_hinged_fibreglass_roof(base: RuleBase) -> None:
    """The common sensible job: bolted through with the roof shut, a dozen holds, few cautions."""
    plan = plan_of(LIFTING, base)
    assert plan.job["job.crew"] == 2
    assert plan.verdict.state == "no_stop_found"
    assert (chosen(plan, "mount-method"), chosen(plan, "mount-pattern")) == (
        "bolted_brackets",
        "bolt_through",
    )
    assert has(plan, "lift-baseline", "dummy-load", "dry-boltup", "nip-nuts", "closing-cycles")
    assert lacks(plan, "set-studs", "bond-mounts", "fill-core", "lay-trial", "fit-tether")
    assert in_order(plan, "dummy-load", "sign-layout", "drill-pilots", "fit-entry", "fit-loop",
                    "slow-close", "dry-boltup", "prove-entry", "join-leads", "lay-bead",
                    "set-down", "nip-nuts", "final-torque", "water-test",
                    "inspect-leaks")  # fmt: skip
    assert the(plan, "nip-nuts").before["roof"] == "shut"
    assert [order(plan).count(name) for name in ("raise-bare", "raise-with-panel")] == [1, 1]
    assert 10 <= sum(plan.tasks[name].hold for name in plan.texts) <= 15
    assert len(said(plan, "caution")) <= 12


def test_nuts_out_of_reach_go_outside_on_studs(base: RuleBase) -> None:
    """With the roof shut no hand gets to the nuts, but the feet stand out beside the frame."""
    plan = plan_of(LIFTING, base, lift__nuts_reachable_shut=False)
    assert chosen(plan, "mount-pattern") == "studs_up"
    assert has(plan, "set-studs", "fix-panel")
    assert lacks(plan, "nip-nuts", "bed-feet")
    assert in_order(plan, "set-studs", "dry-boltup", "lay-bead", "set-down", "fix-panel")
    assert the(plan, "set-studs").before["roof"] == "propped"
    assert the(plan, "fix-panel").before["roof"] == "shut"


def test_separate_feet_are_bedded_before_the_panel_goes_up(base: RuleBase) -> None:
    """Feet first: nuts from inside the propped roof, the rim cured before the panel's weight."""
    plan = plan_of(LIFTING, base, mount__bracket_form="separate_feet")
    assert chosen(plan, "mount-pattern") == "feet_first"
    assert has(plan, "set-jig", "bed-feet", "fix-panel")
    assert lacks(plan, "lay-bead", "dry-boltup", "nip-nuts")
    assert in_order(plan, "set-jig", "bed-feet", "set-down", "fix-panel", "final-torque")
    assert the(plan, "bed-feet").before["roof"] == "propped"
    assert the(plan, "set-down").before["bed"] == "rim_cured"
    assert the(plan, "final-torque").before["roof"] == "propped"


def test_bolting_on_the_raised_roof_is_the_last_resort(base: RuleBase) -> None:
    """Feet under the frame and nuts out of reach: only on a nearly level roof, and it is signed."""
    awkward = {"mount__feet_open": False, "lift__nuts_reachable_shut": False}
    level = {"lift__opening_angle_deg": 9, "site__access": "platform"}
    plan = plan_of(LIFTING, base, **awkward, **level)
    assert chosen(plan, "mount-pattern") == "bolted_raised"
    assert plan.tasks["nip-nuts"].hold
    assert "bolting-raised" in said(plan, "caution")
    assert "strap" in words(plan, "set-down").lower()
    for refused in ({**level, "lift__opening_angle_deg": 11}, {**level, "site__wind_ms": 7},
                    {**level, "site__access": "hop_up"}):  # fmt: skip
        assert plan_of(LIFTING, base, **awkward, **refused).verdict.state == "do_not_start"


def test_an_owner_who_wants_no_holes_gets_none(base: RuleBase) -> None:
    """Bonded rails, a tether to a point that is there, and the cable over the edge at the hinge."""
    plan = plan_of(LIFTING, base, mount__no_holes=True, mount__tether_point=True,
                   job__drive_by="2027-07-30T12:00")  # fmt: skip
    assert chosen(plan, "mount-method") in ("bonded_rails", "bonded_corners")
    assert chosen(plan, "entry-kind") == "over_the_edge"
    assert plan.verdict.state == "no_stop_found", plan.verdict.why
    assert not drills(plan, "shell")
    assert lacks(plan, "drill-pilots", "open-lining", "fit-entry", "prove-entry")
    assert in_order(plan, "lay-trial", "read-trial", "prepare-bond", "bond-mounts", "check-bond",
                    "set-down", "fit-tether", "release-gentle")  # fmt: skip
    after = [one for one in moments(plan) if one.before["bond"] in ("wet", "hardened")]
    assert {one.before["roof"] for one in after} == {"shut"}


def test_a_core_is_filled_and_drilled_again(base: RuleBase) -> None:
    """A bolted lifting roof of sandwich: the roof stays shut, holes taped, while resin hardens."""
    plan = plan_of(LIFTING, base, roof__material="grp_sandwich", roof__core_mm=18,
                   roof__core_kind="foam", roof__thickness_mm=2.5,
                   mount__wanted="bolted_brackets")  # fmt: skip
    assert chosen(plan, "fixing-kind") == "through_bolt_sleeve"
    assert in_order(plan, "open-holes", "fill-core", "check-filling", "drill-filling",
                    "dry-plates", "dry-boltup")  # fmt: skip
    hardening = [one for one in moments(plan) if one.before["fixing_holes"] == "plugged"]
    assert hardening[0].before["roof"] == "shut"
    assert "sleeves" in {item.id for item in plan.materials}


def test_a_workshop_bonds_rails_to_a_steel_high_roof(base: RuleBase) -> None:
    """Edges primed, a tether in a rivet nut, no roof that moves, the re-check booked."""
    plan = plan_of(STEEL, base)
    assert (chosen(plan, "mount-method"), chosen(plan, "mount-retention")) == (
        "bonded_rails",
        "tether",
    )
    assert has(plan, "seal-edges", "set-rivet-nuts", "fit-anchors", "fit-tether", "lay-trial")
    assert lacks(plan, "raise-bare", "fit-loop", "closing-cycles", "dummy-load", "first-recheck")
    assert "zinc" in words(plan, "seal-edges")
    assert "Book the re-check" in words(plan, "hand-over")
    assert in_order(plan, "set-rivet-nuts", "fit-anchors", "bond-mounts", "fit-tether")


def test_rated_bars_carry_a_panel_where_ribs_leave_no_room(base: RuleBase) -> None:
    """Clamps: bars looked at first, no hole for fixing, no cure to wait for."""
    plan = plan_of(STEEL, base, **RIBS, panel__count=1, roof__bars="rated",
                   roof__bars_rated_kg=400, mount__wanted="advise",
                   vehicle__top_speed_kmh=90)  # fmt: skip
    assert chosen(plan, "mount-method") == "roof_bar_clamps"
    assert {"bars-rating-means-down", "nothing-stands-between-ribs"} <= said(plan, "caution")
    assert plan.facts["mount.holes"].value == 0
    assert lacks(plan, "bond-mounts", "lay-bead", "final-torque", "fit-tether")
    assert in_order(plan, "check-bars", "sign-layout", "join-leads", "fix-panel")
    assert plan.tasks["check-bars"].hold


def test_a_folding_panel_leaves_the_roof_alone(base: RuleBase) -> None:
    """Only an inlet in the side: marked, signed, drilled, bedded, hosed."""
    plan = plan_of(STEEL, base, panel__kind="folding_portable", panel__count=1,
                   mount__wanted="unknown", entry__wanted="unknown")  # fmt: skip
    assert (chosen(plan, "mount-method"), chosen(plan, "entry-kind")) == (
        "loose",
        "portable_inlet",
    )
    assert lacks(plan, "wash-roof", "set-access", "drill-pilots", "panel-up", "drive-gently")
    assert not any(one.does("works_at_height") for one in moments(plan))
    assert in_order(plan, "mark-inlet", "drill-inlet", "fit-inlet", "prove-polarity",
                    "water-test", "switch-on")  # fmt: skip
    assert plan.tasks["mark-inlet"].hold
    assert "stowed and strapped" in words(plan, "hand-over")


def test_an_old_panel_leaves_before_the_battery_does(base: RuleBase) -> None:
    """Replacement on silicone: array dead, battery off, panel off, residue gone, then set out."""
    plan = plan_of(STEEL, base, job__kind="replace", roof__old_silicone=True,
                   roof__old_holes=True)  # fmt: skip
    assert in_order(plan, "old-array-off", "isolate-battery", "remove-old-array",
                    "repair-old-holes", "dress-repairs", "mark-datum", "dry-fit")  # fmt: skip
    assert plan.tasks["old-array-off"].hold
    assert "silicone-under-bond" in said(plan, "caution")
    assert "restore-old-array" not in plan.tasks


def test_added_panels_keep_the_old_array_and_bring_it_back(base: RuleBase) -> None:
    """The old array is made dead first and joins again last, battery before panel."""
    plan = plan_of(STEEL, base, job__kind="add")
    assert in_order(plan, "old-array-off", "isolate-battery", "switch-on", "restore-old-array",
                    "hand-over")  # fmt: skip
    assert lacks(plan, "remove-old-array")
    assert "adding-to-old-solar" in said(plan, "caution")


def test_a_makers_no_ends_the_matter(base: RuleBase) -> None:
    """Nothing is drilled or bonded against a refusal; the way out is a panel set out at camp."""
    plan = plan_of(LIFTING, base, roof__permission="no")
    assert plan.verdict.state == "do_not_start"
    assert {"permission-refused", "mount-method-none-left"} <= said(plan, "stop")
    refused = next(one for one in plan.findings if one.id == "permission-refused")
    assert "folding panel" in refused.cure
    assert lacks(plan, "drill-pilots", "bond-mounts", "fit-entry")


def test_an_electric_roof_loses_its_fuse_while_it_is_propped(base: RuleBase) -> None:
    """No drive starts with a hand in the gear; the battery keeps at most the roof's own feed."""
    plan = plan_of(LIFTING, base, lift__assist="electric")
    assert "drive's fuse out" in words(plan, "raise-bare")
    assert "drive's fuse back" in words(plan, "lower-bare")
    assert "roof's own feed" in words(plan, "isolate-battery")
    assert "lift-electric" in said(plan, "caution")


def test_one_person_alone_is_told_to_stop(base: RuleBase) -> None:
    """Two-person steps are not begun alone; with two, three are called easier."""
    alone = plan_of(LIFTING, base, job__crew=1)
    assert "crew-too-small" in said(alone, "stop")
    two, three = plan_of(LIFTING, base), plan_of(LIFTING, base, job__crew=3)
    assert "two-is-just-enough" in said(two, "note")
    assert "two-is-just-enough" not in said(three)
    assert "Three people are easier" in words(two, "panel-on-edge")


def test_rain_has_its_list(base: RuleBase) -> None:
    """Outdoors the plan names the steps that rain must not catch half done."""
    plan = plan_of(LIFTING, base)
    steps = plan.facts["plan.rain_steps"].value
    for name in ("Open the holes to size", "Bed the cable entry"):
        assert name in steps
    assert "Mount controller, isolator and fuse holder" not in steps
    rain = next(one for one in plan.findings if one.id == "rain-gate")
    assert "Bed the cable entry" in rain.text
    assert "rain-gate" not in said(plan_of(FLEX, base))


@pytest.mark.parametrize(
    ("demo", "changes", "stop"),
    [
        (LIFTING, {"site__overhead_clear": False}, "power-line"),
        (LIFTING, {"site__access": "steps_only"}, "steps-only"),
        (LIFTING, {"roof__core_wet": True}, "roof-unsound"),
        (LIFTING, {"lift__cable_clear_mm": 15}, "cable-cannot-clear"),
        (STEEL, {"roof__finish": "wrap"}, "mount-method-wish"),
        (STEEL, {"vehicle__spare_payload_kg": 20}, "overloaded"),
        (STEEL, {"mount__wanted": "bolted_brackets", "roof__thickness_mm": 1.2,
                 "roof__edge_margin_mm": 20, "roof__width_mm": 800, "roof__obstacles": []},
         "hole-near-airbag"),
        (FLEX, {"site__surface_c": 3}, "surface-too-cold"),
        (STEEL, {"job__drive_by": "2027-03-12T16:00"}, "ready-too-late"),
    ],
)  # fmt: skip
def test_senseless_jobs_say_why_not(
    base: RuleBase, demo: str, changes: dict[str, object], stop: str
) -> None:
    """Each is a reason for which a careful fitter would not begin, and it says what to do."""
    plan = plan_of(demo, base, **changes)
    assert plan.verdict.state == "do_not_start"
    found = next(one for one in plan.findings if one.id == stop)
    assert found.severity == "stop"
    assert found.cure
