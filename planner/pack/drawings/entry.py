"""Section through the cable entry: where the seal lies, the drip loop, and what faces where."""

from __future__ import annotations

from msgspec import Struct

from planner.pack.drawings.marks import labels_at_side
from planner.pack.drawings.svg import Box, Sheet, move


class EntryFigures(Struct, frozen=True):
    """The entry to draw: kind ``entry_box`` or ``single_glands``, and its figures as text."""

    kind: str
    hole: str = ""
    cable: str = ""
    sealant: str = ""


def entry_section(figures: EntryFigures) -> str:
    """Return the section through the entry as SVG; its parts are not to scale."""
    box = figures.kind == "entry_box"
    what = "entry box" if box else "gland"
    sheet = Sheet("entry-section", 170.0, 64.0, f"Section through the cable {what}",
                  f"Not to scale. The cable falls below the lip of the {what}, rises into it and "
                  "passes the skin; the seal lies on the outer skin. "
                  f"{figures.hole} {figures.cable}".strip())
    skin = 37.0
    sheet.rect(Box(8, skin, 62, skin + 4), fill="hatch", pen="thin")
    sheet.rect(Box(70, skin, 100, skin + 4), fill="hatch", pen="thin")
    notes = _box(sheet, skin) if box else _gland(sheet, skin)
    hole = f"hole {figures.hole}, edge sealed" if figures.hole else "hole, edge sealed"
    notes += [
        (100, skin + 2, "roof skin"),
        (62.0, skin + 3.2, hole),
        (66, skin + 16, f"cable {figures.cable}".strip() + ", sleeved, clipped inside"),
    ]
    bed = f"{figures.sealant} under the flange" if figures.sealant else "seal under the flange"
    notes.append((83.0 if box else 74.0, skin - 0.7, bed))
    sheet.text(8, 5, "OUTSIDE, opening to the rear or the side", size=2.8, bold=True)
    loop = 27.0 if box else 32.0
    sheet.line(loop, skin - 2.4, loop - 6, 15, pen="hair")
    sheet.text(8, 13.6, "drip loop: 20 to 30 mm below the lip", size=2.7)
    sheet.text(8, 61, "INSIDE · not to scale", size=2.8, bold=True)
    labels_at_side(sheet, x=116, notes=notes, low=8, high=60)
    return sheet.svg()


def _box(sheet: Sheet, skin: float) -> list[tuple[float, float, str]]:
    sheet.rect(Box(44, skin - 1.4, 90, skin), fill="dots", pen="thin")
    shell = move("M", 44, skin - 1.4, "L", 46, skin - 16, "L", 76, skin - 16, "L", 90, skin - 1.4)
    sheet.path(shell + " Z", fill="white", pen="normal")
    sheet.rect(Box(36, skin - 10.5, 46, skin - 5.5), fill="tint", pen="normal")
    cable = move("M", 10, skin - 8, "C", 22, skin - 8, 20, skin - 1.4, 27, skin - 1.6, "C", 33,
                 skin - 1.8, 32, skin - 8, 37, skin - 8, "L", 56, skin - 8, "C", 66, skin - 8, 66,
                 skin - 3, 66, skin + 22)
    sheet.path(cable, pen="heavy")
    return [
        (70, skin - 15.2, "housing, bonded to the skin all round"),
        (41, skin - 10, "gland, one cable to each seal"),
    ]


def _gland(sheet: Sheet, skin: float) -> list[tuple[float, float, str]]:
    sheet.rect(Box(55, skin - 1.4, 77, skin), fill="dots", pen="thin")
    sheet.rect(Box(55, skin - 4.4, 77, skin - 1.4), fill="tint", pen="normal")
    sheet.rect(Box(60, skin - 14, 72, skin - 4.4), fill="white", pen="normal")
    sheet.rect(Box(56, skin + 4, 76, skin + 7), fill="tint", pen="normal")
    cable = move("M", 10, skin - 6, "C", 24, skin - 6, 22, skin - 1.6, 32, skin - 1.8, "C", 46,
                 skin - 2, 46, skin - 26, 58, skin - 26, "C", 66, skin - 26, 66, skin - 20, 66,
                 skin - 14, "L", 66, skin + 22)
    sheet.path(cable, pen="heavy")
    return [
        (71, skin - 10, "gland body and seal, one cable to each"),
        (75, skin + 5.5, "lock nut, dry"),
    ]
