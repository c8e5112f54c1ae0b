"""Fixings: bad stacks are refused by the name of the part, and every turn has a reason."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.fixings import (
    SectionPart,
    choose_bolt,
    hole_mm,
    next_length_mm,
    packing_washers,
    preload_n,
    sleeve_length_mm,
    softest_torque,
    stack_mm,
    way_round,
    wrench_torque_nm,
)
from planner.errors import OutOfRangeError

LENGTHS = (20, 25, 30, 35, 40, 45, 50, 60, 70, 80)


@given(thickness=st.floats(0, 65))
def test_two_to_five_millimetres_show_past_the_nut(thickness: float) -> None:
    """After packing, for every stack that a standard bolt reaches."""
    bolt = choose_bolt(
        parts=[SectionPart("all", thickness)], nut_height_mm=8, lengths_mm=LENGTHS
    )
    assert 2 - 1e-9 <= bolt.past_nut_mm - bolt.packing_mm <= 5 + 1e-9


def test_a_stack_longer_than_any_bolt_says_what_to_do() -> None:
    """A thick cored roof: the message gives both lengths and a way out."""
    with pytest.raises(OutOfRangeError, match=r"needed_mm is 110; .*80, the longest standard bolt"):
        choose_bolt(parts=[SectionPart("roof", 100)], nut_height_mm=8, lengths_mm=LENGTHS)


def test_a_negative_thickness_is_refused_by_the_name_of_its_part() -> None:
    """The fitter sees which layer is wrong."""
    with pytest.raises(OutOfRangeError, match="thickness_mm of plate is -3"):
        stack_mm(parts=[SectionPart("roof", 4), SectionPart("plate", -3)])


@pytest.mark.parametrize(
    ("clear", "reach", "head_inside", "fits", "word"),
    [
        (40, True, False, True, "clears"),
        (40, False, True, True, "cannot be reached"),
        (20, True, True, True, "too near"),
        (12, True, True, False, "18 mm of clear height"),
    ],
)
def test_way_round_has_a_reason(
    clear: float, reach: bool, head_inside: bool, fits: bool, word: str
) -> None:
    """Room and reach decide; where neither end fits it says how much is needed."""
    way = way_round(
        nut_inside_mm=15, head_inside_mm=8, underside_clear_mm=clear, reach_shut=reach
    )
    assert (way.head_inside, way.fits) == (head_inside, fits)
    assert word in way.reason


def test_a_sleeve_is_never_shorter_than_the_roof() -> None:
    """From nothing to 0.2 mm over."""
    assert sleeve_length_mm(total_mm=22) == pytest.approx((22, 22.2))


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (
            lambda: choose_bolt(parts=[], nut_height_mm=0, lengths_mm=LENGTHS),
            "nut_height_mm",
        ),
        (lambda: stack_mm(parts=[SectionPart("bed", math.nan)]), "thickness_mm of bed"),
        (lambda: next_length_mm(needed_mm=81, lengths_mm=LENGTHS), "needed_mm"),
        (lambda: next_length_mm(needed_mm=0, lengths_mm=LENGTHS), "needed_mm"),
        (lambda: hole_mm(bolt_mm=6, medium_fit_mm=5, plastic=False), "medium_fit_mm"),
        (lambda: hole_mm(bolt_mm=0, medium_fit_mm=5, plastic=False), "bolt_mm"),
        (
            lambda: hole_mm(bolt_mm=6, medium_fit_mm=6.6, plastic=True, plastic_over_mm=0),
            "plastic_over_mm",
        ),
        (lambda: softest_torque(limits_nm={}), "limits_nm"),
        (lambda: softest_torque(limits_nm={"skin": 0}), "limits_nm of skin"),
        (lambda: wrench_torque_nm(torque_nm=0, running_nm=1), "torque_nm"),
        (lambda: wrench_torque_nm(torque_nm=3, running_nm=-1), "running_nm"),
        (lambda: preload_n(torque_nm=3, diameter_mm=6, nut_factor=0), "nut_factor"),
        (
            lambda: way_round(
                nut_inside_mm=-1, head_inside_mm=8, underside_clear_mm=20, reach_shut=True
            ),
            "nut_inside_mm",
        ),
        (lambda: sleeve_length_mm(total_mm=0), "total_mm"),
        (lambda: packing_washers(packing_mm=-1, washer_mm=1.6), "packing_mm"),
    ],
)
def test_bad_fixing_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
