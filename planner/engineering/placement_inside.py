"""What is fixed below the roof under a hole, its plate, or the flange of the cable entry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

from msgspec import Struct

from planner.engineering.guards import not_negative
from planner.engineering.placement_model import Obstacle


class Footing(Struct, frozen=True):
    """What a hole needs below the roof: a square about its middle.

    Attributes:
        name: The hole, as the plan calls it.
        x_mm: Its middle, from the front edge of the usable roof.
        y_mm: Its middle, from the left edge of the usable roof.
        half_mm: Half the side of the plate, flange or bare hole, 0 or more.
    """

    name: str
    x_mm: float
    y_mm: float
    half_mm: float

    def __post_init__(self) -> None:
        """Refuse a size below nothing."""
        not_negative(f"{self.name}: half_mm", self.half_mm)


def gap_mm(footing: Footing, thing: Obstacle) -> float:
    """Return the clear distance between the square and a thing [mm]; 0 where they touch or overlap.

    Notes:
        Both are upright rectangles on the plan: the gap is √(gx² + gy²) of the gaps along
        either edge, each at least 0.
    """
    along = max(thing.x_mm - footing.x_mm, footing.x_mm - thing.x_mm - thing.length_mm)
    across = max(thing.y_mm - footing.y_mm, footing.y_mm - thing.y_mm - thing.width_mm)
    gap = hypot(max(along - footing.half_mm, 0.0), max(across - footing.half_mm, 0.0))
    return round(gap, 3)  # a place that was put at a limit must not fall under it by a hair


def things_below(
    *, footings: Iterable[Footing], things: Sequence[Obstacle], from_mm: float, to_mm: float
) -> list[str]:
    """Return "hole: thing" wherever the gap between the two is from one distance to another.

    Args:
        footings: The holes, with what each needs below the roof.
        things: What is fixed below the roof.
        from_mm: Least gap that is listed [mm], 0 or more.
        to_mm: Gap from which a thing is far enough [mm]; it is not listed itself.

    Raises:
        OutOfRangeError: If a distance is out of range.
    """
    not_negative("from_mm", from_mm)
    not_negative("to_mm", to_mm)
    return [
        f"{footing.name}: {thing.name}"
        for footing in footings
        for thing in things
        if from_mm <= gap_mm(footing, thing) < to_mm
    ]
