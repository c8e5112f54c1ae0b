"""Sheets of the drilling template: paper, tiles, and roof coordinates on them in millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from planner.pack.drawings.roof_plan import Area, Spot
from planner.pack.drawings.svg import number

PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: White border that any printer leaves [mm]; the check bars lie in the band above the frame.
BORDER, BAND = 13.0, 22.0
OVERLAP, BAR = 10.0, 100.0


@dataclass(frozen=True)
class Sheet:
    """Size of the paper and of the frame on it that shows the roof [mm]."""

    width: float
    height: float

    @property
    def across(self) -> float:
        """How much of the roof's width one tile shows."""
        return self.width - 2 * BORDER

    @property
    def along(self) -> float:
        """How much of the roof's length one tile shows."""
        return self.height - 2 * BORDER - BAND


@dataclass(frozen=True)
class Tile:
    """One sheet: where its frame begins on the roof, from the front and from the left [mm]."""

    row: int
    column: int
    x_mm: float
    y_mm: float

    @property
    def name(self) -> str:
        """Its name on the tile map: rows are letters from the front, columns numbers from left."""
        return f"{chr(ord('A') + self.row)}{self.column + 1}"


def text(x: float, y: float, words: str, size: float = 3.2, anchor: str = "start") -> str:
    """Return words at a place on the sheet; ``size`` is the height of the type [mm]."""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}" '
        f'text-anchor="{anchor}">{escape(words)}</text>'
    )


def line(x1: float, y1: float, x2: float, y2: float, width: float = 0.2, dash: str = "") -> str:
    """Return a straight line on the sheet [mm]."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}" '
        f'stroke-width="{width}"{dashes}/>'
    )


@dataclass(frozen=True)
class Window:
    """The frame of a tile on its sheet: roof coordinates to sheet millimetres, and clipping."""

    sheet: Sheet
    tile: Tile

    def across(self, y_mm: float) -> float:
        """Return the sheet's x of a roof y."""
        return BORDER + y_mm - self.tile.y_mm

    def down(self, x_mm: float) -> float:
        """Return the sheet's y of a roof x."""
        return BORDER + BAND + x_mm - self.tile.x_mm

    def shows(self, spot: Spot) -> bool:
        """Return whether a spot lies inside the frame."""
        return (
            0 <= spot.x_mm - self.tile.x_mm <= self.sheet.along
            and 0 <= spot.y_mm - self.tile.y_mm <= self.sheet.across
        )

    def level(self, x_mm: float, y1: float, y2: float, width: float, dash: str = "") -> str:
        """Return a line across the van at a roof x, cut at the frame."""
        low, high = max(y1, self.tile.y_mm), min(y2, self.tile.y_mm + self.sheet.across)
        if low >= high or not 0 <= x_mm - self.tile.x_mm <= self.sheet.along:
            return ""
        at = self.down(x_mm)
        return line(self.across(low), at, self.across(high), at, width, dash)

    def upright(self, y_mm: float, x1: float, x2: float, width: float, dash: str = "") -> str:
        """Return a line along the van at a roof y, cut at the frame."""
        low, high = max(x1, self.tile.x_mm), min(x2, self.tile.x_mm + self.sheet.along)
        if low >= high or not 0 <= y_mm - self.tile.y_mm <= self.sheet.across:
            return ""
        at = self.across(y_mm)
        return line(at, self.down(low), at, self.down(high), width, dash)

    def outline(self, area: Area, width: float, dash: str = "") -> str:
        """Return the outline of an area, cut at the frame."""
        x1, x2 = area.x_mm, area.x_mm + area.length_mm
        y1, y2 = area.y_mm, area.y_mm + area.width_mm
        return "".join(
            (
                self.level(x1, y1, y2, width, dash),
                self.level(x2, y1, y2, width, dash),
                self.upright(y1, x1, x2, width, dash),
                self.upright(y2, x1, x2, width, dash),
            )
        )
