"""The day's length and its sunlight on a flat roof, from latitude and date alone."""

from __future__ import annotations

import math

from planner.engineering.guards import above_to, within

SOLAR_CONSTANT_MJ_M2_MIN = 0.0820


def declination_cooper_rad(*, day_of_year: int) -> float:
    """Return the sun's declination by Cooper's formula.

    Args:
        day_of_year: 1 to 366.

    Returns:
        Declination [rad], north positive.

    Raises:
        OutOfRangeError: If the day is not 1 to 366.

    Notes:
        δ = 23.45° · sin(2π (284 + n) / 365). Within 1° of the almanac.

    References:
        Cooper 1969, as equation 1.6.1a of Duffie and Beckman, Solar Engineering of Thermal
        Processes (from memory).
    """
    within("day_of_year", day_of_year, 1, 366)
    return math.radians(23.45) * math.sin(math.tau * (284 + day_of_year) / 365)


def declination_fao_rad(*, day_of_year: int) -> float:
    """Return the sun's declination by equation 24 of FAO-56.

    Args:
        day_of_year: 1 to 366.

    Returns:
        Declination [rad], north positive.

    Raises:
        OutOfRangeError: If the day is not 1 to 366.

    Notes:
        δ = 0.409 · sin(2π J / 365 − 1.39).

    References:
        FAO Irrigation and Drainage Paper 56 (1998), equation 24.
    """
    within("day_of_year", day_of_year, 1, 366)
    return 0.409 * math.sin(math.tau * day_of_year / 365 - 1.39)


def sunset_hour_angle_rad(*, latitude_deg: float, declination_rad: float) -> float:
    """Return the hour angle at which the sun sets.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        declination_rad: Declination [rad], -0.42 to 0.42.

    Returns:
        Hour angle [rad]: 0 where the sun never rises that day, π where it never sets.

    Raises:
        OutOfRangeError: If either argument is out of range.

    References:
        FAO-56 (1998), equation 25: ωs = arccos(−tan φ tan δ).
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("declination_rad", declination_rad, -0.42, 0.42)
    cosine = -math.tan(math.radians(latitude_deg)) * math.tan(declination_rad)
    if cosine >= 1:
        return 0.0
    return math.pi if cosine <= -1 else math.acos(cosine)


def daylight_h(*, latitude_deg: float, day_of_year: int) -> float:
    """Return the hours from sunrise to sunset.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        day_of_year: 1 to 366.

    Returns:
        Hours, 0 to 24.

    Raises:
        OutOfRangeError: If either argument is out of range.

    References:
        FAO-56 (1998), equation 34: N = 24/π · ωs.
    """
    declination = declination_fao_rad(day_of_year=day_of_year)
    angle = sunset_hour_angle_rad(latitude_deg=latitude_deg, declination_rad=declination)
    return 24 / math.pi * angle


def extraterrestrial_mj_m2(
    *,
    latitude_deg: float,
    day_of_year: int,
    declination_rad: float | None = None,
    solar_constant_mj_m2_min: float = SOLAR_CONSTANT_MJ_M2_MIN,
) -> float:
    """Return the day's sunlight on a flat surface above the atmosphere.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        day_of_year: 1 to 366.
        declination_rad: Declination [rad]; FAO-56 equation 24 when left out.
        solar_constant_mj_m2_min: 0.0820 in FAO-56; 1367 W/m² is 0.08202; 0.08 to 0.084.

    Returns:
        Energy [MJ/m² a day].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Ra = (24·60/π) · Gsc · dr · (ωs sin φ sin δ + cos φ cos δ sin ωs),
        dr = 1 + 0.033 cos(2πJ/365).

    References:
        FAO-56 (1998), equations 21, 23, 24 and 25.
    """
    within("solar_constant_mj_m2_min", solar_constant_mj_m2_min, 0.08, 0.084)
    within("day_of_year", day_of_year, 1, 366)
    delta = declination_fao_rad(day_of_year=day_of_year)
    delta = delta if declination_rad is None else declination_rad
    omega = sunset_hour_angle_rad(latitude_deg=latitude_deg, declination_rad=delta)
    distance = 1 + 0.033 * math.cos(math.tau * day_of_year / 365)
    phi = math.radians(latitude_deg)
    path = omega * math.sin(phi) * math.sin(delta) + math.cos(phi) * math.cos(delta) * math.sin(
        omega
    )
    return 24 * 60 / math.pi * solar_constant_mj_m2_min * distance * path


def sunshine_radiation_mj_m2(
    *, extraterrestrial_mj_m2: float, sunshine_h: float, daylight_h: float
) -> float:
    """Return the day's sunlight on the ground from its hours of sunshine.

    Args:
        extraterrestrial_mj_m2: Ra of the day [MJ/m²], 0 to 50.
        sunshine_h: Hours of bright sunshine, 0 to ``daylight_h``.
        daylight_h: Hours from sunrise to sunset, more than 0 and at most 24.

    Returns:
        Energy [MJ/m² a day].

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        FAO-56 (1998), equation 35 with as 0.25 and bs 0.50.
    """
    within("extraterrestrial_mj_m2", extraterrestrial_mj_m2, 0.0, 50.0)
    above_to("daylight_h", daylight_h, 0, 24)
    within("sunshine_h", sunshine_h, 0.0, daylight_h)
    return (0.25 + 0.50 * sunshine_h / daylight_h) * extraterrestrial_mj_m2


def clear_day_radiation_mj_m2(*, extraterrestrial_mj_m2: float, altitude_m: float) -> float:
    """Return the sunlight of a cloudless day on the ground.

    Args:
        extraterrestrial_mj_m2: Ra of the day [MJ/m²], 0 to 50.
        altitude_m: Height above the sea [m], -430 to 6000.

    Returns:
        Energy [MJ/m² a day].

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        FAO-56 (1998), equation 37: Rso = (0.75 + 2·10⁻⁵ z) Ra.
    """
    within("extraterrestrial_mj_m2", extraterrestrial_mj_m2, 0.0, 50.0)
    within("altitude_m", altitude_m, -430.0, 6000.0)
    return (0.75 + 2e-5 * altitude_m) * extraterrestrial_mj_m2
