"""The number of feet is raised where needed, never lowered, and says when nothing is enough."""

from __future__ import annotations

import pytest

from planner.engineering.brackets import Bolt, Bracket, Load, Skin
from planner.engineering.feet import FeetResult, choose_feet, least_feet
from planner.engineering.wind import inertia
from planner.errors import OutOfRangeError


def choose(skin_mm: float, area_m2: float = 0.5, uplift_n: float = 1000) -> FeetResult:
    """Return the feet of a panel on a skin."""
    return choose_feet(
        area_m2=area_m2,
        load=Load(uplift_n, inertia(mass_kg=8), height_mm=60, rows_apart_mm=540),
        bracket=Bracket(25, 15, 60, 5, 140),
        bolt=Bolt(6, 1, 6.6, 450, 700),
        skin=Skin(skin_mm, 17.25, 80, 94.2, 672),
        factors={"bolt": 1.5, "bracket": 1.1, "skin": 3.0, "core": 2.0},
    )


def test_strong_roof_does_not_lower_the_minimum() -> None:
    """Hardly any load still takes the common-practice number."""
    assert choose(10, uplift_n=1).feet == 4
    assert choose(10, area_m2=2, uplift_n=1).feet == 8


def test_thin_skin_raises_the_number_and_names_the_reason() -> None:
    """The skin governs, and one foot pair fewer would not have been enough."""
    result = choose(1.5)
    assert result.feet > result.least
    assert result.enough
    assert result.governing.part == "washer or plate pulling through the skin"


def test_hopeless_skin_is_said_not_hidden() -> None:
    """Twelve feet that are not enough are returned as not enough."""
    result = choose(0.2, uplift_n=3000)
    assert (result.feet, result.enough) == (12, False)
    assert result.governing.utilisation > 1


def test_area_must_be_there() -> None:
    """Nothing has no feet."""
    with pytest.raises(OutOfRangeError, match="area_m2"):
        least_feet(area_m2=0)
