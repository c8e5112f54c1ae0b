"""Dynamic pressure, uplift and inertia against published values and the stated assumptions."""

from __future__ import annotations

import pytest

from planner.engineering.wind import dynamic_pressure_pa, inertia, planning_speed_kmh, uplift_n


@pytest.mark.parametrize(("speed_kmh", "pressure_pa"), [(100, 473), (130, 799), (160, 1210)])
def test_dynamic_pressure_by_hand(speed_kmh: float, pressure_pa: float) -> None:
    """Arithmetic: 1.225/2 · (v/3.6)², at the density of ISO 2533 (from memory)."""
    assert dynamic_pressure_pa(speed_kmh=speed_kmh) == pytest.approx(pressure_pa, abs=0.5)


@pytest.mark.parametrize(
    ("speed_kmh", "pressure_pa"), [(80, 308.6), (100, 482.3), (120, 694.4), (130, 815.0)]
)
def test_dynamic_pressure_at_the_density_of_en_1991(speed_kmh: float, pressure_pa: float) -> None:
    """EN 1991-1-4:2005, clause 4.5, recommended density 1.25 kg/m³ (read on a secondary page)."""
    found = dynamic_pressure_pa(speed_kmh=speed_kmh, density_kg_m3=1.25)
    assert found == pytest.approx(pressure_pa, abs=0.1)


def test_seventy_miles_an_hour() -> None:
    """Arithmetic: 31.29 m/s gives 599.8 Pa."""
    assert dynamic_pressure_pa(speed_kmh=70 * 1.609344) == pytest.approx(599.8, abs=0.3)


def test_planning_speed_is_never_below_180() -> None:
    """Planning assumption: 130 km/h at least, and 50 km/h of headwind."""
    assert planning_speed_kmh(top_speed_kmh=100) == 180
    assert planning_speed_kmh(top_speed_kmh=130) == 180
    assert planning_speed_kmh(top_speed_kmh=160) == 210
    assert dynamic_pressure_pa(speed_kmh=180) == pytest.approx(1531, abs=0.5)


@pytest.mark.parametrize(("area_m2", "uplift_kn"), [(0.70, 1.61), (1.48 * 0.67, 2.28)])
def test_uplift_of_two_panels(area_m2: float, uplift_kn: float) -> None:
    """Arithmetic on planning assumptions: q 1531 Pa, C 1.5, weight not subtracted."""
    force = uplift_n(pressure_pa=dynamic_pressure_pa(speed_kmh=180), area_m2=area_m2)
    assert force / 1000 == pytest.approx(uplift_kn, abs=0.005)


def test_inertia_is_at_least_that_of_en_12195_1() -> None:
    """EN 12195-1 on the road: 0.8 forward, 0.5 sideways and rearward (read on a secondary page).

    Its scope excludes vehicles up to 3.5 t because lighter ones can see more, hence "at least".
    """
    pull = inertia(mass_kg=10)
    weight = 10 * 9.80665
    assert pull.forward_n >= 0.8 * weight
    assert pull.sideways_n >= 0.5 * weight
    assert pull.rearward_n >= 0.5 * weight


def test_inertia_allows_for_pitching() -> None:
    """German insurers' cargo handbook, chapter 5.1: 0.8 g of braking can mean 1.0 g on cargo."""
    assert inertia(mass_kg=13).forward_n == pytest.approx(13 * 9.80665)
