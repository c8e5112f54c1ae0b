"""Feet stand along the long sides, on flats where there are ribs, or it is said why not."""

from __future__ import annotations

import math

import pytest

from planner.engineering.foot_places import Flats, FootPlan, Panel, place_feet, rib_flats
from planner.errors import OutOfRangeError

LENGTHWISE = Panel(x_mm=100, y_mm=200, along_x_mm=1480, along_y_mm=670)
CROSSWISE = Panel(x_mm=100, y_mm=200, along_x_mm=670, along_y_mm=1480)


def plan(panel: Panel, flats: Flats | None = None, feet: int = 6, foot: float = 60) -> FootPlan:
    """Return the feet of a panel with 25 mm from frame to bolt."""
    return place_feet(
        panel=panel, feet=feet, inset_mm=150, frame_to_bolt_mm=25, foot_mm=foot, flats=flats
    )


def test_holes_lie_outside_the_long_sides() -> None:
    """Three feet on each long side, holes 25 mm outside the frame, on panel and on roof."""
    feet = plan(LENGTHWISE).feet
    assert [(foot.side, foot.roof_x_mm, foot.roof_y_mm) for foot in feet] == [
        ("left", 250, 175),
        ("left", 840, 175),
        ("left", 1430, 175),
        ("right", 250, 895),
        ("right", 840, 895),
        ("right", 1430, 895),
    ]
    assert [(foot.panel_x_mm, foot.panel_y_mm) for foot in feet[:2]] == [(150, -25), (740, -25)]
    assert [foot.number for foot in feet] == [1, 2, 3, 4, 5, 6]


def test_a_panel_across_the_van_has_feet_in_front_and_behind() -> None:
    """Turning the panel turns the rows."""
    feet = plan(CROSSWISE).feet
    assert {foot.side for foot in feet} == {"front", "rear"}
    assert {foot.roof_x_mm for foot in feet} == {75, 795}
    assert [foot.roof_y_mm for foot in feet[:3]] == [350, 940, 1530]


def test_feet_move_to_the_nearest_flats() -> None:
    """Ribs across the van at 200 mm with flats of 120 mm: every foot stands wholly on a flat."""
    flats = rib_flats(axis="x", pitch_mm=200, flat_mm=120, extent_mm=2500)
    feet = plan(LENGTHWISE, flats).feet
    assert len(feet) == 6
    for foot in feet:
        assert any(
            low + 30 <= foot.roof_x_mm <= high - 30 for low, high in flats.bands_mm
        )


def test_narrow_flats_are_said() -> None:
    """Flats narrower than the foot take none, and the answer names packers or a rail."""
    flats = rib_flats(axis="x", pitch_mm=100, flat_mm=40, extent_mm=2500)
    found = plan(LENGTHWISE, flats)
    assert found.feet == ()
    assert "shaped packers" in found.problem
    assert "40 mm" in found.problem


def test_rows_on_ribs_ask_for_a_shift_that_works() -> None:
    """Ribs along the van: the move that is named puts both rows on flats."""
    flats = Flats("y", ((0, 170), (230, 860), (920, 1100)))
    found = plan(LENGTHWISE, flats)
    assert "Move the panel by" in found.problem
    shift = float(found.problem.split("by ")[1].split(" mm")[0])
    moved = Panel(100, 200 + shift, 1480, 670)
    assert plan(moved, flats).problem == ""


def test_rows_that_no_shift_mends_are_said() -> None:
    """One narrow flat cannot take two rows."""
    assert "cannot both" in plan(LENGTHWISE, Flats("y", ((0, 100),))).problem


def test_flats_are_carried_both_ways_from_the_first() -> None:
    """A pattern measured from its second flat still has a first one, cut at the edge."""
    flats = rib_flats(axis="y", pitch_mm=100, flat_mm=80, extent_mm=250, first_mm=50)
    assert flats.bands_mm == ((0, 30), (50, 130), (150, 230))


@pytest.mark.parametrize(
    ("feet", "argument"), [(5, "feet"), (2, "feet"), (0, "feet")]
)
def test_odd_or_few_feet_are_refused(feet: int, argument: str) -> None:
    """Feet stand in pairs, two pairs at least."""
    with pytest.raises(OutOfRangeError, match=argument):
        plan(LENGTHWISE, feet=feet)


def test_bad_geometry_is_refused_by_name() -> None:
    """Panels, feet, insets and ribs that cannot be are named."""
    with pytest.raises(OutOfRangeError, match="along_y_mm"):
        plan(Panel(0, 0, 1000, 0))
    with pytest.raises(OutOfRangeError, match="foot_mm"):
        plan(LENGTHWISE, foot=math.nan)
    with pytest.raises(OutOfRangeError, match="inset_mm"):
        plan(Panel(0, 0, 250, 200))
    with pytest.raises(OutOfRangeError, match="flat_mm"):
        rib_flats(axis="x", pitch_mm=100, flat_mm=120, extent_mm=1000)
    with pytest.raises(OutOfRangeError, match="axis"):
        rib_flats(axis="z", pitch_mm=100, flat_mm=80, extent_mm=1000)
