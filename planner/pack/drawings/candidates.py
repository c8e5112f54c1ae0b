"""Candidate panels, each in its place on the same roof, at one scale: watts, size, fits or not."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.marks import choose_scale, scale_bar, scale_text
from planner.pack.drawings.svg import Box, Sheet, fit

#: Front edge x, left edge y, extent along x and along y [mm].
Place = tuple[float, float, float, float]
#: Paper above the roofs.
TOP = 3.0


class Candidate(Struct, frozen=True):
    """One panel of the list; ``places`` are empty where it does not fit."""

    name: str
    length_mm: float
    width_mm: float
    watts: str
    fits: bool
    places: Sequence[Place] = ()


class Roof(Struct, frozen=True):
    """The usable roof and what stands on it [mm]."""

    length_mm: float
    width_mm: float
    things: Sequence[Place] = ()


def candidates(panels: Sequence[Candidate], roof: Roof, *, id_: str = "candidates") -> str:
    """Return the candidates as SVG, up to six roofs in a row, front at the top, at one scale."""
    shown = list(panels)[:6]
    slot = 162.0 / len(shown)
    n = choose_scale(extent_mm=_extent(shown, roof), room=(slot - 4, 80.0))
    tallest = _extent(shown, roof)[1] / n
    sheet = Sheet(id_, 170.0, tallest + 27, "Candidate panels at one scale",
                  f"{scale_text(n)}. " + "; ".join(_words(panel) for panel in shown))
    for index, panel in enumerate(shown):
        middle = 4 + (index + 0.5) * slot
        _roof(sheet, roof, middle, n)
        _panel(sheet, panel, roof, middle, n)
        _name(sheet, panel, middle, TOP + tallest, slot)
    scale_bar(sheet, 6, sheet.height - 7, n)
    return sheet.svg()


def _extent(shown: Sequence[Candidate], roof: Roof) -> tuple[float, float]:
    """Room for the roof, and for a panel that is larger than the roof."""
    misfits = [panel for panel in shown if not panel.fits]
    return (
        max([roof.width_mm, *(panel.width_mm for panel in misfits)]),
        max([roof.length_mm, *(panel.length_mm for panel in misfits)]),
    )


def _words(panel: Candidate) -> str:
    fits = "fits" if panel.fits else "does not fit"
    return f"{panel.name}: {panel.length_mm:.0f} by {panel.width_mm:.0f} mm, {fits}"


def _box(roof: Roof, middle: float, n: float, place: Place) -> Box:
    x, y, along, across = place
    left = middle + (y - roof.width_mm / 2) / n
    return Box(left, TOP + x / n, left + across / n, TOP + (x + along) / n)


def _roof(sheet: Sheet, roof: Roof, middle: float, n: float) -> None:
    sheet.rect(_box(roof, middle, n, (0, 0, roof.length_mm, roof.width_mm)), fill="white",
               pen="thin")
    for thing in roof.things:
        sheet.rect(_box(roof, middle, n, thing), fill="hatch", pen="hair")


def _panel(sheet: Sheet, panel: Candidate, roof: Roof, middle: float, n: float) -> None:
    """The panel in its place; one that does not fit lies over the middle in a broken line."""
    for place in panel.places:
        sheet.rect(_box(roof, middle, n, place), fill="tint", pen="bold")
    if not panel.fits:
        place = ((roof.length_mm - panel.length_mm) / 2, (roof.width_mm - panel.width_mm) / 2,
                 panel.length_mm, panel.width_mm)
        sheet.rect(_box(roof, middle, n, place), fill="none", pen="bold", dash="2 1")


def _name(sheet: Sheet, panel: Candidate, middle: float, base: float, slot: float) -> None:
    verdict = "fits" if panel.fits else "does not fit"
    size = f"{panel.length_mm:.0f} × {panel.width_mm:.0f}"
    rows = ((panel.name, True), (size, False), (f"{panel.watts} · {verdict}", False))
    for row, (text, bold) in enumerate(rows):
        written = fit(text, 2.6, slot - 2)
        sheet.text(middle, base + 5 + row * 4, written, size=2.6, anchor="middle", bold=bold)
