"""Cold allowance, props and dummy load against worked vectors and makers' data."""

from __future__ import annotations

import pytest

from planner.engineering.lift_proof import (
    cold_extra_kg,
    cold_extra_kg_m,
    dummy_load,
    lift_needs,
    prop_rating_kg,
)


def test_cold_extra_of_the_worked_roof() -> None:
    """Arithmetic: 61.2 kg m, 20 to -5 °C: k = 0.0875, 61.2 · k / (1 - k) = 5.9 kg m."""
    extra = cold_extra_kg_m(total_kg_m=61.2, test_c=20, coldest_c=-5)
    assert extra == pytest.approx(5.9, abs=0.05)


def test_cold_extra_at_the_panel() -> None:
    """Arithmetic: 45 kg at 1.10 m and 13 kg at 0.90 m; 5.9 kg m at 0.90 m is 6.5 kg."""
    extra = cold_extra_kg(
        added_kg=13, added_arm_mm=900, roof_kg=45, roof_arm_mm=1100, test_c=20, coldest_c=-5
    )
    assert extra == pytest.approx(6.5, abs=0.05)


def test_unknown_shell_takes_a_quarter() -> None:
    """Common practice, no source."""
    extra = cold_extra_kg(
        added_kg=13, added_arm_mm=900, roof_kg=None, roof_arm_mm=1100, test_c=20, coldest_c=-5
    )
    assert extra == 3.25


@pytest.mark.parametrize("drop_k", [10.0, 20.0])
def test_strut_loss_lies_between_the_makers_figures(drop_k: float) -> None:
    """Gas-spring makers' data: 3 to 4 % for 10 K (two secondary pages).

    The extra load that a strut weaker by k can no longer carry is M k / (1 - k).
    """
    extra = cold_extra_kg_m(total_kg_m=1, test_c=20, coldest_c=20 - drop_k)
    low, high = 0.003 * drop_k, 0.004 * drop_k
    assert low / (1 - low) <= extra <= high / (1 - high)


def test_props_of_the_worked_roof() -> None:
    """Common practice: twice shell and panel, 2 · (45 + 13) = 116 kg each."""
    assert prop_rating_kg(roof_kg=45, added_kg=13) == 116


@pytest.mark.parametrize(
    ("limit_kg", "load_kg", "rest_kg"), [(None, 19.5, 0.0), (15.0, 15.0, 4.5), (30.0, 19.5, 0.0)]
)
def test_dummy_load_never_exceeds_the_makers_limit(
    limit_kg: float | None, load_kg: float, rest_kg: float
) -> None:
    """Arithmetic: 13 + 6.5 = 19.5 kg; over the limit the rest is calculated, not loaded."""
    found = dummy_load(added_kg=13, cold_extra_kg=6.5, limit_kg=limit_kg)
    assert (found.load_kg, found.calculated_kg) == (load_kg, rest_kg)
    assert found.limited is (rest_kg > 0)


@pytest.mark.parametrize(
    ("ratio", "limit_kg", "needs"),
    [
        (0.15, None, "dummy load"),
        (0.20, 20.0, "dummy load"),
        (0.236, 20.0, "owner signs"),
        (0.35, None, "owner signs"),
        (0.36, None, "written agreement"),
        (0.15, 12.9, "written agreement"),
        (0.15, 13.0, "dummy load"),
    ],
)
def test_what_must_be_in_hand(ratio: float, limit_kg: float | None, needs: str) -> None:
    """Common practice, no source: 0.20 and 0.35, and a known limit wins."""
    assert lift_needs(ratio=ratio, added_kg=13, limit_kg=limit_kg) == needs


def test_a_shop_with_lower_limits_is_asked_sooner() -> None:
    """Class and what it asks for follow the same limits: 0.26 is over a shop's own 0.25."""
    assert lift_needs(ratio=0.26, added_kg=13, limit_kg=None) == "owner signs"
    stricter = lift_needs(ratio=0.26, added_kg=13, limit_kg=None, limits=(0.05, 0.15, 0.25))
    assert stricter == "written agreement"
