"""How far roof obstacles throw their shade, and how much of a panel it covers at winter noon.

Plain geometry: parallel rays, an obstacle is an upright box, the roof lies level. Sky light and
bypass diodes are left out: one shaded corner can cost more than its share of the area.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import combinations, pairwise

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, within
from planner.engineering.placement_model import Obstacle, Rect
from planner.errors import OutOfRangeError

Point = tuple[float, float]
Polygon = list[Point]

OBLIQUITY_DEG = 23.44
"""Tilt of the Earth's axis: the sun's declination at the solstices."""


class NoonShade(Struct, frozen=True):
    """Share of panel area in shade at noon, over every way the van may be parked.

    Attributes:
        mean_share: Mean over the parking directions, 0 to 1.
        worst_share: The largest, 0 to 1.
        worst_sun_bearing_deg: Where the sun then stands, clockwise from the van's nose.
    """

    mean_share: float
    worst_share: float
    worst_sun_bearing_deg: float


def winter_noon_elevation(*, latitude_deg: float) -> float:
    """Return the height of the sun at noon on the shortest day.

    Args:
        latitude_deg: Latitude [°], -66 to 66; south is negative.

    Returns:
        Elevation above the horizon [°]. Not rounded; refraction is left out (under 0.2° where the
        sun is above 5°).

    Raises:
        OutOfRangeError: If the latitude is out of range: beyond it the sun stays down at noon.

    Notes:
        90° less the latitude (without its sign) less 23.44°.

    References:
        Textbook geometry; the obliquity of the ecliptic is 23.44° (epoch 2000), from memory.
    """
    within("latitude_deg", latitude_deg, -66.0, 66.0)
    return 90.0 - abs(latitude_deg) - OBLIQUITY_DEG


def shadow_length(
    *, obstacle_height_mm: float, sun_elevation_deg: float, panel_top_mm: float = 0.0
) -> float:
    """Return how far an obstacle's shadow reaches at the height of the glass.

    Args:
        obstacle_height_mm: Top of the obstacle above the roof skin [mm], 0 or more.
        sun_elevation_deg: Height of the sun [°], more than 0 to 90.
        panel_top_mm: Glass above the roof skin [mm], 0 or more.

    Returns:
        Length from the obstacle's edge [mm]; 0 if the glass is at least as high.

    Raises:
        OutOfRangeError: If any argument is out of range.

    Notes:
        (obstacle - glass) / tan(elevation).
    """
    not_negative("obstacle_height_mm", obstacle_height_mm)
    above_to("sun_elevation_deg", sun_elevation_deg, 0, 90)
    not_negative("panel_top_mm", panel_top_mm)
    above = max(0.0, obstacle_height_mm - panel_top_mm)
    return above / math.tan(math.radians(sun_elevation_deg))


def shaded_share(
    *,
    panels: Sequence[Rect],
    obstacles: Iterable[Obstacle],
    sun_elevation_deg: float,
    sun_bearing_deg: float,
    panel_top_mm: float = 0.0,
) -> float:
    """Return the share of the panels' area in shade for one place of the sun.

    Args:
        panels: Rectangles of glass on the roof plan, at least one.
        obstacles: What stands on the roof.
        sun_elevation_deg: Height of the sun [°], more than 0 to 90.
        sun_bearing_deg: Direction of the sun, clockwise from the van's nose seen from above [°].
        panel_top_mm: Glass above the roof skin [mm], 0 or more.

    Returns:
        0 to 1. Shadows that overlap count once.

    Raises:
        OutOfRangeError: If there is no panel or an argument is out of range.

    Notes:
        The shadow of a box on a level plane is the box's outline swept along the shadow's length.
    """
    if not panels:
        raise OutOfRangeError("panels", 0, "at least one rectangle")
    if not math.isfinite(sun_bearing_deg):
        raise OutOfRangeError("sun_bearing_deg", sun_bearing_deg, "a number of degrees")
    shadows = []
    for item in obstacles:
        length = shadow_length(
            obstacle_height_mm=item.height_mm,
            sun_elevation_deg=sun_elevation_deg,
            panel_top_mm=panel_top_mm,
        )
        if item.height_mm > panel_top_mm:
            shadows.append(_swept(item.rect, length, sun_bearing_deg))
    shaded = sum(_union_area([_clipped(shape, panel) for shape in shadows]) for panel in panels)
    return min(1.0, shaded / sum(panel.area for panel in panels))


def noon_shade(
    *,
    panels: Sequence[Rect],
    obstacles: Sequence[Obstacle],
    sun_elevation_deg: float,
    panel_top_mm: float = 0.0,
    directions: int = 36,
) -> NoonShade:
    """Return mean and worst shaded share at noon, as nobody knows which way the van will stand.

    Args:
        panels: Rectangles of glass on the roof plan, at least one.
        obstacles: What stands on the roof.
        sun_elevation_deg: Height of the sun [°], more than 0 to 90.
        panel_top_mm: Glass above the roof skin [mm], 0 or more.
        directions: How many evenly spread parking directions are tried, 4 to 360.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Between two tried directions (10° apart by default) the share may be a little higher.
    """
    within("directions", directions, 4, 360)
    shares = []
    for index in range(directions):
        bearing = 360.0 * index / directions
        share = shaded_share(
            panels=panels, obstacles=obstacles, sun_elevation_deg=sun_elevation_deg,
            sun_bearing_deg=bearing, panel_top_mm=panel_top_mm,
        )
        shares.append((share, bearing))
    worst = max(shares, key=lambda pair: (pair[0], -pair[1]))
    return NoonShade(sum(share for share, _ in shares) / directions, *worst)


def reach_zones(
    *, obstacles: Iterable[Obstacle], sun_elevation_deg: float, panel_top_mm: float = 0.0
) -> list[Rect]:
    """Return, for each obstacle higher than the glass, the ground its shade may reach.

    The rectangle grown by the shadow's length on every side: the van may be parked any way round.
    The square corners are a little more than a shadow can reach, so this errs towards caution.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    return [
        item.rect.grown(shadow_length(
            obstacle_height_mm=item.height_mm,
            sun_elevation_deg=sun_elevation_deg,
            panel_top_mm=panel_top_mm,
        ))
        for item in obstacles if item.height_mm > panel_top_mm
    ]


def _swept(rect: Rect, length: float, sun_bearing_deg: float) -> Polygon:
    """Return the convex outline of a rectangle swept away from the sun."""
    bearing = math.radians(sun_bearing_deg)
    # The nose points to -x and the right side to +y, so clockwise from the nose the sun stands
    # towards (-cos, +sin); the shadow runs the other way.
    dx, dy = length * math.cos(bearing), -length * math.sin(bearing)
    corners = [(x, y) for x in (rect.x0, rect.x1) for y in (rect.y0, rect.y1)]
    return _hull([*corners, *((x + dx, y + dy) for x, y in corners)])


def _hull(points: Iterable[Point]) -> Polygon:
    """Return the convex hull, anticlockwise (monotone chain)."""
    ordered = sorted(set(points))
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return lower[:-1] + upper[:-1]


def _chain(points: Iterable[Point]) -> Polygon:
    chain: Polygon = []
    for point in points:
        while len(chain) > 1 and _cross(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def _clipped(shape: Polygon, window: Rect) -> Polygon:
    """Return the part of a convex shape inside a rectangle, one side cut at a time."""
    for axis, limit, sign in ((0, window.x0, 1), (0, window.x1, -1),
                              (1, window.y0, 1), (1, window.y1, -1)):
        shape = _cut(shape, axis, limit, sign)
    return shape


def _cut(shape: Polygon, axis: int, limit: float, sign: int) -> Polygon:
    kept: Polygon = []
    for first, second in pairwise([*shape, *shape[:1]]):
        a, b = sign * (first[axis] - limit), sign * (second[axis] - limit)
        if a >= 0:
            kept.append(first)
        if a * b < 0:
            share = a / (a - b)
            kept.append((first[0] + share * (second[0] - first[0]),
                         first[1] + share * (second[1] - first[1])))
    return kept


def _union_area(shapes: Iterable[Polygon]) -> float:
    """Return the area covered by convex shapes, overlaps counted once.

    Between two neighbouring corners or crossings the covered height changes in a straight line,
    so its value half way times the width is exact.
    """
    solid = [shape for shape in shapes if len(shape) > 2]
    if len(solid) == 1:
        return _area(solid[0])
    cuts = {x for shape in solid for x, _ in shape}
    for one, other in combinations(solid, 2):
        cuts.update(_crossings(one, other))
    return sum((b - a) * _covered(solid, (a + b) / 2) for a, b in pairwise(sorted(cuts)))


def _area(shape: Polygon) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*shape, shape[0]]))) / 2


def _crossings(one: Polygon, other: Polygon) -> list[float]:
    found = []
    for a, b in pairwise([*one, one[0]]):
        for c, d in pairwise([*other, other[0]]):
            turn = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
            if turn:
                share = ((c[0] - a[0]) * (d[1] - c[1]) - (c[1] - a[1]) * (d[0] - c[0])) / turn
                if 0 <= share <= 1:
                    found.append(a[0] + share * (b[0] - a[0]))
    return found


def _covered(shapes: Iterable[Polygon], x: float) -> float:
    spans = []
    for shape in shapes:
        heights = [
            a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1])
            for a, b in pairwise([*shape, shape[0]]) if (a[0] - x) * (b[0] - x) < 0
        ]
        if heights:
            spans.append((min(heights), max(heights)))
    total, top = 0.0, -math.inf
    for low, high in sorted(spans):
        total += max(0.0, high - max(low, top))
        top = max(top, high)
    return total
