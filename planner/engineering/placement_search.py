"""The best free place for a panel or a rigid group of panels: exact, by trying every corner.

Rows (values of x) are tried in the order of what they could score at best, and the search stops
when no row left can beat the best found: usually after a handful of rows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.placement_model import Rect
from planner.engineering.placement_score import Ground, Loss, Placed
from planner.engineering.placement_space import EPS, Group, Member, Shape

GAIN = 0.01
"""Points below which moving a panel is not worth the search."""


class Best(Struct, frozen=True):
    """A group's best place and the points it loses there."""

    group: Group
    x: float
    y: float
    lost: float

    def placed(self) -> list[Placed]:
        """Return the group's panels in place."""
        return [Placed(m.shape, self.x + m.dx, self.y + m.dy) for m in self.group.members]


def best_place(
    ground: Ground, group: Group, others: Sequence[Placed] = (), *, below: float = math.inf
) -> Best | None:
    """Return the free place where the group loses the fewest points, or ``None`` if it fits none.

    Args:
        ground: Roof and wishes.
        group: What is to be placed.
        others: Panels already in place, which count in the points.
        below: Only a place that loses fewer points than this is of interest.

    Ties go to the place nearest the front, then the left: the same roof gives the same answer.
    """
    if not group.fits():
        return None
    loss = Loss(ground, group, others)
    room = group.bounds
    xs = group.edges_x() | {x for x in loss.xs if room.x0 < x < room.x1}
    least_y = min(loss.at_y(y) for y in _inside(loss.ys, room.y0, room.y1))
    best = Best(group, math.inf, math.inf, below)
    for lost_x, x in sorted((loss.at_x(x), x) for x in xs):
        if lost_x + least_y > best.lost + EPS:
            break
        best = _best_in_row(loss, x, lost_x, best)
    return best if best.x < math.inf else None


def _best_in_row(loss: Loss, x: float, lost_x: float, best: Best) -> Best:
    for low, high in loss.group.free_y(x):
        for y in _inside(loss.ys, low, high):
            lost = lost_x + loss.at_y(y)
            if lost > best.lost + EPS:
                continue
            lost += loss.shade(x, y)
            if _beats(lost, x, y, best):
                best = Best(loss.group, x, y, lost)
    return best


def _beats(lost: float, x: float, y: float, best: Best) -> bool:
    if lost < best.lost - EPS:
        return True
    return lost <= best.lost + EPS and (x, y) < (best.x, best.y)


def _inside(values: Sequence[float], low: float, high: float) -> list[float]:
    return [low, *(value for value in values if low < value < high), high]


def ranked_places(
    ground: Ground, shapes: Sequence[Shape], *, limit: int, apart_mm: float
) -> list[Best]:
    """Return the best places in order, each the best that is at least ``apart_mm`` from the rest.

    Places of a panel turned the other way are never too near.
    """
    groups = {index: Group((Member(shape),)) for index, shape in enumerate(shapes)}
    heads = {index: best_place(ground, group) for index, group in groups.items()}
    found: list[Best] = []
    while len(found) < limit:
        open_heads = [(best.lost, index, best) for index, best in heads.items() if best]
        if not open_heads:
            break
        _, index, best = min(open_heads, key=lambda item: item[:2])
        found.append(best)
        around = Rect(best.x, best.x, best.y, best.y).grown(apart_mm)
        groups[index] = replace(groups[index], extra=(*groups[index].extra, around))
        if len(found) < limit:
            heads[index] = best_place(ground, groups[index])
    return found


def settled(
    ground: Ground, placed: Sequence[Placed], ways: Sequence[Sequence[Shape]]
) -> list[Placed]:
    """Return the layout after moving one panel at a time to its best place, until none gains.

    Args:
        ground: Roof and wishes.
        placed: A layout in which every panel fits.
        ways: For each kind of panel, its shapes (both ways round).
    """
    layout = list(placed)
    for _ in range(3):
        moved = False
        for index, item in enumerate(layout):
            others = layout[:index] + layout[index + 1 :]
            step = _better_spot(ground, item, others, ways[item.shape.kind])
            if step is not None:
                layout[index], moved = step, True
        if not moved:
            break
    return layout


def _better_spot(
    ground: Ground, item: Placed, others: Sequence[Placed], shapes: Sequence[Shape]
) -> Placed | None:
    here = Loss(ground, Group((Member(item.shape),)), others)
    lost = here.at_x(item.x) + here.at_y(item.y) + here.shade(item.x, item.y)
    chosen = None
    for shape in shapes:
        group = Group((Member(shape),), among(shape, others, ground.wishes.panel_gap_mm))
        best = best_place(ground, group, others, below=lost - GAIN)
        if best is not None:
            lost, chosen = best.lost, best.placed()[0]
    return chosen


def among(shape: Shape, others: Sequence[Placed], gap: float) -> tuple[Rect, ...]:
    """Return the ground that panels already in place bar for this shape's corner."""
    return tuple(
        Rect(
            p.x - p.shape.front - gap - shape.rear - shape.along_x,
            p.x + p.shape.along_x + p.shape.rear + gap + shape.front,
            p.y - p.shape.left - gap - shape.right - shape.along_y,
            p.y + p.shape.along_y + p.shape.right + gap + shape.left,
        )
        for p in others
    )
