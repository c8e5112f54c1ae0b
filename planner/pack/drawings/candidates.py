"""Candidate panels side by side at one scale, with watts, size, and whether each fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.pack.drawings.marks import choose_scale, scale_bar, scale_text
from planner.pack.drawings.svg import Box, Sheet, fit


@dataclass(frozen=True)
class Candidate:
    """One panel of the list."""

    name: str
    length_mm: float
    width_mm: float
    watts: str
    fits: bool
    note: str = ""


def candidates(panels: Sequence[Candidate], *, id_: str = "candidates") -> str:
    """Return the candidates as SVG, up to six in a row, all at the same scale."""
    shown = list(panels)[:6]
    slot = 162.0 / len(shown)
    extent = (max(p.width_mm for p in shown), max(p.length_mm for p in shown))
    n = choose_scale(extent_mm=extent, room=(slot - 4, 80.0))
    tallest = extent[1] / n
    sheet = Sheet(id_, 170.0, tallest + 36, "Candidate panels at one scale",
                  f"{scale_text(n)}. " + "; ".join(_words(panel) for panel in shown))
    base = 6 + tallest
    for index, panel in enumerate(shown):
        _candidate(sheet, panel, 4 + (index + 0.5) * slot, base, n=n, slot=slot)
    scale_bar(sheet, 6, sheet.height - 7, n)
    return sheet.svg()


def _words(panel: Candidate) -> str:
    fits = "fits" if panel.fits else "does not fit"
    return f"{panel.name}: {panel.length_mm:.0f} by {panel.width_mm:.0f} mm, {fits}"


def _candidate(
    sheet: Sheet, panel: Candidate, middle: float, base: float, *, n: float, slot: float
) -> None:
    half = panel.width_mm / n / 2
    box = Box(middle - half, base - panel.length_mm / n, middle + half, base)
    sheet.rect(box, fill="tint" if panel.fits else "white", pen="bold" if panel.fits else "thin",
               dash="" if panel.fits else "2 1")
    verdict = "fits" if panel.fits else "does not fit"
    size = f"{panel.length_mm:.0f} × {panel.width_mm:.0f}"
    rows = ((panel.name, True), (size, False), (f"{panel.watts} · {verdict}", False))
    for row, (text, bold) in enumerate(rows):
        written = fit(text, 2.6, slot - 2)
        sheet.text(middle, base + 5 + row * 4, written, size=2.6, anchor="middle", bold=bold)
