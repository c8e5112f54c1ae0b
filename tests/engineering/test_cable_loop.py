"""The loop says what to move where it does not fit or reach, and refuses nonsense."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.cable_loop import (
    Room,
    crossing_arm_mm,
    free_length_mm,
    hinged_distance_mm,
    lifted_distance_mm,
    moving_radius_mm,
    plan_loop,
    tail_length_mm,
)
from planner.errors import OutOfRangeError


@given(
    shut=st.floats(0, 600),
    travel=st.floats(0, 900),
    od=st.floats(4, 12),
    offset=st.floats(0, 300),
)
def test_a_plain_u_never_bends_under_the_moving_radius(
    shut: float, travel: float, od: float, offset: float
) -> None:
    """Whatever the crossing, the loop reaches with slack, and a plain U keeps its radius."""
    loop = plan_loop(
        shut_mm=shut, greatest_mm=shut + travel, cable_od_mm=od, side_offset_mm=offset
    )
    reach = math.hypot(shut + travel, offset)
    assert loop.length_mm - 2 * loop.tail_mm >= reach + 40 - 1e-6
    if loop.plain_u:
        assert loop.bend_mm >= loop.radius_mm - 1e-6
    else:
        assert loop.changes


def test_a_tight_round_loop_asks_for_the_anchor_to_move() -> None:
    """Near the hinge the surplus is too short for a round loop of the right radius."""
    loop = plan_loop(shut_mm=43, greatest_mm=43, cable_od_mm=5.5)
    assert loop.bend_mm < loop.radius_mm
    assert "move an anchor" in loop.changes[0]


def test_a_loop_too_big_for_its_room_is_said() -> None:
    """The message gives both sizes and what to do."""
    loop = plan_loop(
        shut_mm=110, greatest_mm=700, cable_od_mm=6, room=Room(width_mm=150, depth_mm=200)
    )
    assert "there is 150 by 200 mm" in loop.changes[0]
    wide = Room(width_mm=200, depth_mm=500)
    assert plan_loop(shut_mm=110, greatest_mm=700, cable_od_mm=6, room=wide).changes == ()


def test_a_cable_that_does_not_reach_is_said_to_the_millimetre() -> None:
    """612 mm are needed, 550 are there."""
    loop = plan_loop(shut_mm=100, greatest_mm=520, cable_od_mm=6, tail_mm=20, cable_mm=550)
    assert "62 mm too short" in loop.changes[0]
    enough = plan_loop(shut_mm=100, greatest_mm=520, cable_od_mm=6, tail_mm=20, cable_mm=612)
    assert enough.changes == ()


def test_tails_are_three_diameters_but_at_least_twenty() -> None:
    """Both sides of the change-over."""
    assert tail_length_mm(cable_od_mm=6) == 20
    assert tail_length_mm(cable_od_mm=8) == 24


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: moving_radius_mm(cable_od_mm=0), "cable_od_mm"),
        (lambda: moving_radius_mm(cable_od_mm=6, maker_radius_mm=0), "maker_radius_mm"),
        (
            lambda: hinged_distance_mm(roof_arm_mm=0, body_arm_mm=1, opening_deg=10),
            "roof_arm_mm",
        ),
        (
            lambda: hinged_distance_mm(roof_arm_mm=1, body_arm_mm=1, opening_deg=91),
            "opening_deg",
        ),
        (lambda: crossing_arm_mm(chord_mm=100, opening_deg=0), "opening_deg"),
        (lambda: lifted_distance_mm(height_mm=math.nan), "height_mm"),
        (lambda: lifted_distance_mm(height_mm=1, side_mm=9000), "side_mm"),
        (lambda: free_length_mm(greatest_mm=1, radius_mm=0, tail_mm=0), "radius_mm"),
        (lambda: tail_length_mm(cable_od_mm=-1), "cable_od_mm"),
        (lambda: plan_loop(shut_mm=100, greatest_mm=90, cable_od_mm=6), "greatest_mm"),
        (lambda: plan_loop(shut_mm=-1, greatest_mm=90, cable_od_mm=6), "shut_mm"),
        (
            lambda: plan_loop(shut_mm=1, greatest_mm=90, cable_od_mm=6, room=Room(0, 5)),
            "width_mm",
        ),
        (
            lambda: plan_loop(shut_mm=1, greatest_mm=90, cable_od_mm=6, cable_mm=0),
            "cable_mm",
        ),
    ],
)
def test_bad_crossing_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
