"""The moving cable of a lifting roof, drawn shut and open between its two anchors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.pack.drawings.marks import choose_scale, dimension_up, scale_bar, scale_text
from planner.pack.drawings.svg import Box, Sheet, move


@dataclass(frozen=True)
class LoopFigures:
    """Lengths of the crossing [mm]; the outline comes from the calculation.

    Attributes:
        closed_mm: Distance between the anchors, roof shut.
        open_mm: Greatest distance between the anchors.
        length_mm: Free cable between the strain reliefs.
        radius_mm: Tightest bend allowed.
        shut_points: Outline shut, from the first anchor at (0, 0) to the second on the x axis.
        note: What to do where it does not fit, else empty.
    """

    closed_mm: float
    open_mm: float
    length_mm: float
    radius_mm: float
    shut_points: Sequence[tuple[float, float]] = ()
    note: str = ""


def cable_loop(figures: LoopFigures) -> str:
    """Return both positions side by side as SVG; anchors stand above each other."""
    reach = max((y for _, y in figures.shut_points), default=figures.length_mm / 2)
    low = min([0.0, *(x for x, _ in figures.shut_points)])
    high = max([figures.closed_mm, *(x for x, _ in figures.shut_points)])
    extent = (reach, max(figures.open_mm, high - low))
    n = choose_scale(extent_mm=extent, room=(62.0, 76.0))
    height = max(extent[1] / n, 34) + 36
    sheet = Sheet("cable-loop", 170.0, height, "Moving cable, roof shut and roof open",
                  f"{scale_text(n)}. Free cable {figures.length_mm:.0f} mm; anchors "
                  f"{figures.closed_mm:.0f} mm apart shut, {figures.open_mm:.0f} mm open; bend "
                  f"radius nowhere under {figures.radius_mm:.0f} mm. {figures.note}".strip())
    _shut(sheet, figures, 24.0, 17.0 - low / n, n)
    _opened(sheet, figures, 112.0, 17.0, n)
    sheet.text(12, 5, "ROOF SHUT", size=3, bold=True)
    sheet.text(100, 5, "ROOF OPEN, anchors farthest apart", size=3, bold=True)
    sheet.text(100, height - 4.5, f"free cable {figures.length_mm:.0f} mm · bends no tighter than "
               f"{figures.radius_mm:.0f} mm", size=2.6)
    scale_bar(sheet, 12, height - 8, n)
    return sheet.svg()


def _anchor(sheet: Sheet, x: float, y: float, name: str) -> None:
    sheet.rect(Box(x - 5, y - 1.6, x, y + 1.6), fill="ink", pen="none")
    sheet.text(x - 5, y - 2.6, name, size=2.6, anchor="middle")


def _shut(sheet: Sheet, f: LoopFigures, x: float, y: float, n: float) -> None:
    """Turned a quarter: the line between the anchors is upright, the loop hangs sideways."""
    points = f.shut_points or ((0, 0), (f.closed_mm / 2, f.length_mm / 2.4), (f.closed_mm, 0))
    steps: list[str | float] = []
    for index, (along, down) in enumerate(points):
        steps += ["L" if index else "M", x + down / n, y + along / n]
    sheet.path(move(*steps), pen="heavy")
    _anchor(sheet, x, y, "shell")
    lower = y + f.closed_mm / n
    sheet.rect(Box(x - 5, lower - 1.6, x, lower + 1.6), fill="white", pen="normal")
    sheet.text(x - 5, lower + 4.6, "body", size=2.6, anchor="middle")
    dimension_up(sheet, x - 9, y, lower, "")
    sheet.text(x - 10.2, (y + lower) / 2 + 0.9, f"{f.closed_mm:.0f}", size=2.6, anchor="end")


def _opened(sheet: Sheet, f: LoopFigures, x: float, y: float, n: float) -> None:
    """The slack hangs as a shallow bow: sag of a parabola of that length over that span."""
    span = f.open_mm / n
    sag = (0.375 * f.open_mm * max(f.length_mm - f.open_mm, 0.0)) ** 0.5 / n
    curve = move("M", x, y, "Q", x + 2 * sag, y + span / 2, x, y + span)
    sheet.path(curve, pen="heavy")
    _anchor(sheet, x, y, "shell")
    sheet.rect(Box(x - 5, y + span - 1.6, x, y + span + 1.6), fill="white", pen="normal")
    sheet.text(x - 5, y + span + 4.6, "body", size=2.6, anchor="middle")
    dimension_up(sheet, x - 9, y, y + span, "")
    sheet.text(x - 10.2, y + span / 2 + 0.9, f"{f.open_mm:.0f}", size=2.6, anchor="end")
