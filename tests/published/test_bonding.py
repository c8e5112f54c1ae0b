"""Ribbon areas and heat movement against worked figures."""

from __future__ import annotations

import pytest

from planner.engineering.bonding import (
    bond_need,
    bond_thickness_mm,
    heat_movement_mm,
    ribbon_area_cm2,
    ribbon_length_m,
    second_retention_needed,
    shear_strain_pct,
    squeezed_width_mm,
)


@pytest.mark.parametrize(
    ("uplift_n", "area_cm2", "length_m"), [(1608, 322, 2.5), (2278, 456, 3.5)]
)
def test_ribbon_for_two_panels(uplift_n: float, area_cm2: float, length_m: float) -> None:
    """Planning assumption, 0.05 N/mm²: 1608 / 0.05 = 32 160 mm², in 13 mm ribbon 2.5 m."""
    area = ribbon_area_cm2(load_n=uplift_n, stress_n_mm2=0.05)
    assert area == pytest.approx(area_cm2, abs=0.6)
    assert ribbon_length_m(area_cm2=area, width_mm=13) == pytest.approx(length_m, abs=0.05)


def test_an_eight_by_ten_bead_becomes_thirteen_wide() -> None:
    """Geometry: 8 · 10 / 2 = 40 mm² pressed to 3 mm is 13.3 mm wide."""
    width = squeezed_width_mm(bead_width_mm=8, bead_height_mm=10, thickness_mm=3)
    assert width == pytest.approx(13.3, abs=0.05)


@pytest.mark.parametrize(
    ("length", "first", "second", "movement"),
    [
        (1200, 23.1, 12, 0.80),  # aluminium frame on a steel roof
        (1100, 68, 25, 2.8),  # polycarbonate on laminate
        (1100, 68, 12, 3.7),  # polycarbonate on steel
        (1100, 68, 23, 3.0),  # polycarbonate on aluminium
        (1500, 23, 25, 0.2),  # aluminium rail on laminate
        (1500, 23, 12, 1.0),  # aluminium rail on steel
    ],
)
def test_heat_movement(length: float, first: float, second: float, movement: float) -> None:
    """Arithmetic on handbook expansion figures (from memory), 60 K. Printed to one decimal."""
    found = heat_movement_mm(
        length_mm=length, first_cte_um_m_k=first, second_cte_um_m_k=second, warming_k=60
    )
    assert found == pytest.approx(movement, abs=0.05)


def test_shear_of_an_aluminium_frame_on_steel() -> None:
    """Arithmetic: 0.40 mm at each end in a 3 mm bond is 13 %."""
    assert shear_strain_pct(movement_mm=0.80, thickness_mm=3) == pytest.approx(13.3, abs=0.1)


@pytest.mark.parametrize(("movement_mm", "thickness_mm"), [(0.8, 3.0), (3.7, 3.7)])
def test_bond_thickness(movement_mm: float, thickness_mm: float) -> None:
    """Common practice: 3 mm, or twice the movement at an end where that is more."""
    assert bond_thickness_mm(movement_mm=movement_mm) == pytest.approx(thickness_mm)


def test_standing_load_governs_a_heavy_panel_on_a_steep_roof() -> None:
    """Planning assumption: 0.02 N/mm² for what never goes away. 300/0.02 against 600/0.05."""
    need = bond_need(gust_n=600, permanent_n=300)
    assert need.area_cm2 == pytest.approx(150)
    assert need.governed_by == "standing load"


@pytest.mark.parametrize(
    ("area_m2", "speed", "needed"),
    [(0.69, 110, False), (0.70, 110, True), (0.50, 111, True)],
)
def test_second_retention(area_m2: float, speed: float, needed: bool) -> None:
    """Common practice, no source: from 0.7 m² or above 110 km/h."""
    assert second_retention_needed(area_m2=area_m2, top_speed_kmh=speed) is needed
