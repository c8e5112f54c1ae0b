"""The tile map of the drilling template: which sheet lies where, and which are left out."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.roof_plan import Area, RoofFigures, Spot
from planner.pack.drawings.svg import Box, text_box, text_width
from planner.pack.drawings.svg import Sheet as Canvas
from planner.pack.template_sheet import BAR, Layout, Tile, check_bars, front_arrow

LEFT, TOP, FOOT, CROSS = 14.0, 36.0, 1.0, 1.3


class _Scale(Struct, frozen=True):
    """Where the grid begins on the drawing and on the roof, and paper to one of roof [mm]."""

    left: float
    top: float
    x_mm: float
    y_mm: float
    each: float

    def box(self, area: Area) -> Box:
        """Return the box on the map of an area of the roof."""
        left = self.left + (area.y_mm - self.y_mm) * self.each
        top = self.top + (area.x_mm - self.x_mm) * self.each
        return Box(left, top, left + area.width_mm * self.each, top + area.length_mm * self.each)


def tile_map(layout: Layout, roof: RoofFigures, spots: Sequence[Spot], height_mm: float) -> str:
    """Return the map of the tiles as SVG, with both check bars along its edges."""
    names = ", ".join(tile.name for tile in layout.tiles)
    canvas = Canvas("tile-map", BAR + 14, height_mm, "Tile map", f"Tiles printed: {names}")
    check_bars(canvas, 10, 4, 5, 10)
    canvas.text(10, 9, "Each bar, level and upright, must measure 100 mm.", size=2.8)
    scale = _scale(layout, height_mm)
    _grid(canvas, scale, layout)
    outline = _roof(canvas, scale, roof)
    middle = (outline.left + outline.right) / 2
    front_arrow(canvas, middle, 15, 27)
    canvas.text(middle + 3.5, 22, "front of the van", size=3)
    crosses = [_cross(canvas, scale, spot) for spot in spots]
    for tile in layout.tiles:
        _name(canvas, _box(scale, layout, tile), tile.name, crosses)
    return canvas.svg()


def _scale(layout: Layout, height_mm: float) -> _Scale:
    grid = [*layout.tiles, *layout.skipped]
    first, last = min(grid), max(grid)
    length = last.x_mm + layout.sheet.along - first.x_mm
    width = max(tile.y_mm for tile in grid) + layout.sheet.across - first.y_mm
    room = BAR + 10 - LEFT
    each = min(room / width, (height_mm - TOP - FOOT) / length)
    return _Scale(LEFT + (room - width * each) / 2, TOP, first.x_mm, first.y_mm, each)


def _box(scale: _Scale, layout: Layout, tile: Tile) -> Box:
    sheet = layout.sheet
    return scale.box(Area("", tile.x_mm, tile.y_mm, sheet.along, sheet.across))


def _grid(canvas: Canvas, scale: _Scale, layout: Layout) -> None:
    """Left-out tiles are dotted, printed ones bold; letters and numbers stand at the edges."""
    for tile in layout.skipped:
        canvas.rect(_box(scale, layout, tile), pen="hair", dash="0.3 0.9")
    for tile in layout.tiles:
        canvas.rect(_box(scale, layout, tile), fill="tint", pen="bold")
    for tile in [*layout.skipped, *layout.tiles]:
        box = _box(scale, layout, tile)
        size = min(2.8, (box.bottom - box.top) / 1.4)
        if tile.column == 0:
            canvas.text(box.left - 1.2, (box.top + box.bottom) / 2 + size / 3, tile.letters,
                        size=size, anchor="end")
        if tile.row == 0:
            canvas.text((box.left + box.right) / 2, box.top - 1.2, str(tile.column + 1),
                        size=2.8, anchor="middle")


def _roof(canvas: Canvas, scale: _Scale, roof: RoofFigures) -> Box:
    """Draw outline, centre line and panels; return the outline."""
    outline = scale.box(Area("", 0, 0, roof.length_mm, roof.width_mm))
    canvas.rect(outline, pen="normal")
    middle = (outline.left + outline.right) / 2
    canvas.line(middle, outline.top, middle, outline.bottom, pen="thin", dash="6 1.2 1 1.2")
    for panel in roof.panels:
        canvas.rect(scale.box(panel), pen="thin", dash="1.6 1")
    return outline


def _cross(canvas: Canvas, scale: _Scale, spot: Spot) -> Box:
    at = scale.box(Area("", spot.x_mm, spot.y_mm, 0, 0))
    canvas.line(at.left - CROSS, at.top, at.left + CROSS, at.top, pen="normal")
    canvas.line(at.left, at.top - CROSS, at.left, at.top + CROSS, pen="normal")
    return Box(at.left - CROSS, at.top - CROSS, at.left + CROSS, at.top + CROSS)


def _name(canvas: Canvas, box: Box, name: str, crosses: Sequence[Box]) -> None:
    """Write a printed tile's name in a corner free of crosses, else beside the tile."""
    size = min(3.0, (box.bottom - box.top) / 2.2)
    half = text_width(name, size, bold=True) / 2
    places = [
        (x, y)
        for x in (box.left + half + 0.5, box.right - half - 0.5, box.left - half - 0.7)
        for y in (box.top + size, box.bottom - 0.5 * size)
    ]

    def taken(place: tuple[float, float]) -> int:
        room = text_box(*place, name, size, anchor="middle", bold=True)
        return sum(map(room.meets, crosses))

    x, y = min(places, key=taken)
    canvas.text(x, y, name, size=size, anchor="middle", bold=True, backed=x < box.left)
