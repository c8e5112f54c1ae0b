"""What fitters do anyway must come out of the rules: one test for each habit of the trade.

All of it is common practice, no source, unless a test names one.
"""

from __future__ import annotations

import pytest

from planner.plan.model import Plan
from planner.rulebase.base import RuleBase

from .vans import (
    FLEX,
    LIFTING,
    STEEL,
    chosen,
    demo,
    in_order,
    moments,
    order,
    plan_of,
    said,
    words,
)


@pytest.fixture(scope="module")
def lifting(base: RuleBase) -> Plan:
    """Return the plan of the framed panel on the hinged fibreglass roof."""
    return plan_of(LIFTING, base)


@pytest.fixture(scope="module", params=[LIFTING, STEEL, FLEX])
def any_plan(request: pytest.FixtureRequest, base: RuleBase) -> Plan:
    """Return the plan of each demo in turn."""
    return plan_of(request.param, base)


# A module in light is live.


def test_the_panel_is_covered_whenever_somebody_handles_it(any_plan: Plan) -> None:
    """Common practice, no source: uncovered only for the first reading and for good at the end."""
    for one in moments(any_plan):
        handled = ("lifts_panel", "joins_leads", "bares_lead", "lands_pv")
        if any(one.does(act) for act in handled):
            assert one.before["cover"] == "on", one.task.id
    uncovered = [one.task.id for one in moments(any_plan) if one.after["cover"] == "off"]
    assert uncovered[0] == "bench-volts"
    done = order(any_plan)
    assert set(uncovered[1:]) == set(done[done.index("switch-on") :])


def test_the_panel_is_metered_on_the_bench_on_the_roof_and_at_the_controller(
    any_plan: Plan,
) -> None:
    """Common practice, no source: three places, with a reading to write down at each."""
    assert in_order(any_plan, "bench-volts", "ready-leads", "prove-polarity", "land-array")
    readings = [one.id for one in any_plan.texts["prove-polarity"].readings]
    assert readings == ["isolator-volts", "controller-end-volts"]


# What the panel will hide.


def test_what_the_panel_hides_is_clean_checked_and_photographed_first(lifting: Plan) -> None:
    """Common practice, no source."""
    assert in_order(lifting, "wash-roof", "prove-entry", "prepare-feet", "join-leads", "set-down")
    for step in ("ready-leads", "prove-entry"):
        assert "hotograph" in words(lifting, step)
    assert "photograph" in lifting.texts["join-leads"].accept


def test_an_entry_is_sealed_checked_and_hosed_before_a_panel_covers_it(lifting: Plan) -> None:
    """Common practice, no source."""
    assert in_order(lifting, "fit-entry", "prove-entry", "set-down")
    assert "ose" in words(lifting, "prove-entry")
    assert lifting.tasks["prove-entry"].hold


# Leads and holes.


def test_holes_stay_small_where_the_maker_lets_its_leads_be_cut(base: RuleBase) -> None:
    """Common practice, no source: one conductor at a time, marked first, poles proved by meter."""
    plan = plan_of(LIFTING, base, panel__leads_may_be_cut=True, panel__lead_length_mm=2000)
    assert chosen(plan, "panel-leads") == "recut"
    cutting = words(plan, "recut-leads")
    assert cutting.index("Mark plus and minus") < cutting.index("Cut one conductor")
    assert "permission" in cutting
    joining = words(plan, "join-leads")
    assert joining.index("fit a new plug") < joining.index("prove volts and sign")
    assert joining.index("prove volts and sign") < joining.index("only then join")


def test_leads_that_must_not_be_cut_are_not_cut(lifting: Plan) -> None:
    """Common practice, no source: an extension passes the entry instead."""
    assert chosen(lifting, "panel-leads") == "extended"
    assert "recut-leads" not in lifting.tasks
    assert "make-extension" in lifting.tasks
    assert not any(one.does("bares_lead") for one in moments(lifting))


# Feet and mounts.


def test_bolted_feet_are_bedded_and_each_bolt_is_sealed_at_the_outer_skin(lifting: Plan) -> None:
    """Common practice, no source: chamfer and ring outside, the inside dry so that leaks show."""
    bead = words(lifting, "lay-bead")
    assert "each chamfer" in bead
    assert "under each foot, at the outer skin only" in bead
    assert "Dry washer" in words(lifting, "nip-nuts")


def test_nothing_comes_between_the_bead_and_the_panel(lifting: Plan) -> None:
    """Common practice, no source: about 10 min at 20 °C; the job expects 18 °C.

    What the timetable gives the bead and the lowering of one panel is no longer than that.
    """
    bead, lowered = (
        next(one for one in moments(lifting) if one.task.id == step)
        for step in ("lay-bead", "set-down")
    )
    taken = bead.task.minutes + lowered.task.minutes
    assert lowered.start_min == bead.start_min + bead.task.minutes
    assert taken <= lifting.facts["cure.open_min"].value == 10
    assert taken == lifting.facts["bead.window_min"].value


def test_heavy_corner_mounts_cost_kilograms_that_low_brackets_do_not(base: RuleBase) -> None:
    """Common practice, no source: 0.5 kg a corner against 0.15 kg a bracket."""
    heavy = plan_of(
        LIFTING, base, mount__wanted="bonded_corners", mount__plastic="asa",
        mount__bracket_mass_kg=0.8, site__coldest_night_c=15,
    )
    light = plan_of(LIFTING, base, mount__wanted="bolted_brackets", mount__bracket_mass_kg=0.15)
    more = heavy.facts["lift.added_kg"].value - light.facts["lift.added_kg"].value
    assert more > 2


def test_corner_mounts_need_support_that_ribs_deny(base: RuleBase) -> None:
    """Common practice, no source."""
    plan = plan_of(
        STEEL, base, roof__shape="ribbed", roof__rib_direction="lengthwise",
        roof__rib_pitch_mm=200, roof__rib_flat_mm=160, roof__rib_height_mm=8,
        roof__rib_first_mm=40, mount__wanted="advise", mount__plastic="asa",
    )
    options = next(one for one in plan.decisions if one.id == "mount-method").options
    corners = next(one for one in options if one.id == "bonded_corners")
    assert any("whole footprint" in reason for reason in corners.reasons)
    assert chosen(plan, "mount-method") != "bonded_corners"


# Where the mass goes.


@pytest.mark.parametrize(("hinge", "side"), [("front", -1), ("rear", 1)])
def test_on_a_hinged_roof_the_mass_goes_towards_the_hinge(
    base: RuleBase, hinge: str, side: int
) -> None:
    """Common practice, no source: the moment is mass times distance from the hinge."""
    plan = plan_of(LIFTING, base, lift__hinge=hinge, roof__obstacles=[])
    off = plan.facts["place.centre_x_mm"].value - demo(LIFTING)["roof.length_mm"] / 2
    assert off * side > 0


def test_on_a_level_lift_the_mass_goes_to_the_middle(base: RuleBase) -> None:
    """Common practice, no source: arms that carry unevenly rack."""
    plan = plan_of(FLEX, base, roof__obstacles=[])
    assert plan.facts["lift.off_centre_percent"].value < 2


# The moving cable.


def test_the_moving_cable_keeps_a_soft_loop(lifting: Plan) -> None:
    """Common practice, no source: longer than the widest opening, no sharper than its bend."""
    widest = demo(LIFTING)["lift.cable_open_mm"]
    assert lifting.facts["loop.length_mm"].value > widest
    assert lifting.facts["loop.radius_mm"].value >= 8 * demo(LIFTING)["entry.cable_od_mm"]


def test_the_moving_cable_is_watched_through_a_slow_close_before_any_power(lifting: Plan) -> None:
    """Common practice, no source."""
    assert in_order(lifting, "fit-loop", "slow-close", "reconnect-battery", "switch-on")
    close = next(one for one in moments(lifting) if one.task.id == "slow-close")
    assert close.before["battery"] == "isolated"
    assert close.before["lead_ends"] == "capped"
    assert "watches the loop" in words(lifting, "slow-close")


# The battery side.


def test_the_fuse_sits_at_the_battery_end_within_the_published_distance(any_plan: Plan) -> None:
    """ISO 13297, from memory: within 200 mm of the post; American practice says 7 inches."""
    assert any_plan.facts["gate.fuse_distance_mm"].value <= min(200, round(7 * 25.4))
    assert "178" in words(any_plan, "mount-controller")
    assert "fuse-place" in said(any_plan)


def test_the_battery_joins_first_and_the_fuse_goes_in_last(any_plan: Plan) -> None:
    """Common practice, no source: makers of controllers ask for the battery before the panel."""
    assert in_order(any_plan, "fit-battery-cable", "battery-first", "set-charging", "land-array")


# The road.


def test_the_first_run_goes_by_steps_and_is_followed_by_another_look(lifting: Plan) -> None:
    """Common practice, no source: slowly, listening, to the lawful limit; then fixings again."""
    assert in_order(lifting, "release-gentle", "drive-gently", "drive-full", "first-recheck")
    assert "listens" in words(lifting, "drive-gently")
    assert "lawful" in lifting.texts["drive-full"].title
    assert "Stop and look" in words(lifting, "drive-full")


def test_mass_height_and_settings_are_handed_over_in_writing(any_plan: Plan) -> None:
    """Common practice, no source."""
    text = words(any_plan, "hand-over")
    for fact in ("height.new_mm", "mass.added_kg"):
        assert any_plan.facts[fact].text in text
    assert "charge settings" in text


# The people.


def test_the_risk_assessment_has_the_form_of_the_five_steps(any_plan: Plan) -> None:
    """HSE INDG163: hazards, who might be harmed, evaluate and control, record, review."""
    levels = ("eliminate", "substitute", "engineer", "organise", "protect")
    assert any_plan.hazards
    for hazard in any_plan.hazards:
        assert hazard.who
        before, after = hazard.before, hazard.after
        assert after[0] * after[1] <= before[0] * before[1]
        ranks = [levels.index(control.level) for control in hazard.controls]
        assert ranks == sorted(ranks), "hierarchy of control"
        assert hazard.steps
    brief = words(any_plan, "brief-crew")
    assert "risk assessment" in brief
    assert "look at the assessment again" in brief


def test_work_above_ground_is_done_from_a_platform(any_plan: Plan) -> None:
    """Work at Height Regulations 2005: avoid, prevent, mitigate (from memory)."""
    for one in moments(any_plan):
        if one.does("works_at_height"):
            assert one.before["access"] == "platform"
            assert one.before["zone"] == "closed"
    fall = next(hazard for hazard in any_plan.hazards if hazard.id == "fall-from-height")
    assert "Work at Height" in fall.source


def test_a_workshop_is_told_its_duties_at_height(base: RuleBase) -> None:
    """Work at Height Regulations 2005, regulations 4 to 6 (from memory): employers."""
    assert "height-duties" in said(plan_of(STEEL, base))
    assert "height-duties" not in said(plan_of(LIFTING, base))


@pytest.mark.parametrize(
    ("doer", "territory", "percent", "duty", "note"),
    [
        ("shop", True, 0.2, True, False),
        ("shop", True, 0.1, False, False),
        ("shop", False, 0.2, False, False),
        ("self_build", True, 0.2, False, True),
    ],
)
def test_training_for_isocyanate_is_a_duty_of_workplaces(
    base: RuleBase, doer: str, territory: bool, percent: float, duty: bool, note: bool
) -> None:
    """REACH entry 74: industrial and professional use above 0.1 % needs training."""
    plan = plan_of(
        STEEL, base, job__doer=doer, sealant__bond_wanted="polyurethane_adhesive",
        sealant__reach_territory=territory, sealant__isocyanate_percent=percent,
    )
    assert chosen(plan, "sealant-bond") == "polyurethane_adhesive"
    assert ("isocyanate-duty" in said(plan)) is duty
    assert ("isocyanate-private" in said(plan)) is note
