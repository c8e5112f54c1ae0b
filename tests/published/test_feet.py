"""Least number of feet against common practice, and raising it where the roof is weak."""

from __future__ import annotations

import pytest

from planner.engineering.brackets import Bolt, Bracket, Load, Skin
from planner.engineering.feet import choose_feet, least_feet
from planner.engineering.wind import inertia


@pytest.mark.parametrize(
    ("area_m2", "feet"), [(0.70, 4), (0.75, 4), (0.76, 6), (0.99, 6), (1.4, 6), (1.41, 8)]
)
def test_least_feet_by_area(area_m2: float, feet: int) -> None:
    """Common practice, no source: 4 up to 0.75 m², 6 up to 1.4 m², 8 above."""
    assert least_feet(area_m2=area_m2) == feet


@pytest.mark.parametrize(("washer_mm", "feet"), [(30.0, 6), (18.0, 10)])
def test_small_washers_ask_for_more_feet(washer_mm: float, feet: int) -> None:
    """Arithmetic: 0.99 m², skin 3 mm, factor 3 against 17.25 N/mm² (from memory).

    Six feet with 30 mm washers reach 3.2; with 18 mm they reach 1.9, so n must rise to at least
    6 · 3 / 1.93 = 9.3, the next even number of feet being 10.
    """
    result = choose_feet(
        area_m2=0.9916,
        load=Load(2277.5, inertia(mass_kg=13), height_mm=0, rows_apart_mm=670),
        bracket=Bracket(25, 15, 60, 5, 140),
        bolt=Bolt(6, 1, 6.6, 450, 700),
        skin=Skin(3, 17.25, 80, 3.14159265 * washer_mm, 600),
        factors={"bolt": 1.5, "bracket": 1.1, "skin": 3.0, "core": 2.0},
    )
    assert (result.feet, result.enough) == (feet, True)
