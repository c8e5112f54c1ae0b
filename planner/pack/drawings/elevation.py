"""Elevation of the van with the roof shut and open: heights, panel, and how the roof moves."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.marks import choose_scale, dimension_up, scale_bar, scale_text
from planner.pack.drawings.svg import Box, Sheet, move

SHELL_MM = 90.0


class ElevationFigures(Struct, frozen=True):
    """Heights and lengths of the van [mm].

    Attributes:
        roof_mm: Length (or, seen from behind, width) of the roof shown.
        height_mm: Height of the van before the work, its tallest roof furniture included.
        skin_mm: Height of the roof's skin, roof shut.
        new_height_mm: Height with the panel, roof shut.
        panel_start_mm: Where the panel starts along the roof shown.
        panel_length_mm: How far it reaches along the roof shown.
        stand_mm: Height of the panel's top over the roof.
        hinge: ``front``, ``rear``, ``left``, ``right``, ``parallel``, or empty for a fixed roof.
        opening_mm: Rise of the free edge, or of the whole shell on a parallel lift.
        opening_deg: Opening angle of a hinged roof; 0 on a parallel lift.
        furniture: What else stands on the roof: start and length along it, height over the skin.
    """

    roof_mm: float
    height_mm: float
    skin_mm: float
    new_height_mm: float
    panel_start_mm: float
    panel_length_mm: float
    stand_mm: float
    hinge: str = ""
    opening_mm: float = 0.0
    opening_deg: float = 0.0
    furniture: Sequence[tuple[float, float, float]] = ()


def elevation(figures: ElevationFigures) -> str:
    """Return the elevation as SVG: from the side, or from behind where the hinge is at a side."""
    across = figures.hinge in {"left", "right"}
    extent = (figures.roof_mm, _highest(figures))
    n = choose_scale(extent_mm=extent, room=(86.0, 100.0))
    base = 14.0 + extent[1] / n
    view = "Seen from behind" if across else "Seen from the left side, front at the left"
    sheet = Sheet("elevation", 170.0, base + 14, "Heights with the roof shut and open",
                  f"{view}. {scale_text(n)}. {_words(figures)}")
    left = 24.0
    _body(sheet, figures, left, base, n, across=across)
    _roof_shut(sheet, figures, left, base, n)
    if figures.hinge:
        _roof_open(sheet, figures, left, base, n)
    _heights(sheet, figures, left, base, n)
    sheet.text(left, 4, view, size=2.8)
    scale_bar(sheet, left, sheet.height - 7, n)
    return sheet.svg()


def _words(figures: ElevationFigures) -> str:
    said = f"Before {figures.height_mm:.0f} mm high, with panel {figures.new_height_mm:.0f} mm."
    if not figures.hinge:
        return said + " The roof does not move."
    return f"{said} Roof open: {_open_top(figures):.0f} mm at the highest point."


def _open_top(figures: ElevationFigures) -> float:
    """Height of the highest point of the opened shell with what stands on it [mm]."""
    if figures.hinge == "parallel":
        return figures.new_height_mm + figures.opening_mm
    return max(-_opened(figures, x, y, figures.roof_mm, 1.0)[1] for x, y in _corners(figures)) + (
        figures.skin_mm - SHELL_MM
    )


def _corners(figures: ElevationFigures) -> list[tuple[float, float]]:
    """Corners of shell, panel and furniture, from the shell's lower left corner; y is down."""
    parts = [(0.0, figures.roof_mm, 0.0), *_standing(figures)]
    return [(x, -SHELL_MM - up) for start, length, up in parts for x in (start, start + length)]


def _standing(figures: ElevationFigures) -> list[tuple[float, float, float]]:
    panel = (figures.panel_start_mm, figures.panel_length_mm, figures.stand_mm)
    return [*figures.furniture, panel]


def _highest(figures: ElevationFigures) -> float:
    return _open_top(figures) + 100 if figures.hinge else figures.new_height_mm + 100


def _body(
    sheet: Sheet, f: ElevationFigures, left: float, base: float, n: float, *, across: bool
) -> None:
    """A plain outline: only the heights matter, so the body is a block on wheels."""
    width = f.roof_mm / n
    shoulder = base - (f.skin_mm - SHELL_MM) / n
    wheel = 330 / n
    for place in (0.1, 0.9) if across else (0.2, 0.8):
        middle = left + place * width
        if across:
            tyre = Box(middle - wheel * 0.32, base - 2 * wheel, middle + wheel * 0.32, base)
            sheet.rect(tyre, fill="tint", pen="thin")
        else:
            sheet.circle(middle, base - wheel, wheel, fill="tint", pen="thin")
    sheet.rect(Box(left, shoulder, left + width, base - wheel * 0.9), fill="white", pen="normal")
    sheet.line(left - 12, base, left + width + 46, base, pen="thin")


def _roof_shut(sheet: Sheet, f: ElevationFigures, left: float, base: float, n: float) -> None:
    top = base - f.skin_mm / n
    bottom = base - (f.skin_mm - SHELL_MM) / n
    sheet.rect(Box(left, top, left + f.roof_mm / n, bottom), fill="tint", pen="normal", radius=1)
    for index, (start, length, up) in enumerate(reversed(_standing(f))):
        box = Box(left + start / n, top - up / n, left + (start + length) / n, top)
        sheet.rect(box, fill="hatch" if index else "ink", pen="thin")


def _roof_open(sheet: Sheet, f: ElevationFigures, left: float, base: float, n: float) -> None:
    """The same shell, turned about its hinge or lifted, in broken lines."""
    width = f.roof_mm / n
    shell = [(0.0, 0.0), (width, 0.0), (width, -SHELL_MM / n), (0.0, -SHELL_MM / n)]
    sill, deck = base - (f.skin_mm - SHELL_MM) / n, -SHELL_MM / n
    shapes = [(shell, "normal")]
    for start, length, up in _standing(f):
        ends, high = (start / n, (start + length) / n), deck - up / n
        box = [(ends[0], deck), (ends[1], deck), (ends[1], high), (ends[0], high)]
        shapes.append((box, "thin" if len(shapes) <= len(f.furniture) else "bold"))
    for shape, pen in shapes:
        points = [_opened(f, x, y, width, n) for x, y in shape]
        steps: list[str | float] = []
        for index, (x, y) in enumerate(points):
            steps += ["L" if index else "M", left + x, sill + y]
        sheet.path(move(*steps) + " Z", pen=pen, dash="2 1")


def _opened(
    f: ElevationFigures, x: float, y: float, width: float, n: float
) -> tuple[float, float]:
    if f.hinge == "parallel":
        return x, y - f.opening_mm / n
    at_start = f.hinge in {"front", "left"}
    pivot = 0.0 if at_start else width
    angle = math.radians(f.opening_deg) * (-1 if at_start else 1)
    dx = x - pivot
    return (
        pivot + dx * math.cos(angle) - y * math.sin(angle),
        dx * math.sin(angle) + y * math.cos(angle),
    )


def _heights(sheet: Sheet, f: ElevationFigures, left: float, base: float, n: float) -> None:
    right = left + f.roof_mm / n
    levels = ((8.0, f.height_mm, "before"), (32.0, f.new_height_mm, "with panel"))
    for out, height, what in levels:
        x, middle = right + out, base - height / n / 2
        dimension_up(sheet, x, base - height / n, base, "")
        sheet.text(x + 1.6, middle - 1, f"{height:.0f}", size=2.8, bold=True)
        sheet.text(x + 1.6, middle + 2.6, what, size=2.6)
        sheet.line(right, base - height / n, x + 1, base - height / n, pen="hair")
    if f.hinge:
        top = _open_top(f)
        dimension_up(sheet, left - 8, base - top / n, base, "")
        middle = base - top / n / 2
        sheet.text(left - 9.6, middle - 1, f"{round(top, -1):.0f}", anchor="end", bold=True)
        sheet.text(left - 9.6, middle + 2.6, "open, about", size=2.6, anchor="end")
