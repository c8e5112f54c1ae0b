"""Water vapour, dew point and density of the air around the van."""

from __future__ import annotations

import math

from planner.engineering.guards import above_to, within

STANDARD_DENSITY_KG_M3 = 1.225
"""Density of dry air at 15 °C and 1013.25 hPa, ISO 2533:1975 (from memory)."""


def saturation_pressure_hpa(*, air_c: float) -> float:
    """Return the vapour pressure of air that can hold no more water.

    Args:
        air_c: Air temperature [°C], -45 to 60.

    Returns:
        Pressure [hPa] over liquid water.

    Raises:
        OutOfRangeError: If the temperature is out of range.

    Notes:
        Magnus form: e = 6.112 · exp(17.62 t / (243.12 + t)).

    References:
        .. [1] WMO-No. 8, Guide to Meteorological Instruments and Methods of Observation, Annex
           4.B (from memory).
    """
    within("air_c", air_c, -45, 60)
    return 6.112 * math.exp(17.62 * air_c / (243.12 + air_c))


def vapour_pressure_hpa(*, air_c: float, humidity_pct: float) -> float:
    """Return the pressure of the water vapour that the air does hold.

    Args:
        air_c: Air temperature [°C], -45 to 60.
        humidity_pct: Relative humidity [%], above 0 to 100.

    Returns:
        Vapour pressure [hPa].

    Raises:
        OutOfRangeError: If either argument is out of range.

    Notes:
        e = RH/100 · e_saturation(t).

    References:
        .. [1] As for ``saturation_pressure_hpa``.
    """
    above_to("humidity_pct", humidity_pct, 0, 100)
    return humidity_pct / 100 * saturation_pressure_hpa(air_c=air_c)


def dew_point_c(*, air_c: float, humidity_pct: float) -> float:
    """Return the temperature at which this air begins to wet a surface.

    Args:
        air_c: Air temperature [°C], -45 to 60.
        humidity_pct: Relative humidity [%], above 0 to 100.

    Returns:
        Dew point [°C], at most the air temperature.

    Raises:
        OutOfRangeError: If either argument is out of range.

    Notes:
        The Magnus form turned round: g = ln(e / 6.112), t = 243.12 g / (17.62 - g).

    References:
        .. [1] As for ``saturation_pressure_hpa``.
    """
    e = vapour_pressure_hpa(air_c=air_c, humidity_pct=humidity_pct)
    g = math.log(e / 6.112)
    return 243.12 * g / (17.62 - g)


def air_density_kg_m3(*, air_c: float = 15.0, pressure_hpa: float = 1013.25) -> float:
    """Return the density of dry air.

    Args:
        air_c: Air temperature [°C], -60 to 60.
        pressure_hpa: Pressure [hPa], 500 to 1100: from high passes to strong highs at sea level.

    Returns:
        Density [kg/m³].

    Raises:
        OutOfRangeError: If either argument is out of range.

    Notes:
        Perfect gas: ρ = p / (R T) with R = 287.053 J/(kg K). Moisture makes air lighter by less
        than 1 %, so dry air errs on the side of more uplift.

    References:
        .. [1] ISO 2533:1975, Standard Atmosphere, clause 2 (from memory).
    """
    within("air_c", air_c, -60, 60)
    within("pressure_hpa", pressure_hpa, 500, 1100)
    return pressure_hpa * 100 / (287.053 * (air_c + 273.15))
