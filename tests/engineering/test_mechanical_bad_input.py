"""What a fitter types wrongly about roof, mount and moving cable: refused or told, with a cure.

Each test changes one thing in a demo's job file and reads what the planner says.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from planner import paths
from planner.errors import InputError
from planner.job.file import read_job
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase

HINGED, LEVEL = "lifting-grp", "aluminium-lift-flex"
RIBS = {"shape": "ribbed", "rib_direction": "lengthwise", "rib_pitch_mm": 60, "rib_flat_mm": 20,
        "rib_height_mm": 10, "rib_first_mm": 10}


def planned(
    tmp_path: Path, base: RuleBase, changes: dict[str, dict[str, Any]], demo: str = HINGED
) -> Plan:
    """Return the plan of a demo with some answers changed, read from a file as a fitter's is."""
    answers = yaml.safe_load((paths.DEMOS / f"{demo}.yaml").read_text(encoding="utf-8"))
    for section, fields in changes.items():
        answers[section].update(fields)
    file = tmp_path / "job.yaml"
    file.write_text(yaml.safe_dump(answers, sort_keys=False), encoding="utf-8")
    return make_plan(read_job(file, base), base)


def stops(plan: Plan) -> str:
    """Return every stop with its cure, in one text."""
    return told(plan, "stop")


def told(plan: Plan, severity: str) -> str:
    """Return what all findings of a severity say, in one text with plain spaces."""
    found = [one for one in plan.findings if one.severity == severity]
    return " ".join(f"{one.text} {one.cure}" for one in found).replace("\N{NO-BREAK SPACE}", " ")


def item(name: str, x: float, y: float, along: float, across: float) -> dict[str, Any]:
    """Return a thing on the roof."""
    return {"name": name, "kind": "vent", "x_mm": x, "y_mm": y, "length_mm": along,
            "width_mm": across, "height_mm": 40}


@pytest.mark.parametrize(
    ("things", "said"),
    [
        ([item("hatch", 2400, 900, 400, 200)], "hatch: reaches 300 mm past the rear edge"),
        ([item("vent", 300, 300, 400, 400), item("lamp", 500, 500, 100, 100)],
         "vent: overlaps lamp"),
    ],
)
def test_things_off_the_roof_or_over_one_another_are_refused(
    tmp_path: Path, base: RuleBase, things: list[dict[str, Any]], said: str
) -> None:
    """The message names the thing, by how much it is wrong, and asks to measure again."""
    with pytest.raises(InputError, match=said) as caught:
        planned(tmp_path, base, {"roof": {"obstacles": things}})
    assert "again" in str(caught.value)


def test_a_negative_thickness_is_refused(tmp_path: Path, base: RuleBase) -> None:
    """The message gives the range that a roof can have."""
    with pytest.raises(InputError, match=r"roof\.thickness_mm: -3 mm is out of range"):
        planned(tmp_path, base, {"roof": {"thickness_mm": -3}})


def test_a_panel_beyond_the_margin_is_stopped_with_the_margin_that_fits(
    tmp_path: Path, base: RuleBase
) -> None:
    """With 300 mm kept free 580 mm are left for 670 across: 255 mm would do."""
    plan = planned(tmp_path, base, {"roof": {"edge_margin_mm": 300}})
    assert plan.verdict.state == "do_not_start"
    assert "fits only beyond the edge margin of 300 mm" in stops(plan)
    assert "at most 255 mm, 45 mm less than asked" in stops(plan)


def test_ribs_narrower_than_any_foot_stop_with_what_is_left(
    tmp_path: Path, base: RuleBase
) -> None:
    """Flats of 20 mm carry nothing; every mount says why, and the cure names what would do."""
    plan = planned(tmp_path, base, {"roof": RIBS})
    assert "too narrow for a rail" in stops(plan)
    assert "pad made for these ribs" in stops(plan)


def test_a_stack_longer_than_any_bolt_stops(tmp_path: Path, base: RuleBase) -> None:
    """Skin, core, skin and lining of 132 mm: no bolt of the table, and what to do instead."""
    plan = planned(tmp_path, base, {
        "roof": {"material": "grp_sandwich", "thickness_mm": 30, "core_mm": 60, "core_kind": "foam",
                 "inner_skin_mm": 12, "lining_mm": 30, "core_wet": False},
        "mount": {"wanted": "bolted_brackets"},
        "lift": {"underside_clear_mm": 200},
    })
    assert "No standard bolt has the right length" in stops(plan)
    assert "choose a bonded mount" in stops(plan)


def test_a_level_lift_has_no_opening_angle(tmp_path: Path, base: RuleBase) -> None:
    """The message names the answer and the one that it depends on."""
    with pytest.raises(InputError, match=r"lift\.opening_angle_deg is answered, but it matters"):
        planned(tmp_path, base, {"lift": {"opening_angle_deg": 30}}, LEVEL)


@pytest.mark.parametrize(
    ("lift", "said"),
    [
        ({"cable_open_mm": 4000}, "moves too little for more than 1195 mm"),
        ({"cable_closed_mm": 300}, "is less than with the roof shut"),
    ],
)
def test_an_anchor_that_no_loop_reaches_stops(
    tmp_path: Path, base: RuleBase, lift: dict[str, Any], said: str
) -> None:
    """By hand: 132 mm shut + 1020 / cos 12° of travel + 20 mm for the tape = 1195 mm."""
    plan = planned(tmp_path, base, {"lift": lift})
    assert said in stops(plan)
    assert "Measure both" in stops(plan)


def test_a_loop_too_tight_says_what_to_move(tmp_path: Path, base: RuleBase) -> None:
    """Without a side step the cable would bend tighter than it may: two radii are asked for."""
    plan = planned(tmp_path, base, {"lift": {
        "cable_closed_mm": 41, "cable_open_mm": 87, "cable_offset_mm": 0}})
    assert "Give the clamps 122 mm of sideways step" in told(plan, "caution")
