"""Several panels in any arrangement: found whenever one exists.

Why it is complete: take an arrangement that fits and push every panel forward and to the left
as far as it goes. Then each x is the front end of the usable roof, the rear end of some barred
ground, or follows another panel directly, each rounded up to the next rib flat; each y likewise.
Chains of panels are at most as long as their number. Only such spots are tried, and a set of
spots is a set of pairwise compatible bits, so whole branches are cut with a few bit operations.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from functools import reduce
from itertools import accumulate
from operator import or_

from msgspec import Struct

from planner.engineering.placement_score import Placed
from planner.engineering.placement_space import EPS, Group, Member, Shape


def arranged(
    panels: Sequence[int], ways: Sequence[Sequence[Shape]], gap: float
) -> list[Placed] | None:
    """Return places for all panels without any overlap, or ``None`` if none exist.

    Args:
        panels: The kind of each panel.
        ways: For each kind, its shapes (as given and turned).
        gap: Least distance between two panels [mm].
    """
    shapes = [shape for kind in sorted(set(panels)) for shape in ways[kind]]
    table = _Spots(_spots(shapes, len(panels) - 1, gap), gap)
    need = {kind: panels.count(kind) for kind in sorted(set(panels))}
    return _chosen(table, table.everything, need)


#: A shape with its corner: a plain tuple, for there are thousands of them.
Spot = tuple[Shape, float, float]
#: Ground that a spot takes: low and high x, low and high y.
Ground = tuple[float, float, float, float]


def _spots(shapes: Sequence[Shape], chain: int, gap: float) -> list[Spot]:
    """Return every spot that a pushed-together arrangement of these shapes can use."""
    xs = _reachable([_axis_x(shape, gap) for shape in shapes], chain)
    ys = _reachable([_axis_y(shape, gap) for shape in shapes], chain)
    found: list[Spot] = []
    for shape, own_xs, own_ys in zip(shapes, xs, ys, strict=True):
        group = Group((Member(shape),))
        for x in own_xs:
            found += [
                (shape, x, y) for low, high in group.free_y(x)
                for y in own_ys[bisect_left(own_ys, low - EPS) : bisect_right(own_ys, high + EPS)]
            ]
    return found


class _Axis(Struct, frozen=True):
    """What decides where one shape can be pushed to along one axis.

    Attributes:
        low: Lowest coordinate on the roof.
        high: Highest coordinate on the roof.
        ends: Where the ground barred by obstacles ends.
        strips: Spans barred by ribs, over the whole roof.
        before: How far its feet stand out before its frame.
        step: From its edge to where the next panel's ground may begin.
    """

    low: float
    high: float
    ends: tuple[float, ...]
    strips: tuple[tuple[float, float], ...]
    before: float
    step: float

    def pushed(self, at: float) -> float:
        """Return the coordinate, rounded up to the next rib flat."""
        for start, end in self.strips:
            if start + EPS < at < end - EPS:
                return end
        return at


def _axis_x(shape: Shape, gap: float) -> _Axis:
    spans = [(rect.x0, rect.x1, rect.y0) for rect in shape.barred]
    step = shape.along_x + shape.rear + gap
    return _axis(spans, shape.bounds.x0, shape.bounds.x1, shape.front, step)


def _axis_y(shape: Shape, gap: float) -> _Axis:
    spans = [(rect.y0, rect.y1, rect.x0) for rect in shape.barred]
    step = shape.along_y + shape.right + gap
    return _axis(spans, shape.bounds.y0, shape.bounds.y1, shape.left, step)


def _axis(
    spans: Iterable[tuple[float, float, float]], low: float, high: float, before: float, step: float
) -> _Axis:
    """Sort barred spans into ends (obstacles) and strips (no end along the other axis)."""
    spans = list(spans)
    strips = tuple((start, end) for start, end, other in spans if other == -math.inf)
    ends = tuple(end for _, end, other in spans if other != -math.inf)
    return _Axis(low, high, ends, strips, before, step)


def _reachable(axes: Sequence[_Axis], chain: int) -> list[list[float]]:
    """Return, for each shape, the coordinates it can be pushed to with ``chain`` panels before."""
    found: list[set[float]] = [set() for _ in axes]
    starts = [{axis.low, *axis.ends} for axis in axes]
    for _ in range(chain + 1):
        fresh = [_new(axis, at, known) for axis, at, known in zip(axes, starts, found, strict=True)]
        found = [known | new for known, new in zip(found, fresh, strict=True)]
        nexts = {at + axis.step for axis, new in zip(axes, fresh, strict=True) for at in new}
        starts = [{at + axis.before for at in nexts} for axis in axes]
    return [sorted(values) for values in found]


def _new(axis: _Axis, starts: Iterable[float], known: set[float]) -> set[float]:
    pushed = {round(axis.pushed(at), 6) for at in starts}
    return {at for at in pushed if axis.low - EPS <= at <= axis.high + EPS} - known


class _Spots:
    """Spots as bits of whole numbers, with the questions asked of them answered by masks."""

    def __init__(self, spots: Iterable[Spot], gap: float) -> None:
        pairs = [(_claimed(spot, gap / 2), spot) for spot in spots]
        pairs.sort(key=lambda pair: (pair[0][1], pair[0][3], pair[1][1], pair[1][2]))
        self.own = [own for own, _ in pairs]
        self.spots = [spot for _, spot in pairs]
        self.everything = (1 << len(pairs)) - 1
        self.kinds: dict[int, int] = {}
        for index, spot in enumerate(self.spots):
            kind = spot[0].kind
            self.kinds[kind] = self.kinds.get(kind, 0) | 1 << index
        self._x0, self._x1, self._y0, self._y1 = (
            _Ranked([ground[side] for ground in self.own]) for side in range(4)
        )

    def beside(self, index: int) -> int:
        """Return the spots that do not overlap this one."""
        x0, x1, y0, y1 = self.own[index]
        return (self._x0.from_(x1) | self._x1.up_to(x0)
                | self._y0.from_(y1) | self._y1.up_to(y0))

    def pile(self, mask: int) -> int:
        """Return many spots of a mask that share a point: no two of them go together."""
        x0, x1, y0, y1 = self.own[(mask & -mask).bit_length() - 1]
        inset = min(x1 - x0, y1 - y0) * 1e-3
        x = x1 - inset
        across = mask & ~(self._x0.from_(x) | self._x1.up_to(x))
        piles = [
            across & ~(self._y0.from_(y) | self._y1.up_to(y))
            for y in (y0 + inset, (y0 + y1) / 2, y1 - inset)
        ]
        return max(piles, key=int.bit_count)


def _claimed(spot: Spot, half_gap: float) -> Ground:
    """Return the ground that a panel takes with its feet and half the gap around it."""
    shape, x, y = spot
    return (x - shape.front - half_gap, x + shape.along_x + shape.rear + half_gap,
            y - shape.left - half_gap, y + shape.along_y + shape.right + half_gap)


class _Ranked:
    """One side of every spot in rising order, with running masks from both ends."""

    def __init__(self, values: Sequence[float]) -> None:
        order = sorted(range(len(values)), key=values.__getitem__)
        self.values = [values[i] for i in order]
        bits = [1 << i for i in order]
        self.below: list[int] = [0, *accumulate(bits, or_)]
        self.above: list[int] = [0, *accumulate(reversed(bits), or_)][::-1]

    def from_(self, limit: float) -> int:
        """Return the spots whose side lies at the limit or beyond."""
        return self.above[bisect_left(self.values, limit - EPS)]

    def up_to(self, limit: float) -> int:
        """Return the spots whose side lies at the limit or before it."""
        return self.below[bisect_right(self.values, limit + EPS)]


def _chosen(table: _Spots, mask: int, need: dict[int, int]) -> list[Placed] | None:
    """Return one spot for every panel still needed, all from the mask, or ``None``.

    If k piles cover all spots of a kind, at most k panels of it fit; so when k panels are
    needed, one of them lies outside the k - 1 largest piles, and only those spots are tried.
    """
    needed = {kind: count for kind, count in need.items() if count}
    if sum(needed.values()) == 1:
        left = mask & table.kinds.get(next(iter(needed)), 0)
        return [Placed(*table.spots[(left & -left).bit_length() - 1])] if left else None
    if len(_piles(table, mask, sum(needed.values()))) < sum(needed.values()):
        return None
    choices = {
        kind: _branches(table, mask & table.kinds.get(kind, 0), count)
        for kind, count in needed.items()
    }
    kind = min(choices, key=lambda key: choices[key].bit_count())
    branches, rest = choices[kind], dict(needed)
    rest[kind] -= 1
    while branches:
        index = (branches & -branches).bit_length() - 1
        others = _chosen(table, mask & table.beside(index), rest)
        if others is not None:
            return [Placed(*table.spots[index]), *others]
        branches &= branches - 1
        mask &= ~(1 << index)
    return None


def _piles(table: _Spots, mask: int, most: int | None = None) -> list[int]:
    """Return piles that together cover the mask, or the first ``most`` of them."""
    piles: list[int] = []
    while mask and len(piles) != most:
        pile = table.pile(mask)
        piles.append(pile)
        mask &= ~pile
    return piles


def _branches(table: _Spots, mask: int, count: int) -> int:
    """Return the spots of which one must be used if ``count`` of the mask are to fit."""
    piles = sorted(_piles(table, mask), key=int.bit_count)
    spare = max(0, len(piles) - (count - 1))
    return reduce(or_, piles[:spare], 0)
