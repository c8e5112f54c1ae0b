"""Several panels in line: one aligned block, or equal gaps that step over what is in the way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from planner.engineering.placement_space import Group, Member, Shape

Ways = Sequence[Sequence[Shape]]
"""For each kind of panel, its shapes: as given and turned."""

MOST_GAPS = 6
"""Wider gaps tried for each way of standing in line, the narrowest first."""


def blocks(panels: Sequence[int], ways: Ways, gap: float) -> list[Group]:
    """Return the aligned groups that these panels can form.

    Equal panels: every full grid, all panels the same way round. Unequal ones: one row along
    either axis, aligned on their middles, in the given order and reversed.

    Args:
        panels: The kind of each panel.
        ways: Shapes of each kind.
        gap: Least distance between two panels [mm].
    """
    if len(set(panels)) == 1:
        return [
            _grid(shape, rows, len(panels) // rows, (gap, gap))
            for shape in ways[panels[0]]
            for rows in range(1, len(panels) + 1) if len(panels) % rows == 0
        ]
    orders = sorted({tuple(panels), tuple(reversed(panels))})
    turns = (0, 1) if all(len(ways[kind]) > 1 for kind in panels) else (0,)
    return [
        row([ways[kind][turn] for kind in order], gap, along_x=along_x)
        for turn in turns for order in orders for along_x in (True, False)
    ]


def parted(panels: Sequence[int], ways: Ways, gap: float) -> Iterator[tuple[Group, ...]]:
    """Yield, for each way in which equal panels can stand in line, groups with wider gaps.

    A wider gap steps over something in the way: one panel touches the ground that it bars from
    before, a later one from behind. Only such gaps are listed, the narrowest first.
    """
    if len(panels) < 2 or len(set(panels)) > 1:
        return
    for shape in ways[panels[0]]:
        for rows in range(1, len(panels) + 1):
            if len(panels) % rows:
                continue
            columns = len(panels) // rows
            if rows > 1:
                yield tuple(_grid(shape, rows, columns, (wide, gap))
                            for wide in _gaps(shape, rows, gap, on_x=True))
            if columns > 1:
                yield tuple(_grid(shape, rows, columns, (gap, wide))
                            for wide in _gaps(shape, columns, gap, on_x=False))


def _gaps(shape: Shape, count: int, least: float, *, on_x: bool) -> list[float]:
    """Return the gaps between neighbours, wider than ``least``, that step over barred ground."""
    if on_x:
        spans = [(r.x0, r.x1) for r in shape.barred]
        own, room = shape.along_x + shape.front + shape.rear, shape.bounds.x1 - shape.bounds.x0
    else:
        spans = [(r.y0, r.y1) for r in shape.barred]
        own, room = shape.along_y + shape.left + shape.right, shape.bounds.y1 - shape.bounds.y0
    steps = {
        round((end - start) / apart, 3)
        for start, _ in spans for _, end in spans for apart in range(1, count)
        if math.isfinite(end - start)
    }
    widest = room / (count - 1)
    return sorted(step - own for step in steps if own + least < step <= widest)[:MOST_GAPS]


def _grid(shape: Shape, rows: int, columns: int, gaps: tuple[float, float]) -> Group:
    """Return ``rows`` along x by ``columns`` along y of one shape, with the gap along each."""
    step_x = shape.along_x + shape.front + shape.rear + gaps[0]
    step_y = shape.along_y + shape.left + shape.right + gaps[1]
    return Group(tuple(
        Member(shape, row_ * step_x, column * step_y)
        for row_ in range(rows) for column in range(columns)
    ))


def row(shapes: Sequence[Shape], gap: float, *, along_x: bool) -> Group:
    """Return shapes in one row along an axis, their middles in line."""
    members, at = [], 0.0
    for shape in shapes:
        if along_x:
            at += shape.front
            members.append(Member(shape, at, -shape.along_y / 2))
            at += shape.along_x + shape.rear + gap
        else:
            at += shape.left
            members.append(Member(shape, -shape.along_x / 2, at))
            at += shape.along_y + shape.right + gap
    return Group(tuple(members))
