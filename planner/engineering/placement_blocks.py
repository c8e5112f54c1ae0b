"""Several panels as one aligned block: what a fitter would draw first."""

from __future__ import annotations

from collections.abc import Sequence

from planner.engineering.placement_space import Group, Member, Shape

Ways = Sequence[Sequence[Shape]]
"""For each kind of panel, its shapes: as given and turned."""


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
            _grid(shape, rows, len(panels) // rows, gap)
            for shape in ways[panels[0]]
            for rows in range(1, len(panels) + 1) if len(panels) % rows == 0
        ]
    orders = sorted({tuple(panels), tuple(reversed(panels))})
    turns = (0, 1) if all(len(ways[kind]) > 1 for kind in panels) else (0,)
    return [
        row([ways[kind][turn] for kind in order], gap, along_x=along_x)
        for turn in turns for order in orders for along_x in (True, False)
    ]


def _grid(shape: Shape, rows: int, columns: int, gap: float) -> Group:
    """Return ``rows`` along x by ``columns`` along y of one shape."""
    step_x = shape.along_x + shape.front + shape.rear + gap
    step_y = shape.along_y + shape.left + shape.right + gap
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
