"""Where the front left corner of a panel, or of a rigid group of panels, may lie.

A panel that keeps clear of rectangles is a point that keeps out of larger rectangles: each
obstacle, grown by its clearance and by the panel's own size, is barred ground for the corner.
Ribs bar whole strips. So every place that matters lies on the edges of barred ground.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise

from msgspec import Struct

from planner.engineering.placement_model import PanelOutline, Rect, Ribs, RoofPlan

EPS = 1e-6
"""Millimetres by which sums of lengths may disagree in floating point."""

Span = tuple[float, float]


class Shape(Struct, frozen=True):
    """A panel laid one way round: what the search moves about.

    ``front``, ``rear``, ``left`` and ``right`` say how far its feet stand out beyond its frame.
    """

    kind: int
    turned: bool
    along_x: float
    along_y: float
    front: float
    rear: float
    left: float
    right: float
    bounds: Rect
    barred: tuple[Rect, ...]

    @property
    def area(self) -> float:
        """Return the panel's area [mm²]."""
        return self.along_x * self.along_y


class Member(Struct, frozen=True):
    """A shape inside a rigid group, at an offset from the group's corner."""

    shape: Shape
    dx: float = 0.0
    dy: float = 0.0


class Group(Struct, frozen=True, dict=True):
    """One or more shapes that move together, and the ground that bars their common corner."""

    members: tuple[Member, ...]
    extra: tuple[Rect, ...] = ()

    @cached_property
    def bounds(self) -> Rect:
        """Return where the corner may lie on an empty roof; empty if a side comes out reversed."""
        parts = [shifted(m.shape.bounds, -m.dx, -m.dy) for m in self.members]
        return Rect(
            max(part.x0 for part in parts), min(part.x1 for part in parts),
            max(part.y0 for part in parts), min(part.y1 for part in parts),
        )

    @cached_property
    def barred(self) -> tuple[Rect, ...]:
        """Return the open rectangles that the corner must stay out of, by rising ``y0``."""
        every = [shifted(rect, -m.dx, -m.dy) for m in self.members for rect in m.shape.barred]
        return tuple(sorted({*every, *self.extra}, key=lambda rect: (rect.y0, rect.x0)))

    def free_y(self, x: float) -> list[Span]:
        """Return the closed spans of y that are free at this x."""
        room = self.bounds
        if not room.x0 - EPS <= x <= room.x1 + EPS:
            return []
        walls = [(r.y0, r.y1) for r in self.barred if r.x0 + EPS < x < r.x1 - EPS]
        return free_spans(room.y0, room.y1, walls)

    def edges_x(self) -> set[float]:
        """Return every x at which barred ground begins or ends, within bounds."""
        room = self.bounds
        if room.x0 > room.x1 + EPS:
            return set()
        edges = {edge for rect in self.barred for edge in (rect.x0, rect.x1)}
        return {room.x0, room.x1, *(edge for edge in edges if room.x0 < edge < room.x1)}

    def fits(self) -> bool:
        """Say whether there is any free place: if so, one lies at a left end of free ground."""
        starts = {rect.x1 for rect in self.barred} | {self.bounds.x0}
        return any(self.free_y(x) for x in starts)


def shifted(rect: Rect, dx: float, dy: float) -> Rect:
    """Return the rectangle moved by (dx, dy)."""
    return Rect(rect.x0 + dx, rect.x1 + dx, rect.y0 + dy, rect.y1 + dy)


def free_spans(low: float, high: float, walls: Iterable[Span]) -> list[Span]:
    """Return the closed gaps that open walls, sorted by their start, leave between two ends.

    A gap may have no width: a panel that exactly fills the space between two obstacles fits.
    """
    spans, at = [], low
    for start, end in walls:
        if start > high - EPS:
            break
        if start >= at - EPS:
            spans.append((at, max(at, start)))
        at = max(at, end)
    if at <= high + EPS:
        spans.append((at, max(at, high)))
    return spans


def shape_of(*, roof: RoofPlan, panel: PanelOutline, turned: bool, kind: int = 0) -> Shape:
    """Return a panel laid one way round, with the ground that bars its corner on this roof."""
    laid = panel.turned() if turned else panel
    a, b = laid.length_mm, laid.width_mm
    front = max([0.0, *(f.size_along_mm / 2 - f.along_mm for f in laid.feet)])
    rear = max([0.0, *(f.along_mm + f.size_along_mm / 2 - a for f in laid.feet)])
    left = max([0.0, *(f.size_across_mm / 2 - f.across_mm for f in laid.feet)])
    right = max([0.0, *(f.across_mm + f.size_across_mm / 2 - b for f in laid.feet)])
    margin = roof.edge_margin_mm
    bounds = Rect(
        max(margin, front), roof.length_mm - a - max(margin, rear),
        max(margin, left), roof.width_mm - b - max(margin, right),
    )
    barred = []
    for item in roof.obstacles:
        gap, on = item.clearance, item.rect
        barred.append(Rect(
            on.x0 - a - max(gap, rear), on.x1 + max(gap, front),
            on.y0 - b - max(gap, right), on.y1 + max(gap, left),
        ))
    barred += rib_strips(roof.ribs, laid, bounds)
    return Shape(kind, turned, a, b, front, rear, left, right, bounds, tuple(barred))


def rib_strips(ribs: Ribs | None, laid: PanelOutline, bounds: Rect) -> list[Rect]:
    """Return the strips of the roof where some foot of a panel would stand on a rib."""
    if ribs is None or not laid.feet:
        return []
    if ribs.run == "lengthwise":
        feet = {(f.across_mm, f.size_across_mm) for f in laid.feet if f.size_across_mm}
        walls = rib_walls(ribs, feet, bounds.y0, bounds.y1)
        return [Rect(-math.inf, math.inf, low, high) for low, high in walls]
    feet = {(f.along_mm, f.size_along_mm) for f in laid.feet if f.size_along_mm}
    walls = rib_walls(ribs, feet, bounds.x0, bounds.x1)
    return [Rect(low, high, -math.inf, math.inf) for low, high in walls]


def rib_walls(
    ribs: Ribs, feet: Iterable[tuple[float, float]], low: float, high: float
) -> list[Span]:
    """Return the open spans, from ``low`` to ``high``, where a foot would touch a rib.

    Args:
        feet: Centre from the panel's edge and size, across the ribs [mm].
    """
    walls = [wall for centre, size in feet for wall in _foot_walls(ribs, centre, size, low, high)]
    merged: list[Span] = []
    for start, end in sorted(walls):
        if merged and start < merged[-1][1] - EPS:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, end))
    return merged


def _foot_walls(ribs: Ribs, centre: float, size: float, low: float, high: float) -> list[Span]:
    room = ribs.flat_mm - size
    if room < -EPS:
        return [(-math.inf, math.inf)]
    # The corner may lie from `first` to `first + room`, then again one pitch further.
    first = ribs.first_flat_mm + size / 2 - centre
    start = math.floor((low - first) / ribs.pitch_mm)
    end = math.ceil((high - first) / ribs.pitch_mm)
    return [
        (first + k * ribs.pitch_mm + max(0.0, room), first + (k + 1) * ribs.pitch_mm)
        for k in range(start, end + 1)
    ]


def disjoint(rects: Sequence[Rect]) -> list[Rect]:
    """Return the same ground as rectangles that do not overlap."""
    cuts = sorted({edge for rect in rects for edge in (rect.x0, rect.x1)})
    parts: list[Rect] = []
    for x0, x1 in pairwise(cuts):
        spans: list[Span] = []
        for y0, y1 in sorted((r.y0, r.y1) for r in rects if r.x0 <= x0 and x1 <= r.x1):
            if spans and y0 <= spans[-1][1]:
                spans[-1] = (spans[-1][0], max(spans[-1][1], y1))
            else:
                spans.append((y0, y1))
        parts += [Rect(x0, x1, y0, y1) for y0, y1 in spans]
    return parts
