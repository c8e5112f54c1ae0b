"""Refusals of the vehicle figures."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.engineering import payload
from planner.errors import OutOfRangeError


def test_overload_shows_as_negative_payload() -> None:
    """Nothing is clamped: the shortfall is the figure."""
    assert payload.added_mass(parts_kg={"panel": 20}, spare_payload_kg=10).payload_left_kg == -12


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (
            lambda: payload.added_mass(parts_kg={"panel": -1}, spare_payload_kg=10),
            "parts_kg of panel",
        ),
        (lambda: payload.added_mass(parts_kg={}, spare_payload_kg=math.nan), "spare_payload_kg"),
        (
            lambda: payload.axle_shares(mass_kg=0, behind_front_mm=1, wheelbase_mm=3000),
            "mass_kg",
        ),
        (
            lambda: payload.axle_shares(mass_kg=1, behind_front_mm=1, wheelbase_mm=1000),
            "wheelbase_mm",
        ),
        (
            lambda: payload.new_height(
                height_mm=900, highest_item_mm=0, panel_top_mm=1, doubt_mm=20
            ),
            "height_mm",
        ),
        (
            lambda: payload.new_height(
                height_mm=2000, highest_item_mm=-1, panel_top_mm=1, doubt_mm=20
            ),
            "highest_item_mm",
        ),
        (
            lambda: payload.new_height(
                height_mm=2000, highest_item_mm=0, panel_top_mm=math.nan, doubt_mm=20
            ),
            "panel_top_mm",
        ),
    ],
)
def test_bad_vehicle_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
