"""Sun and daylight: symmetry, polar days, and what is refused."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.daylight import (
    clear_day_radiation_mj_m2,
    daylight_h,
    declination_cooper_rad,
    declination_fao_rad,
    extraterrestrial_mj_m2,
    sunset_hour_angle_rad,
    sunshine_radiation_mj_m2,
)
from planner.engineering.solar_position import (
    clear_sky_horizontal_w_m2,
    declination_spencer_rad,
    equation_of_time_min,
    noon_height_deg,
    sun_height_deg,
    sun_now,
)
from planner.errors import OutOfRangeError

NAN = float("nan")
NOON = datetime(2026, 6, 21, 12, 0, tzinfo=UTC)


@given(st.floats(-90, 90), st.integers(1, 365))
def test_day_here_and_night_on_the_other_side_make_24_hours(latitude: float, day: int) -> None:
    """Day length at a latitude and at its mirror add up to a day."""
    both = daylight_h(latitude_deg=latitude, day_of_year=day) + daylight_h(
        latitude_deg=-latitude, day_of_year=day
    )
    assert both == pytest.approx(24)


def test_polar_day_and_night() -> None:
    """At 80° N the midsummer sun stays up and the midwinter sun stays down."""
    assert daylight_h(latitude_deg=80, day_of_year=172) == 24
    assert daylight_h(latitude_deg=80, day_of_year=355) == 0
    assert extraterrestrial_mj_m2(latitude_deg=80, day_of_year=355) == pytest.approx(0)


def test_same_moment_in_another_zone_is_the_same_sun() -> None:
    """12:00 UTC and 14:00 two hours east of it are one moment."""
    east = datetime(2026, 6, 21, 14, 0, tzinfo=timezone(timedelta(hours=2)))
    place = {"latitude_deg": 52.0, "longitude_deg": 5.0}
    assert sun_height_deg(**place, when=NOON) == sun_height_deg(**place, when=east)


@given(st.floats(0, 90), st.floats(0.1, 10))
def test_clear_sky_grows_with_height(height: float, more: float) -> None:
    """A higher sun never gives less light, and none gives more than 1098 W/m²."""
    here = clear_sky_horizontal_w_m2(sun_height_deg=height)
    higher = clear_sky_horizontal_w_m2(sun_height_deg=min(90.0, height + more))
    assert 0 <= here <= higher < 1098


def test_sun_now_joins_both() -> None:
    """Height and light belong to the same moment."""
    now = sun_now(latitude_deg=52, longitude_deg=5, when=NOON)
    assert now.clear_sky_w_m2 == clear_sky_horizontal_w_m2(sun_height_deg=now.height_deg)


@pytest.mark.parametrize(("latitude", "longitude"), [(90.1, 0.0), (NAN, 0.0), (0.0, 181.0)])
def test_place_off_the_globe(latitude: float, longitude: float) -> None:
    """The message names the coordinate."""
    name = "longitude_deg" if longitude else "latitude_deg"
    with pytest.raises(OutOfRangeError, match=name):
        sun_height_deg(latitude_deg=latitude, longitude_deg=longitude, when=NOON)


def test_time_without_a_zone_is_refused() -> None:
    """A clock without a zone could be hours off."""
    with pytest.raises(OutOfRangeError, match=r"when is .* a time with its zone"):
        sun_height_deg(latitude_deg=52, longitude_deg=5, when=NOON.replace(tzinfo=None))


@pytest.mark.parametrize("day", [0, 368, NAN])
def test_day_of_year_is_guarded(day: float) -> None:
    """Every formula of the date names it."""
    for formula in (declination_spencer_rad, equation_of_time_min):
        with pytest.raises(OutOfRangeError, match="day_of_year"):
            formula(day_of_year=day)
    for whole_day in (declination_fao_rad, declination_cooper_rad):
        with pytest.raises(OutOfRangeError, match="day_of_year"):
            whole_day(day_of_year=0)


def test_other_refusals() -> None:
    """Heights, angles, hours and altitudes are guarded."""
    with pytest.raises(OutOfRangeError, match="sun_height_deg"):
        clear_sky_horizontal_w_m2(sun_height_deg=NAN)
    with pytest.raises(OutOfRangeError, match="latitude_deg"):
        noon_height_deg(latitude_deg=NAN, day_of_year=1)
    with pytest.raises(OutOfRangeError, match="declination_rad"):
        sunset_hour_angle_rad(latitude_deg=50, declination_rad=math.radians(30))
    with pytest.raises(OutOfRangeError, match="latitude_deg"):
        daylight_h(latitude_deg=NAN, day_of_year=1)
    with pytest.raises(OutOfRangeError, match="solar_constant_mj_m2_min"):
        extraterrestrial_mj_m2(latitude_deg=50, day_of_year=1, solar_constant_mj_m2_min=1367)
    with pytest.raises(OutOfRangeError, match="sunshine_h"):
        sunshine_radiation_mj_m2(extraterrestrial_mj_m2=25, sunshine_h=13, daylight_h=12)
    with pytest.raises(OutOfRangeError, match="daylight_h"):
        sunshine_radiation_mj_m2(extraterrestrial_mj_m2=25, sunshine_h=0, daylight_h=0)
    with pytest.raises(OutOfRangeError, match="altitude_m"):
        clear_day_radiation_mj_m2(extraterrestrial_mj_m2=25, altitude_m=NAN)
