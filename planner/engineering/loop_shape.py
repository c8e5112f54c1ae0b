"""Outline of the moving cable for drawings: a U, or an arc through both anchors."""

from __future__ import annotations

import math

from planner.engineering.guards import not_negative, positive
from planner.errors import OutOfRangeError

Point = tuple[float, float]


def _arc_half_angle(ratio: float) -> float:
    """Return the angle φ for which sin φ / φ is a ratio of 0 to 1, by halving."""
    low, high = 0.0, math.pi
    for _ in range(80):
        middle = (low + high) / 2
        if math.sin(middle) / middle > ratio:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def arc_radius_mm(*, chord_mm: float, length_mm: float) -> float:
    """Return the radius of the round arc of a given length through two points.

    Args:
        chord_mm: Distance between the points [mm], 0 or more.
        length_mm: Length of the arc [mm], more than the chord.

    Returns:
        Radius [mm]. An arc longer than a half circle bulges past its chord.

    Raises:
        OutOfRangeError: If an argument is out of range: the cable does not reach.

    Notes:
        s = 2 r φ and d = 2 r sin φ, so sin φ / φ = d / s.
    """
    not_negative("chord_mm", chord_mm)
    if not chord_mm < length_mm < math.inf:
        raise OutOfRangeError("length_mm", length_mm, f"more than the distance of {chord_mm:g} mm")
    return length_mm / (2 * _arc_half_angle(chord_mm / length_mm))


def arc_points(*, chord_mm: float, length_mm: float, count: int = 41) -> tuple[Point, ...]:
    """Return points along the arc that hangs between two anchors.

    Args:
        chord_mm: Distance between the anchors [mm], 0 or more.
        length_mm: Free cable [mm], more than the distance.
        count: Number of points, 3 or more.

    Returns:
        Points [mm] from the first anchor at (0, 0) to the second at (chord, 0); y is down.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    if not count >= 3:
        raise OutOfRangeError("count", count, "3 or more")
    radius = arc_radius_mm(chord_mm=chord_mm, length_mm=length_mm)
    half = length_mm / (2 * radius)
    angles = (half * (2 * step / (count - 1) - 1) for step in range(count))
    return tuple(
        (
            chord_mm / 2 + radius * math.sin(angle),
            radius * (math.cos(angle) - math.cos(half)),
        )
        for angle in angles
    )


def u_points(*, width_mm: float, length_mm: float, count: int = 41) -> tuple[Point, ...]:
    """Return points along a plain U: leg, half circle, leg.

    Args:
        width_mm: Distance between the legs [mm], more than 0.
        length_mm: Free cable [mm], at least the half circle.
        count: Number of points on the half circle, 3 or more.

    Returns:
        Points [mm] from the first anchor at (0, 0) to the second at (width, 0); y is down.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("width_mm", width_mm)
    if not count >= 3:
        raise OutOfRangeError("count", count, "3 or more")
    radius = width_mm / 2
    half_circle = math.pi * radius
    if not half_circle <= length_mm < math.inf:
        raise OutOfRangeError("length_mm", length_mm, f"{half_circle:.0f} or more")
    leg = (length_mm - half_circle) / 2
    angles = (math.pi * step / (count - 1) for step in range(count))
    bow = (
        (radius - radius * math.cos(angle), leg + radius * math.sin(angle)) for angle in angles
    )
    return ((0.0, 0.0), *bow, (width_mm, 0.0))
