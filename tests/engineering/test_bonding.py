"""Properties and refusals of the bonding calculations."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import bonding
from planner.errors import OutOfRangeError


@given(area=st.floats(1, 5000), width=st.floats(1, 50))
def test_length_and_area_of_a_ribbon_undo_each_other(area: float, width: float) -> None:
    """A ribbon of the length found has the area asked for."""
    length = bonding.ribbon_length_m(area_cm2=area, width_mm=width)
    laid = bonding.ribbon_area_laid_cm2(length_m=length, width_mm=width)
    assert laid == pytest.approx(area)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: bonding.ribbon_area_cm2(load_n=-1, stress_n_mm2=0.05), "load_n"),
        (lambda: bonding.ribbon_area_cm2(load_n=1, stress_n_mm2=0), "stress_n_mm2"),
        (lambda: bonding.ribbon_area_cm2(load_n=1, stress_n_mm2=5), "stress_n_mm2"),
        (
            lambda: bonding.squeezed_width_mm(
                bead_width_mm=8, bead_height_mm=2, thickness_mm=3
            ),
            "thickness_mm",
        ),
        (
            lambda: bonding.heat_movement_mm(
                length_mm=1000, first_cte_um_m_k=-1, second_cte_um_m_k=12, warming_k=60
            ),
            "first_cte_um_m_k",
        ),
        (lambda: bonding.bond_thickness_mm(movement_mm=math.nan), "movement_mm"),
        (lambda: bonding.shear_strain_pct(movement_mm=1, thickness_mm=-3), "thickness_mm"),
        (lambda: bonding.ribbon_area_laid_cm2(length_m=0, width_mm=13), "length_m"),
        (lambda: bonding.second_retention_needed(area_m2=0, top_speed_kmh=110), "area_m2"),
    ],
)
def test_bad_bond_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
