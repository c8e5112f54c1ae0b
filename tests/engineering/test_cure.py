"""Cure: nothing is sooner than the datasheet, and cold earns nothing."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import cure
from planner.errors import OutOfRangeError


@given(coldest=st.floats(5, 40), humidity=st.floats(5, 100))
def test_nothing_is_sooner_than_the_datasheet(coldest: float, humidity: float) -> None:
    """Warm, damp air is no licence to drive early."""
    factor = cure.cure_factor(coldest_c=coldest, humidity_pct=humidity)
    times = cure.cure_times(table=cure.BONDED, factor=factor, datasheet_h=100)
    assert factor >= 1
    assert times.drive_h >= 100
    assert times.handle_h <= times.drive_h <= times.full_speed_h


def test_below_five_degrees_there_is_no_factor() -> None:
    """Such hours are left out and the wait by the clock grows instead."""
    with pytest.raises(OutOfRangeError, match=r"coldest_c is 4\.9"):
        cure.cure_factor(coldest_c=4.9, humidity_pct=80)
    assert cure.clock_hours(cure_h=48, counted_h_per_day=12) == 96


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: cure.cure_factor(coldest_c=math.nan, humidity_pct=50), "coldest_c"),
        (lambda: cure.cure_factor(coldest_c=20, humidity_pct=0), "humidity_pct"),
        (lambda: cure.cure_factor(coldest_c=6, humidity_pct=50, steps=((10, 1),)), "coldest_c"),
        (lambda: cure.clock_hours(cure_h=1, counted_h_per_day=0), "counted_h_per_day"),
        (lambda: cure.through_cure_h(depth_mm=-1, depth_24h_mm=3), "depth_mm"),
        (lambda: cure.through_cure_h(depth_mm=1, depth_24h_mm=0), "depth_24h_mm"),
        (lambda: cure.through_cure_h(depth_mm=1, depth_24h_mm=3, factor=0.5), "factor"),
        (lambda: cure.cure_times(table=cure.BEDDED, factor=0.9), "factor"),
        (lambda: cure.cure_times(table=cure.BEDDED, factor=1, through_h=-1), "through_h"),
        (lambda: cure.closed_joint(width_mm=0, depth_24h_mm=3, factor=1), "width_mm"),
        (lambda: cure.resin_h(at_20c_h=24, coldest_c=9.9), "coldest_c"),
        (lambda: cure.resin_h(at_20c_h=0, coldest_c=20), "at_20c_h"),
    ],
)
def test_bad_cure_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
