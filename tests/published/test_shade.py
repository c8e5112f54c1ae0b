"""Shade against the general-purpose libraries pvlib (0.13 or newer) and shapely (2.x)."""

from __future__ import annotations

import math
import random

import pvlib
import pytest
import shapely
from shapely import affinity

from planner.engineering.placement_model import Obstacle, Rect
from planner.engineering.shade import (
    noon_shade,
    reach_zones,
    shaded_share,
    shadow_length,
    winter_noon_elevation,
)


@pytest.mark.parametrize("latitude_deg", [-60.0, -45.0, -33.0, 30.0, 37.0, 45.0, 52.0, 58.0, 65.0])
def test_winter_noon_agrees_with_pvlib(latitude_deg: float) -> None:
    """Highest sun of the solstice day by pvlib's solar position algorithm (NREL SPA).

    Tolerance 0.05°: the declination reaches 23.44° at one moment, minutes are sampled.
    """
    day = "2025-12-21" if latitude_deg > 0 else "2025-06-21"
    minutes = pytest.importorskip("pandas").date_range(day, periods=1440, freq="min", tz="UTC")
    sun = pvlib.solarposition.get_solarposition(minutes, latitude_deg, 0.0)
    assert winter_noon_elevation(latitude_deg=latitude_deg) == pytest.approx(
        sun["elevation"].max(), abs=0.05
    )


@pytest.mark.parametrize("pitch_to_height", [1.2, 2.0, 3.5, 8.0])
def test_shadow_length_agrees_with_pvlib_masking_angle(pitch_to_height: float) -> None:
    """An upright wall of height 1 just masks the foot of the next, one pitch away.

    pvlib.shading.masking_angle(tilt 90°, ground cover ratio 1 / pitch, foot of the wall) is the
    height of the sun at which the shadow is one pitch long. Exact but for rounding.
    """
    elevation = float(pvlib.shading.masking_angle(90.0, 1 / pitch_to_height, 0.0))
    length = shadow_length(obstacle_height_mm=100.0, sun_elevation_deg=elevation)
    assert length == pytest.approx(100.0 * pitch_to_height, rel=1e-9)


def _random_items(rng: random.Random) -> list[Obstacle]:
    return [
        Obstacle(f"item {n}", "vent", rng.randint(0, 2400), rng.randint(0, 1300),
                 rng.randint(30, 400), rng.randint(30, 400), rng.randint(0, 250))
        for n in range(rng.randint(1, 5))
    ]


def test_shaded_share_agrees_with_shapely() -> None:
    """300 random roofs: shadow as the hull of box and shifted box, united, cut with the panels.

    The sun's bearing turns clockwise from the nose; in a drawing with x to the rear and y to the
    right, seen from above, the shadow of a sun over the nose runs to +x.
    """
    rng = random.Random("shade")  # noqa: S311
    seen_some = 0
    for _ in range(300):
        items = _random_items(rng)
        panels = [
            Rect(x, x + rng.randint(300, 1500), y, y + rng.randint(300, 800))
            for x, y in ((rng.randint(0, 1200), rng.randint(0, 700)) for _ in range(2))
        ]
        elevation, bearing = rng.uniform(5, 60), rng.uniform(0, 360)
        share = shaded_share(panels=panels, obstacles=items, sun_elevation_deg=elevation,
                             sun_bearing_deg=bearing, panel_top_mm=60)
        expected = _share_by_shapely(panels, items, elevation, bearing, 60)
        assert share == pytest.approx(expected, abs=1e-9)
        seen_some += 0 < share < 1
    assert seen_some > 100


def _share_by_shapely(
    panels: list[Rect], items: list[Obstacle], elevation: float, bearing: float, top: float
) -> float:
    shadows = []
    for item in items:
        if item.height_mm <= top:
            continue
        length = (item.height_mm - top) / math.tan(math.radians(elevation))
        box = shapely.box(item.x_mm, item.y_mm, item.x_mm + item.length_mm,
                          item.y_mm + item.width_mm)
        # A sun over the nose (bearing 0) throws towards +x, over the right side towards -y.
        tip = affinity.rotate(shapely.Point(length, 0), -bearing, origin=(0, 0))
        moved = affinity.translate(box, tip.x, tip.y)
        shadows.append(shapely.convex_hull(shapely.union(box, moved)))
    shade = shapely.union_all(shadows)
    boxes = [shapely.box(p.x0, p.y0, p.x1, p.y1) for p in panels]
    return float(sum(box.intersection(shade).area for box in boxes)
                 / sum(box.area for box in boxes))


def test_no_shadow_leaves_its_reach_zone() -> None:
    """72 places of the sun: shapely finds every shadow inside the zone used for placement."""
    rng = random.Random("reach")  # noqa: S311
    for _ in range(20):
        items = _random_items(rng)
        zones = shapely.union_all([
            shapely.box(z.x0, z.y0, z.x1, z.y1)
            for z in reach_zones(obstacles=items, sun_elevation_deg=15, panel_top_mm=40)
        ])
        for bearing in range(0, 360, 5):
            whole = [Rect(-3000, 6000, -3000, 5000)]
            share = shaded_share(panels=whole, obstacles=items, sun_elevation_deg=15,
                                 sun_bearing_deg=bearing, panel_top_mm=40)
            within = _share_by_shapely(whole, items, 15, bearing, 40)
            assert share == pytest.approx(within, abs=1e-9)
            assert share * whole[0].area <= zones.area + 1e-3


def test_noon_shade_is_mean_and_worst_of_the_directions() -> None:
    """One vent beside a panel: 36 directions by shapely give the same mean and worst share."""
    vent = Obstacle("vent", "vent", 500, 900, 400, 400, 150)
    panel = [Rect(300, 1780, 150, 820)]
    shares = [_share_by_shapely(panel, [vent], 15, bearing, 60) for bearing in range(0, 360, 10)]
    shade = noon_shade(panels=panel, obstacles=[vent], sun_elevation_deg=15, panel_top_mm=60)
    assert shade.mean_share == pytest.approx(sum(shares) / 36, abs=1e-9)
    assert shade.worst_share == pytest.approx(max(shares), abs=1e-9)
    # The vent is on the right of the panel, so the sun that shades it stands on the right.
    assert 45 < shade.worst_sun_bearing_deg < 135
