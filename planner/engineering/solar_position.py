"""Where the sun stands and how strong it can be, for the readings of the bench test."""

from __future__ import annotations

import math
from datetime import UTC, datetime

from msgspec import Struct

from planner.engineering.guards import within
from planner.errors import OutOfRangeError


class SunNow(Struct, frozen=True):
    """Sun and clear sky at one place and moment.

    Attributes:
        height_deg: Height of the sun's centre above the horizon; below 0 at night.
        clear_sky_w_m2: Irradiance on a flat roof under a cloudless sky.
    """

    height_deg: float
    clear_sky_w_m2: float


def declination_spencer_rad(*, day_of_year: float) -> float:
    """Return the sun's declination by Spencer's Fourier series.

    Args:
        day_of_year: 1 to 366.99; the fraction is the part of the day gone, UTC.

    Returns:
        Declination [rad], north positive.

    Raises:
        OutOfRangeError: If the day is not 1 to 367.

    Notes:
        Good to about 0.04° in a mean year; the leap-year cycle adds up to 0.2° near the equinoxes.

    References:
        Spencer 1971, Fourier series representation of the position of the sun (from memory).
    """
    within("day_of_year", day_of_year, 1, 367)
    b = math.tau * (day_of_year - 1) / 365
    return (
        0.006918
        - 0.399912 * math.cos(b)
        + 0.070257 * math.sin(b)
        - 0.006758 * math.cos(2 * b)
        + 0.000907 * math.sin(2 * b)
        - 0.002697 * math.cos(3 * b)
        + 0.00148 * math.sin(3 * b)
    )


def equation_of_time_min(*, day_of_year: float) -> float:
    """Return by how much a sundial runs ahead of the clock, by Spencer's series.

    Args:
        day_of_year: 1 to 366.99.

    Returns:
        Minutes, positive when the sundial is ahead (about +16 in early November).

    Raises:
        OutOfRangeError: If the day is not 1 to 367.

    References:
        Spencer 1971 (from memory); constant 229.18 min/rad = 1440 / 2π.
    """
    within("day_of_year", day_of_year, 1, 367)
    b = math.tau * (day_of_year - 1) / 365
    return 229.18 * (
        0.000075
        + 0.001868 * math.cos(b)
        - 0.032077 * math.sin(b)
        - 0.014615 * math.cos(2 * b)
        - 0.04089 * math.sin(2 * b)
    )


def sun_height_deg(*, latitude_deg: float, longitude_deg: float, when: datetime) -> float:
    """Return the height of the sun's centre above the horizon, without refraction.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        longitude_deg: East positive [°], -180 to 180.
        when: The moment, with its time zone.

    Returns:
        Height [°], -90 to 90.

    Raises:
        OutOfRangeError: If the place is off the globe or the time has no zone.

    Notes:
        sin h = sin φ sin δ + cos φ cos δ cos ω, with ω from mean solar time plus the equation
        of time. Refraction (0.5° at the horizon, under 0.1° above 10°) is left out.

    References:
        Duffie and Beckman, Solar Engineering of Thermal Processes, section 1.6 (from memory).
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("longitude_deg", longitude_deg, -180.0, 180.0)
    if when.tzinfo is None:
        raise OutOfRangeError("when", when, "a time with its zone, such as 12:00 UTC")
    utc = when.astimezone(UTC)
    hours = utc.hour + utc.minute / 60 + utc.second / 3600
    day = utc.timetuple().tm_yday + hours / 24
    solar_h = hours + longitude_deg / 15 + equation_of_time_min(day_of_year=day) / 60
    hour_angle = math.radians(15 * (solar_h - 12))
    latitude, declination = math.radians(latitude_deg), declination_spencer_rad(day_of_year=day)
    sine = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(
        declination
    ) * math.cos(hour_angle)
    return math.degrees(math.asin(max(-1.0, min(1.0, sine))))  # rounding only, never the sky


def noon_height_deg(*, latitude_deg: float, day_of_year: int) -> float:
    """Return the height of the sun when it is highest, without refraction.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        day_of_year: 1 to 366.

    Returns:
        Height [°]; below 0 in the polar night.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        h = 90° − |φ − δ|, with the declination of noon.

    References:
        Duffie and Beckman, Solar Engineering of Thermal Processes, section 1.6 (from memory).
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    declination = declination_spencer_rad(day_of_year=day_of_year + 0.5)
    return 90.0 - abs(latitude_deg - math.degrees(declination))


def clear_sky_horizontal_w_m2(*, sun_height_deg: float) -> float:
    """Return the irradiance on a flat surface under a cloudless sky, by Haurwitz.

    Args:
        sun_height_deg: Height of the sun [°], -90 to 90.

    Returns:
        Irradiance [W/m²]; 0 with the sun on or below the horizon.

    Raises:
        OutOfRangeError: If the height is not -90 to 90.

    Notes:
        G = 1098 · sin h · exp(−0.059 / sin h). Knows nothing of haze or altitude.

    References:
        Haurwitz 1945, Journal of Meteorology 2, with the exponent as restated by Reno, Hansen and
        Stein 2012, SAND2012-2389 (from memory; agrees with general-purpose library pvlib).
    """
    within("sun_height_deg", sun_height_deg, -90.0, 90.0)
    sine = math.sin(math.radians(sun_height_deg))
    return 1098.0 * sine * math.exp(-0.059 / sine) if sine > 0 else 0.0


def sun_now(*, latitude_deg: float, longitude_deg: float, when: datetime) -> SunNow:
    """Return sun height and clear-sky irradiance together; see the two functions above."""
    height = sun_height_deg(latitude_deg=latitude_deg, longitude_deg=longitude_deg, when=when)
    return SunNow(height, clear_sky_horizontal_w_m2(sun_height_deg=height))
