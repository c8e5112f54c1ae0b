"""How good a layout is: points for each wish, 100 together, and each wish returned as a reason.

Every wish but shade costs points that are a convex, piecewise straight function of x alone plus
one of y alone; shade is a product of two straight functions between the edges of shade zones.
So between all the coordinates listed by ``Loss`` the loss is straight in x and in y, and its
least value over any rectangle of free ground lies at a corner: trying the corners is exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise

from msgspec import Struct

from planner.engineering.placement_model import ROW_SHARE, Rect, RoofPlan, Wishes
from planner.engineering.placement_space import Group, Shape, disjoint
from planner.engineering.shade import reach_zones

IN_LINE = {
    "block": (0.0, "in one aligned block"),
    "row": (1 - ROW_SHARE, "same way round, edges in line, with equal gaps of {gap:.0f} mm"),
    "free": (1.0, "not in line: no line was found, or it would cost more points than it wins"),
}
"""What each form loses of the points for standing in line, and the words for it."""
LIFT_WORDS = {
    "front": "behind the hinge at the front", "rear": "ahead of the hinge at the rear",
    "left": "from the hinge on the left", "right": "from the hinge on the right",
    "parallel": "from the middle of the lift", "fixed": "from the middle of the roof, lengthwise",
}


class Placed(Struct, frozen=True):
    """A shape with its front left corner in place."""

    shape: Shape
    x: float
    y: float

    @property
    def rect(self) -> Rect:
        """Return the ground under the panel."""
        return Rect(self.x, self.x + self.shape.along_x, self.y, self.y + self.shape.along_y)


class Reason(Struct, frozen=True):
    """One wish: points won out of those on offer, the measure behind them, and both in words."""

    wish: str
    points: float
    out_of: float
    measure: float
    unit: str
    text: str


class Ground(Struct, frozen=True, dict=True):
    """A roof, the wishes, and the shade zones worked out once."""

    roof: RoofPlan
    wishes: Wishes

    @cached_property
    def zones(self) -> list[Rect]:
        """Return the ground that winter noon shade may reach, as rectangles without overlap."""
        sun = self.wishes.sun_elevation_deg
        if sun is None:
            return []
        return disjoint(reach_zones(
            obstacles=self.roof.obstacles, sun_elevation_deg=sun,
            panel_top_mm=self.wishes.panel_top_mm,
        ))


class Loss:
    """Points lost by a group at (x, y) while other panels stay where they are.

    What the others lose by themselves is left out: it is the same wherever the group goes.
    """

    def __init__(self, ground: Ground, group: Group, others: Sequence[Placed] = ()) -> None:
        self.ground = ground
        self.group = group
        self.others = others
        shapes = [member.shape for member in group.members]
        self.moving = sum(shape.area for shape in shapes)
        self.area = self.moving + sum(other.shape.area for other in others)
        self.count = len(shapes) + len(others)
        self._x = _Axis(self, "x")
        self._y = _Axis(self, "y")

    def at_x(self, x: float) -> float:
        """Return the points that depend on x alone."""
        return self._x.lost(x)

    def at_y(self, y: float) -> float:
        """Return the points that depend on y alone."""
        return self._y.lost(y)

    def shade(self, x: float, y: float) -> float:
        """Return the points lost to shade."""
        zones = self.ground.zones
        if not zones:
            return 0.0
        covered = sum(_overlap(rect, zones) for rect in self.rects(x, y))
        return self.ground.wishes.weights.shade * covered / self.area

    def rects(self, x: float, y: float) -> list[Rect]:
        """Return the group's rectangles with its corner at (x, y)."""
        return [
            Rect(x + m.dx, x + m.dx + m.shape.along_x, y + m.dy, y + m.dy + m.shape.along_y)
            for m in self.group.members
        ]

    @cached_property
    def xs(self) -> list[float]:
        """Return every x at which the loss bends."""
        return self._x.bends()

    @cached_property
    def ys(self) -> list[float]:
        """Return every y at which the loss bends."""
        return self._y.bends()


class _Axis:
    """The part of the loss that depends on one coordinate."""

    def __init__(self, loss: Loss, axis: str) -> None:
        self.on_x = axis == "x"
        roof, wishes = loss.ground.roof, loss.ground.wishes
        self.weights = wishes.weights
        self.zones = loss.ground.zones
        self.roof_mm = roof.length_mm if self.on_x else roof.width_mm
        self.entry = roof.entry_mm and roof.entry_mm[0 if self.on_x else 1]
        self.set_back = wishes.set_back_mm if self.on_x else 0.0
        self.lift = lift_slope(roof.lift, on_x=self.on_x)
        self.cable_share = self.weights.cable / loss.count / (roof.length_mm + roof.width_mm)
        # Spans (start, length) of the moving panels from the group's corner, and of the others.
        corner = loss.rects(0.0, 0.0)
        self.parts = [self._span(rect) for rect in corner]
        fixed = [other.rect for other in loss.others]
        self.first = min(at for at, _ in self.parts)
        self.front = min((self._span(rect)[0] for rect in fixed), default=math.inf)
        # The centre of all panels is rest + share * coordinate.
        self.share = loss.moving / loss.area
        self.rest = sum(self._moment(rect) for rect in corner + fixed) / loss.area

    def _span(self, rect: Rect) -> tuple[float, float]:
        return (rect.x0, rect.x1 - rect.x0) if self.on_x else (rect.y0, rect.y1 - rect.y0)

    def _moment(self, rect: Rect) -> float:
        at, length = self._span(rect)
        return rect.area * (at + length / 2)

    def lost(self, at: float) -> float:
        """Return the points lost with the group's corner at this coordinate."""
        centre = (self.rest + self.share * at) / self.roof_mm
        points = self.weights.lift * lift_loss(self.lift, centre)
        if not self.on_x:
            points += self.weights.centreline * abs(2 * centre - 1)
        if self.set_back:
            front = min(at + self.first, self.front)
            points += self.weights.set_back * max(0.0, 1 - front / self.set_back)
        run = sum(_reach(at + off, length, self.entry) for off, length in self.parts)
        return points + self.cable_share * run

    def bends(self) -> list[float]:
        """Return every coordinate at which the loss (shade included) changes its slope."""
        found = {
            (self.roof_mm / 2 - self.rest) / self.share,
            self.set_back - self.first, self.front - self.first,
        }
        edges = [self._span(zone) for zone in self.zones]
        marks = {at + size for at, length in edges for size in (0.0, length)}
        if self.entry is not None:
            marks.add(self.entry)
        ends = {at + size for at, length in self.parts for size in (0.0, length)}
        return sorted(found | {mark - end for mark in marks for end in ends})


def lift_slope(lift: str, *, on_x: bool) -> str:
    """Return how the lift judges this axis: from its ``low`` or ``high`` end, ``mid`` or none."""
    if on_x:
        return {"front": "low", "rear": "high", "parallel": "mid", "fixed": "mid"}.get(lift, "")
    return {"left": "low", "right": "high"}.get(lift, "")


def lift_loss(slope: str, centre: float) -> float:
    """Return the share of the lift points lost with the centre at this share of the roof."""
    return {"low": centre, "high": 1 - centre, "mid": abs(2 * centre - 1), "": 0.0}[slope]


def _reach(at: float, length: float, entry: float | None) -> float:
    """Return how far the entry lies outside the panel along one axis."""
    return 0.0 if entry is None else max(0.0, at - entry, entry - at - length)


def _overlap(rect: Rect, zones: Sequence[Rect]) -> float:
    total = 0.0
    for zone in zones:
        wide = min(rect.x1, zone.x1) - max(rect.x0, zone.x0)
        if wide > 0:
            high = min(rect.y1, zone.y1) - max(rect.y0, zone.y0)
            if high > 0:
                total += wide * high
    return total


def reasons_for(ground: Ground, placed: Sequence[Placed], *, form: str) -> list[Reason]:
    """Return what each wish gives this layout of a form; their points add up to its score."""
    roof, wishes, weights = ground.roof, ground.wishes, ground.wishes.weights
    area = sum(p.shape.area for p in placed)
    cx = sum(p.shape.area * (p.rect.x0 + p.rect.x1) / 2 for p in placed) / area
    cy = sum(p.shape.area * (p.rect.y0 + p.rect.y1) / 2 for p in placed) / area
    shaded = sum(_overlap(p.rect, ground.zones) for p in placed) / area
    front = min(p.x for p in placed)
    lag = max(0.0, 1 - front / wishes.set_back_mm) if wishes.set_back_mm else 0.0
    aside = abs(2 * cy / roof.width_mm - 1)
    return [
        _lift_reason(roof, weights.lift, cx, cy),
        _reason("shade", weights.shade, shaded, (100 * shaded, "%"),
                f"{100 * shaded:.0f} % of the glass within reach of winter noon shade"),
        _reason("set_back", weights.set_back, lag, (front, "mm"),
                f"front edge {front:.0f} mm behind the leading edge, "
                f"{wishes.set_back_mm:.0f} mm wanted"),
        _reason("centreline", weights.centreline, aside, (abs(cy - roof.width_mm / 2), "mm"),
                f"centre {abs(cy - roof.width_mm / 2):.0f} mm off the centreline"),
        _cable_reason(roof, weights.cable, placed),
        _line_reason(weights.in_line, placed, form),
    ]


def _line_reason(out_of: float, placed: Sequence[Placed], form: str) -> Reason:
    lost, words = IN_LINE[form]
    gap = _gap(placed) if form == "row" else 0.0
    if len(placed) == 1:
        words = "one panel, nothing to line up"
    return _reason("in_line", out_of, lost, (gap, "mm"), words.format(gap=gap))


def _gap(placed: Sequence[Placed]) -> float:
    """Return the widest clear distance between neighbours of a line."""
    along_x = sorted({(p.rect.x0, p.rect.x1) for p in placed})
    along_y = sorted({(p.rect.y0, p.rect.y1) for p in placed})
    return max(b[0] - a[1] for spans in (along_x, along_y) for a, b in pairwise(spans))


def _reason(wish: str, out_of: float, lost: float, measure: tuple[float, str], text: str) -> Reason:
    return Reason(wish, out_of * (1 - lost), out_of, *measure, text)


def _lift_reason(roof: RoofPlan, out_of: float, cx: float, cy: float) -> Reason:
    on_x = roof.lift not in ("left", "right")
    at, full = (cx, roof.length_mm) if on_x else (cy, roof.width_mm)
    slope = lift_slope(roof.lift, on_x=on_x)
    away = {"low": at, "high": full - at, "mid": abs(at - full / 2)}[slope]
    text = f"centre {away:.0f} mm {LIFT_WORDS[roof.lift]}"
    return _reason("lift", out_of, lift_loss(slope, at / full), (away, "mm"), text)


def _cable_reason(roof: RoofPlan, out_of: float, placed: Sequence[Placed]) -> Reason:
    if roof.entry_mm is None:
        return _reason("cable", out_of, 0.0, (0.0, "mm"), "the place of the cable entry is open")
    ex, ey = roof.entry_mm
    runs = [
        _reach(p.x, p.shape.along_x, ex) + _reach(p.y, p.shape.along_y, ey) for p in placed
    ]
    mean = sum(runs) / len(runs)
    share = mean / (roof.length_mm + roof.width_mm)
    return _reason("cable", out_of, share, (mean, "mm"), f"{mean:.0f} mm of cable to the entry")
