"""Sealant yield against tables, and volumes against a numerical library."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad

from planner.engineering.sealant import (
    HoleSeal,
    bead_area_mm2,
    bead_length_m,
    box_volume_ml,
    cartridges,
    hole_volume_ml,
)


@pytest.mark.parametrize(
    ("cartridge_ml", "bead_mm", "length_m"),
    [
        (310, 4, 24.7), (310, 5, 15.8), (310, 6, 10.96), (310, 8, 6.17), (310, 10, 3.95),
        (290, 4, 23.1), (290, 5, 14.8), (290, 6, 10.3), (290, 8, 5.77), (290, 10, 3.69),
    ],
)
def test_yield_of_a_round_bead(cartridge_ml: float, bead_mm: float, length_m: float) -> None:
    """Arithmetic: cartridge / (π d²/4), printed to three figures, so within 0.5 %."""
    area = bead_area_mm2(width_mm=bead_mm, height_mm=bead_mm, shape="round")
    found = bead_length_m(cartridge_ml=cartridge_ml, area_mm2=area)
    assert found == pytest.approx(length_m, rel=0.005)


@pytest.mark.parametrize(("side_mm", "length_m"), [(6, 17.2), (8, 9.69), (10, 6.2), (12, 4.31)])
def test_yield_of_a_triangular_bead(side_mm: float, length_m: float) -> None:
    """Arithmetic: 310 ml / (w h / 2), printed to three figures."""
    area = bead_area_mm2(width_mm=side_mm, height_mm=side_mm, shape="triangle")
    assert bead_length_m(cartridge_ml=310, area_mm2=area) == pytest.approx(length_m, rel=0.005)


def test_yield_agrees_with_a_makers_rounded_figure() -> None:
    """A sealant quantity page (secondary): 300 ml gives about 3.7 m of 10 mm bead; theory 3.82.

    Tolerance 4 %: the page rounds down.
    """
    area = bead_area_mm2(width_mm=10, height_mm=10, shape="round")
    assert bead_length_m(cartridge_ml=300, area_mm2=area) == pytest.approx(3.7, rel=0.04)


def test_half_round_bead_is_0_393_of_its_square() -> None:
    """A sealant quantity guide (secondary): 0.393 w²."""
    area = bead_area_mm2(width_mm=10, height_mm=5, shape="half_round")
    assert area == pytest.approx(39.3, abs=0.05)


def test_hole_volume_agrees_with_integration() -> None:
    """General-purpose library scipy: ring and chamfer as shells of revolution about the bolt."""
    seal = HoleSeal(6, 6.6, 4, 1.0, bed_area_mm2=3600, bed_mm=1.5, edge_mm=240, fillet_mm=4)
    ring, _ = quad(lambda r: 2 * math.pi * r * 4, 3, 3.3)
    chamfer, _ = quad(lambda r: 2 * math.pi * r * (1 - (r - 3.3)), 3.3, 4.3)
    fillet, _ = quad(lambda x: 240 * (4 - x), 0, 4)
    expected = (ring + chamfer + 3600 * 1.5 + fillet) / 1000
    assert hole_volume_ml(seal=seal) == pytest.approx(expected)


def test_box_volume_by_hand() -> None:
    """Arithmetic: flange of 15 mm round 160 × 100 mm, 1.5 mm bed, 5 mm fillet.

    (16 000 - 130 · 70) · 1.5 + 520 · 12.5 = 10 350 + 6 500 mm³ = 16.85 ml.
    """
    volume = box_volume_ml(
        length_mm=160, width_mm=100, flange_mm=15, bed_mm=1.5, fillet_mm=5
    )
    assert volume == pytest.approx(16.85)


@pytest.mark.parametrize(("volume_ml", "count"), [(0, 0), (100, 1), (263.6, 1), (263.7, 2)])
def test_cartridges_with_a_tenth_of_waste(volume_ml: float, count: int) -> None:
    """Practice (secondary page): 10 % waste. 290 / 1.1 = 263.6 ml."""
    assert cartridges(volume_ml=volume_ml, cartridge_ml=290).count == count
