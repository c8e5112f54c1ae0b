"""Behaviour of shade: what casts none, what overlaps, what is refused."""

from __future__ import annotations

import math

import pytest

from planner.engineering.placement_model import Obstacle, Rect
from planner.engineering.shade import (
    noon_shade,
    reach_zones,
    shaded_share,
    shadow_length,
    winter_noon_elevation,
)
from planner.errors import OutOfRangeError

PANEL = [Rect(1000, 2000, 400, 900)]


def _box(height: float) -> Obstacle:
    return Obstacle("vent", "vent", 500, 400, 400, 500, height)


def test_at_45_degrees_the_shadow_is_as_long_as_the_height() -> None:
    """Known by eye."""
    assert shadow_length(obstacle_height_mm=200, sun_elevation_deg=45) == pytest.approx(200)
    assert shadow_length(
        obstacle_height_mm=200, sun_elevation_deg=45, panel_top_mm=60
    ) == pytest.approx(140)


def test_lower_than_the_glass_casts_no_shade() -> None:
    """A flat vent beside a raised panel does no harm."""
    assert shadow_length(obstacle_height_mm=50, sun_elevation_deg=10, panel_top_mm=60) == 0
    assert reach_zones(obstacles=[_box(60)], sun_elevation_deg=10, panel_top_mm=60) == []
    assert noon_shade(
        panels=PANEL, obstacles=[_box(50)], sun_elevation_deg=10, panel_top_mm=60
    ).worst_share == 0


def test_sun_over_the_nose_shades_what_is_behind() -> None:
    """300 mm of shadow less the 100 mm gap covers 200 of 1000 mm, whole width."""
    facts = {"panels": PANEL, "obstacles": [_box(300)], "sun_elevation_deg": 45.0}
    assert shaded_share(**facts, sun_bearing_deg=0.0) == pytest.approx(0.2)  # type: ignore[arg-type]
    assert shaded_share(**facts, sun_bearing_deg=180.0) == 0  # type: ignore[arg-type]


def test_two_shadows_on_one_place_count_once() -> None:
    """The same box twice shades no more."""
    once = shaded_share(panels=PANEL, obstacles=[_box(300)], sun_elevation_deg=20,
                        sun_bearing_deg=20)
    twice = shaded_share(panels=PANEL, obstacles=[_box(300)] * 2, sun_elevation_deg=20,
                         sun_bearing_deg=20)
    assert twice == pytest.approx(once)


def test_a_lower_sun_never_shades_less() -> None:
    """Mean over the parking directions rises as the sun sinks."""
    means = [
        noon_shade(panels=PANEL, obstacles=[_box(200)], sun_elevation_deg=height).mean_share
        for height in (60, 40, 20, 10)
    ]
    assert means == sorted(means)


@pytest.mark.parametrize("latitude_deg", [66.1, -90.0, math.nan])
def test_no_midwinter_noon_is_refused(latitude_deg: float) -> None:
    """Beyond 66° the sun stays down."""
    with pytest.raises(OutOfRangeError, match="latitude_deg"):
        winter_noon_elevation(latitude_deg=latitude_deg)


@pytest.mark.parametrize("bad", [0.0, -1.0, 90.1, math.nan])
def test_sun_below_the_horizon_is_refused(bad: float) -> None:
    """A shadow without end is no number."""
    with pytest.raises(OutOfRangeError, match="sun_elevation_deg"):
        shadow_length(obstacle_height_mm=100, sun_elevation_deg=bad)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_heights_below_zero_are_refused(bad: float) -> None:
    """Each height is named."""
    with pytest.raises(OutOfRangeError, match="obstacle_height_mm"):
        shadow_length(obstacle_height_mm=bad, sun_elevation_deg=20)
    with pytest.raises(OutOfRangeError, match="panel_top_mm"):
        shadow_length(obstacle_height_mm=100, sun_elevation_deg=20, panel_top_mm=bad)


def test_no_panel_no_bearing_no_directions() -> None:
    """The rest of the refusals."""
    with pytest.raises(OutOfRangeError, match="panels"):
        shaded_share(panels=[], obstacles=[], sun_elevation_deg=20, sun_bearing_deg=0)
    with pytest.raises(OutOfRangeError, match="sun_bearing_deg"):
        shaded_share(panels=PANEL, obstacles=[], sun_elevation_deg=20, sun_bearing_deg=math.nan)
    with pytest.raises(OutOfRangeError, match="directions"):
        noon_shade(panels=PANEL, obstacles=[], sun_elevation_deg=20, directions=3)
