"""Section through one fixing: every layer from the head of the bolt to its nut, with thickness."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.marks import dimension_up, labels_at_side, scale_bar, scale_text
from planner.pack.drawings.svg import Box, Sheet

FILLS = {
    "head": "ink",
    "nut": "ink",
    "washer": "tint",
    "plate": "tint",
    "bracket": "white",
    "foot": "white",
    "sealant": "dots",
    "bead": "dots",
    "roof": "hatch",
    "skin": "hatch",
    "core": "hatch",
    "lining": "white",
    "sleeve": "tint",
}
#: Half of how wide each kind is drawn [mm], only to tell the parts apart.
HALVES = {"head": 5.0, "nut": 5.0, "washer": 12.0, "plate": 19.0, "sealant": 15.0, "foot": 17.0}


class Layer(Struct, frozen=True):
    """One part of the stack, listed from the outside inwards."""

    part: str
    thickness_mm: float


class SectionFigures(Struct, frozen=True):
    """The fixing to draw.

    Attributes:
        layers: Parts from the outermost to the innermost, head or nut included.
        bolt: How the bolt is named, such as ``M6``.
        bolt_length_mm: Length under the head.
        hole_mm: Diameter of the clearance hole.
        bolt_mm: Nominal diameter of the bolt.
        head_outside: Whether the head is outside.
        projection_mm: How far the fixing reaches below the inner skin.
    """

    layers: Sequence[Layer]
    bolt: str
    bolt_length_mm: float
    hole_mm: float
    bolt_mm: float
    head_outside: bool = True
    projection_mm: float | None = None


def section(figures: SectionFigures) -> str:
    """Return the section as SVG, twice full size or smaller for a thick stack."""
    stack = sum(layer.thickness_mm for layer in figures.layers)
    over = 0.0 if figures.head_outside else max(figures.bolt_length_mm - stack, 0.0)
    total = max(stack, figures.bolt_length_mm if figures.head_outside else 0.0) + over
    n = next(n for n in (0.5, 1.0, 2.0, 5.0) if total / n <= 80 or n == 5.0)
    top = 12.0 + over / n
    height = max(total / n + 34, 10 + 4.2 * (len(figures.layers) + 2) + 16)
    sheet = Sheet("fixing-section", 170.0, height, "Section through one fixing",
                  f"{scale_text(n)}. {_words(figures)}")
    sheet.text(130, 5, "OUTSIDE", size=2.8, bold=True)
    middle = 62.0
    notes = _stack(sheet, figures, middle, top, n)
    labels_at_side(sheet, x=108, notes=notes, low=10, high=height - 11)
    sheet.text(130, height - 5, "INSIDE", size=2.8, bold=True)
    scale_bar(sheet, 6, height - 6, n)
    return sheet.svg()


def _words(figures: SectionFigures) -> str:
    parts = "; ".join(f"{layer.part} {layer.thickness_mm:g} mm" for layer in figures.layers)
    return f"{figures.bolt} by {figures.bolt_length_mm:g} mm, from outside inwards: {parts}."


def _stack(
    sheet: Sheet, figures: SectionFigures, middle: float, top: float, n: float
) -> list[tuple[float, float, str]]:
    notes: list[tuple[float, float, str]] = []
    level = top
    half_hole = figures.hole_mm / 2 / n
    half_bolt = figures.bolt_mm / 2 / n
    for layer in figures.layers:
        end = level + layer.thickness_mm / n
        kind = _kind(layer.part)
        roof = kind in {"roof", "skin", "core", "lining"}
        half = 40.0 if roof else min(HALVES.get(kind, 16.0) / n, 38.0)
        for sign in (-1, 1):
            inner = half_bolt if kind in {"head", "nut"} else half_hole
            edges = sorted((middle + sign * inner, middle + sign * half))
            sheet.rect(Box(edges[0], level, edges[1], end), fill=FILLS.get(kind, "white"),
                       pen="thin")
        notes.append((middle + min(half, 22.0) - 1.5, (level + end) / 2,
                      f"{layer.part}, {layer.thickness_mm:g} mm"))
        level = end
    _bolt(sheet, figures, middle, top, n=n, half=half_bolt)
    return [*notes, *_ends(figures, middle, top, level, n=n)]


def _ends(
    figures: SectionFigures, middle: float, top: float, bottom: float, *, n: float
) -> list[tuple[float, float, str]]:
    """Name head and nut, unless the stack lists them."""
    kinds = {_kind(layer.part) for layer in figures.layers}
    half = 1.2 * figures.bolt_mm / 2 / n
    head, nut = (top - 1.5 / n, bottom + 0.4 * figures.bolt_mm / n)
    if not figures.head_outside:
        head, nut = bottom + 1.5 / n, top - 0.4 * figures.bolt_mm / n
    names = (("head", head, f"head of the {figures.bolt} bolt"),
             ("nut", nut, f"{figures.bolt} locking nut, thread past it"))
    return [(middle + half, level, text) for kind, level, text in names if kind not in kinds]


def _bolt(
    sheet: Sheet, figures: SectionFigures, middle: float, top: float, *, n: float, half: float
) -> None:
    length = figures.bolt_length_mm / n
    total = sum(layer.thickness_mm for layer in figures.layers) / n
    if figures.head_outside:
        head, tip = top, top + length
        cap = Box(middle - 1.7 * half, top - 3 / n, middle + 1.7 * half, top)
    else:
        head, tip = top + total, top + total - length
        cap = Box(middle - 1.7 * half, head, middle + 1.7 * half, head + 3 / n)
    sheet.rect(Box(middle - half, min(head, tip), middle + half, max(head, tip)),
               fill="white", pen="bold")
    sheet.rect(cap, fill="ink", pen="thin")
    if not any(_kind(layer.part) == "nut" for layer in figures.layers):
        sheet.rect(_nut(figures, middle, top, n=n, half=half), fill="white", pen="bold")
    sheet.line(middle, top - 4, middle, max(head, tip) + 4, pen="hair", dash="3 1 0.6 1")
    dimension_up(sheet, middle - 46, min(head, tip), max(head, tip), "")
    label = f"{figures.bolt} × {figures.bolt_length_mm:g}"
    sheet.text(middle - 47.4, (head + tip) / 2 - 0.4, label, size=2.7, anchor="end", bold=True)
    sheet.text(middle - 47.4, (head + tip) / 2 + 3.4, f"hole {figures.hole_mm:g}", size=2.6,
               anchor="end")


def _nut(f: SectionFigures, middle: float, top: float, *, n: float, half: float) -> Box:
    """The nut against the far side of the stack, 0.8 of the bolt's diameter high."""
    total = sum(layer.thickness_mm for layer in f.layers) / n
    high = 0.8 * f.bolt_mm / n
    face = top + total if f.head_outside else top - high
    return Box(middle - 1.7 * half, face, middle + 1.7 * half, face + high)


def _kind(part: str) -> str:
    words = part.lower()
    order = ("nut", "head", "washer", "plate", "seal", "bed", "bead", "sleeve", "skin", "core",
             "lining", "roof", "foot", "bracket")
    found = next((word for word in order if word in words), "")
    return {"seal": "sealant", "bed": "sealant"}.get(found, found)
