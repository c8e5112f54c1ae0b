"""Strength of bolts, brackets and skins against standards and a numerical library."""

from __future__ import annotations

import pytest
from scipy.integrate import quad

from planner.engineering.strength import (
    bolt_shear_n,
    bracket_stress_n_mm2,
    laminate_shear_n_mm2,
    proof_load_n,
    pull_through_n,
    stress_area_mm2,
    washer_area_mm2,
    washer_outline_mm,
)

ISO_898_1 = [(4, 0.7, 8.78), (5, 0.8, 14.2), (6, 1.0, 20.1), (8, 1.25, 36.6), (10, 1.5, 58.0)]
A2_70_PROOF_KN = {4: 3.95, 5: 6.39, 6: 9.05, 8: 16.5, 10: 26.1}
A4_80_PROOF_KN = {4: 5.27, 5: 8.52, 6: 12.1, 8: 22.0, 10: 34.8}


@pytest.mark.parametrize(("diameter", "pitch", "area"), ISO_898_1)
def test_stress_area_agrees_with_iso_898_1(diameter: float, pitch: float, area: float) -> None:
    """EN ISO 898-1, table of stress areas (restated on a secondary page); three figures."""
    assert stress_area_mm2(diameter_mm=diameter, pitch_mm=pitch) == pytest.approx(area, rel=0.004)


@pytest.mark.parametrize(("diameter", "pitch", "area"), ISO_898_1)
def test_proof_load_agrees_with_stress_areas_and_iso_3506_1(
    diameter: int, pitch: float, area: float
) -> None:
    """ISO 3506-1: Rp0.2 450 for A2-70, 600 for A4-80 (restated), times the tabulated area.

    The table of areas is rounded to three figures, hence 0.4 %.
    """
    assert pitch < diameter
    low = proof_load_n(area_mm2=area, proof_n_mm2=450) / 1000
    high = proof_load_n(area_mm2=area, proof_n_mm2=600) / 1000
    assert low == pytest.approx(A2_70_PROOF_KN[diameter], rel=0.004)
    assert high == pytest.approx(A4_80_PROOF_KN[diameter], rel=0.004)


def test_bolt_shear_uses_the_lower_factor_of_en_1993_1_8() -> None:
    """EN 1993-1-8:2005, Table 3.4: 0.5 for high-strength grades, 0.6 otherwise (restated)."""
    assert bolt_shear_n(area_mm2=20.1, tensile_n_mm2=700) == pytest.approx(0.5 * 700 * 20.1)


def test_interlaminar_shear_of_hand_laid_laminate() -> None:
    """ISO 12215-5:2008, Table C.4 (from memory): 17.25 N/mm² at 30 % glass by mass."""
    assert laminate_shear_n_mm2(glass_fraction=0.30) == pytest.approx(17.25)


def test_pull_through_of_a_thirty_millimetre_washer() -> None:
    """Arithmetic on the value above: π · 30 · 3 · 17.25 = 4.9 kN."""
    outline = washer_outline_mm(diameter_mm=30)
    load = pull_through_n(outline_mm=outline, skin_mm=3, shear_n_mm2=17.25)
    assert load / 1000 == pytest.approx(4.9, abs=0.05)


def test_bending_stress_balances_the_moment_over_the_section() -> None:
    """General-purpose library scipy: the stress over the section adds up to the moment.

    A stress that rises in a straight line to the value found at the face, integrated over the
    net section, must give P e.
    """
    stress = bracket_stress_n_mm2(
        load_n=570, arm_mm=25, width_mm=60, hole_mm=6.6, thickness_mm=4
    )
    moment, _ = quad(lambda z: stress * z / 2 * z * (60 - 6.6), -2, 2)
    assert moment == pytest.approx(570 * 25, rel=1e-9)


def test_washer_area_is_the_ring_by_integration() -> None:
    """General-purpose library scipy: rings from hole to rim add up to the bearing area."""
    area, _ = quad(lambda r: 2 * 3.141592653589793 * r, 6.4 / 2, 30 / 2)
    assert washer_area_mm2(diameter_mm=30, hole_mm=6.4) == pytest.approx(area)
