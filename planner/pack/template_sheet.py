"""Sheets of the drilling template: paper, frame and tiles, and roof millimetres on the paper."""

from __future__ import annotations

import math
from html import escape

from msgspec import Struct

from planner.pack.drawings.roof_plan import Area, Spot
from planner.pack.drawings.svg import Box, move
from planner.pack.drawings.svg import Sheet as Canvas

PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: Border that any printer can leave white, and the band above the frame for head and check bar.
MARGIN, BAND = 13.0, 22.0
#: Neighbours share this strip; sizes and places of frames are whole tens, easy on a tape.
OVERLAP, BAR, ROUND = 10.0, 100.0, 10.0
#: How far the arms of a cross reach beyond the hole.
ARM = 6.0


class Sheet(Struct, frozen=True):
    """A sheet of paper [mm] and the frame on it, inside which it shows the roof at 1:1."""

    width: float
    height: float

    @property
    def across(self) -> float:
        """How much of the roof's width a frame shows."""
        return (self.width - 2 * MARGIN) // ROUND * ROUND

    @property
    def along(self) -> float:
        """How much of the roof's length a frame shows."""
        return (self.height - 2 * MARGIN - BAND) // ROUND * ROUND

    @property
    def step_across(self) -> float:
        """From one column of tiles to the next."""
        return self.across - OVERLAP

    @property
    def step_along(self) -> float:
        """From one row of tiles to the next."""
        return self.along - OVERLAP

    @property
    def frame(self) -> Box:
        """The frame on the paper."""
        left, top = (self.width - self.across) / 2, MARGIN + BAND
        return Box(left, top, left + self.across, top + self.along)


class Tile(Struct, frozen=True, order=True):
    """One place of the grid, and where its frame begins: from the front, from the left [mm]."""

    row: int
    column: int
    x_mm: float
    y_mm: float

    @property
    def name(self) -> str:
        """Rows are letters from the front, columns are numbers from the left.

        Examples:
            >>> Tile(1, 2, 0, 0).name, Tile(27, 0, 0, 0).name
            ('B3', 'AB1')
        """
        return f"{self.letters}{self.column + 1}"

    @property
    def letters(self) -> str:
        """The name of its row."""
        before, last = divmod(self.row, 26)
        return (chr(ord("A") + before - 1) if before else "") + chr(ord("A") + last)


class Layout(Struct, frozen=True):
    """The grid of one paper: tiles to print, in reading order, and tiles left out as empty."""

    sheet: Sheet
    tiles: tuple[Tile, ...]
    skipped: tuple[Tile, ...]


class Window(Struct, frozen=True):
    """The frame of one tile: roof millimetres to paper millimetres, cut at the frame."""

    sheet: Sheet
    tile: Tile

    def point(self, spot: Spot) -> tuple[float, float]:
        """Return the place on the paper of a spot on the roof."""
        frame = self.sheet.frame
        return frame.left + spot.y_mm - self.tile.y_mm, frame.top + spot.x_mm - self.tile.x_mm

    def shows(self, spot: Spot) -> bool:
        """Whether the middle of a spot lies in the frame."""
        frame, (x, y) = self.sheet.frame, self.point(spot)
        return frame.left <= x <= frame.right and frame.top <= y <= frame.bottom

    def cut(self, area: Area) -> Box | None:
        """Return the part of an area that the frame shows; lines are areas without width."""
        frame = self.sheet.frame
        left, top = self.point(Spot("", area.x_mm, area.y_mm))
        right, bottom = left + area.width_mm, top + area.length_mm
        box = Box(max(left, frame.left), max(top, frame.top),
                  min(right, frame.right), min(bottom, frame.bottom))
        return box if box.left <= box.right and box.top <= box.bottom else None

    def sides(self, area: Area) -> list[Box]:
        """Return the sides of an area that the frame shows: front, rear, left, right."""
        found = [self.cut(side) for side in sides(area)]
        return [side for side in found if side]


def sides(area: Area) -> tuple[Area, Area, Area, Area]:
    """Return the front, rear, left and right side of an area, as lines."""
    x, y, long, wide = area.x_mm, area.y_mm, area.length_mm, area.width_mm
    return (Area("", x, y, 0, wide), Area("", x + long, y, 0, wide),
            Area("", x, y, long, 0), Area("", x, y + wide, long, 0))


def reach(spot: Spot) -> float:
    """How far the cross of a hole reaches from its middle [mm]."""
    return spot.diameter_mm / 2 + ARM


def whole(mm: float) -> str:
    """Return millimetres as they are taped: whole ones, halves upwards.

    Examples:
        >>> whole(397.5), whole(312.4), whole(-0.2)
        ('398', '312', '0')
    """
    return str(math.floor(mm + 0.5))


def from_front(x_mm: float) -> str:
    """Say how far a place lies from the front datum."""
    if x_mm < 0:
        return f"{whole(-x_mm)} mm ahead of the front edge"
    return f"{whole(x_mm)} mm from the front edge" if x_mm else "on the front edge"


def from_centre(y_mm: float, middle: float) -> str:
    """Say how far a place lies beside the centre line.

    Examples:
        >>> from_centre(230, 590), from_centre(590, 590)
        ('360 mm left of the centre line', 'on the centre line')
    """
    off = whole(abs(y_mm - middle))
    if off == "0":
        return "on the centre line"
    return f"{off} mm {'left' if y_mm < middle else 'right'} of the centre line"


def check_bars(canvas: Canvas, left: float, top: float, bar_x: float, bar_y: float) -> None:
    """Draw the level bar from ``left`` at ``top`` and the upright one from ``bar_y`` downwards."""
    canvas.line(left, top, left + BAR, top, pen="normal")
    canvas.line(bar_x, bar_y, bar_x, bar_y + BAR, pen="normal")
    for end in (0.0, BAR):
        canvas.line(left + end, top - 2, left + end, top + 2, pen="thin")
        canvas.line(bar_x - 1.5, bar_y + end, bar_x + 1.5, bar_y + end, pen="thin")


def front_arrow(canvas: Canvas, x: float, tip: float, foot: float) -> None:
    """Draw the arrow that points to the front of the van."""
    canvas.line(x, tip + 3, x, foot, pen="bold")
    canvas.path(move("M", x, tip, "L", x - 1.6, tip + 4, "L", x + 1.6, tip + 4) + " Z",
                fill="ink", pen="none")


def upright(canvas: Canvas, x: float, y: float, words: str, size: float, anchor: str) -> None:
    """Write from below upwards."""
    turn = f"translate({x:.3f} {y:.3f}) rotate(-90)"
    canvas.add("text", {"transform": turn, "font-size": size, "text-anchor": anchor},
               escape(words))
