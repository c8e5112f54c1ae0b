"""The moving cable of a lifting roof, drawn shut and open between its two anchors."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.marks import (
    choose_scale,
    dimension_across,
    dimension_up,
    scale_bar,
    scale_text,
)
from planner.pack.drawings.svg import Box, Sheet, move

Point = tuple[float, float]
#: Room for each of the two outlines [mm].
ROOM = (52.0, 74.0)


class LoopFigures(Struct, frozen=True):
    """Lengths of the crossing [mm]; the outlines come from the calculation.

    Attributes:
        closed_mm: Height between the anchors, roof shut.
        open_mm: Greatest height between the anchors.
        offset_mm: How far the anchors stand apart sideways.
        length_mm: Free cable between the strain reliefs.
        radius_mm: Tightest bend allowed.
        shut_points: Outline shut: along the line between the anchors, and away from it.
        open_points: The same, open.
        note: What to do where it does not fit, else empty.
    """

    closed_mm: float
    open_mm: float
    length_mm: float
    radius_mm: float
    offset_mm: float = 0.0
    shut_points: Sequence[Point] = ()
    open_points: Sequence[Point] = ()
    note: str = ""


def cable_loop(figures: LoopFigures) -> str:
    """Return both positions side by side as SVG; the anchor on the shell is at the top."""
    shut = _turned(figures.shut_points, figures.offset_mm, figures.closed_mm)
    opened = _turned(figures.open_points, figures.offset_mm, figures.open_mm)
    low, high = _extent([*shut, *opened])
    n = choose_scale(extent_mm=(high[0] - low[0], high[1] - low[1]), room=ROOM)
    height = max((high[1] - low[1]) / n, 24) + 44
    sheet = Sheet("cable-loop", 170.0, height, "Moving cable, roof shut and roof open",
                  _words(figures, n))
    for left, outline, rise, name in (
        (24.0, shut, figures.closed_mm, "ROOF SHUT"),
        (108.0, opened, figures.open_mm, "ROOF OPEN, anchors farthest apart"),
    ):
        origin = (left - low[0] / n, 22.0 - low[1] / n)
        _position(sheet, outline, origin, n, rise=rise, offset=figures.offset_mm)
        sheet.text(left - 12, 5, name, size=3, bold=True)
    sheet.text(96, height - 4.5, f"free cable {figures.length_mm:.0f} mm · bends no tighter than "
               f"{figures.radius_mm:.0f} mm", size=2.8)
    scale_bar(sheet, 12, height - 8, n)
    return sheet.svg()


def _words(f: LoopFigures, n: float) -> str:
    return (
        f"{scale_text(n)}. Free cable {f.length_mm:.0f} mm; anchors {f.closed_mm:.0f} mm above "
        f"each other shut, {f.open_mm:.0f} mm open, {f.offset_mm:.0f} mm apart sideways; bend "
        f"radius nowhere under {f.radius_mm:.0f} mm. {f.note}"
    ).strip()


def _turned(points: Sequence[Point], offset: float, rise: float) -> list[Point]:
    """Turn an outline so that its second anchor lies where it is: sideways and below."""
    angle = math.atan2(rise, offset)
    along, down = math.cos(angle), math.sin(angle)
    return [(y * down - x * along, x * down + y * along) for x, y in points]


def _extent(points: Sequence[Point]) -> tuple[Point, Point]:
    xs, ys = [0.0, *(x for x, _ in points)], [0.0, *(y for _, y in points)]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _position(
    sheet: Sheet, outline: Sequence[Point], origin: Point, n: float, *, rise: float, offset: float
) -> None:
    x, y = origin
    steps: list[str | float] = []
    for index, (right, down) in enumerate(outline):
        steps += ["L" if index else "M", x + right / n, y + down / n]
    if steps:
        sheet.path(move(*steps), pen="heavy")
    body, lower = x - offset / n, y + rise / n
    sheet.rect(Box(x - 5, y - 1.6, x, y + 1.6), fill="ink", pen="none")
    sheet.text(x + 1, y - 2.6, "shell", size=2.8, anchor="end")
    sheet.rect(Box(body - 5, lower - 1.6, body, lower + 1.6), fill="white", pen="normal")
    sheet.text(body - 5, lower + 5, "body", size=2.8, anchor="middle")
    dimension_up(sheet, body - 8, y, lower, "")
    sheet.text(body - 9.4, (y + lower) / 2 + 0.9, f"{rise:.0f}", size=2.8, anchor="end")
    if offset / n > 6:
        dimension_across(sheet, body, x, y - 7.5, f"{offset:.0f}")
