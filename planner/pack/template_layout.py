"""Lay the tiles of the drilling template so that few are needed and no hole lies across a cut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from planner.pack.drawings.roof_plan import RoofFigures, Spot
from planner.pack.template_sheet import OVERLAP, ROUND, Layout, Sheet, Tile, Window, reach

#: Beyond this a hole is far enough from the edge of its sheet for tape, label and hand [mm].
ROOMY = 40.0


class _Grid(Struct, frozen=True):
    """A grid of tiles: where the first one begins on the roof [mm]."""

    sheet: Sheet
    x_mm: float
    y_mm: float

    def tile(self, row: int, column: int) -> Tile:
        """Return one tile of the grid."""
        sheet = self.sheet
        return Tile(row, column, self.x_mm + row * sheet.step_along,
                    self.y_mm + column * sheet.step_across)

    def home(self, spot: Spot) -> Tile:
        """Return the one tile to which a spot belongs: the overlap is shared by halves."""
        half = OVERLAP / 2
        return self.tile(
            math.floor((spot.x_mm - self.x_mm - half) / self.sheet.step_along),
            math.floor((spot.y_mm - self.y_mm - half) / self.sheet.step_across),
        )


def layout(paper: tuple[float, float], roof: RoofFigures, spots: Sequence[Spot]) -> Layout:
    """Return the best grid: no hole cut, few tiles, holes well inside, the centre line in view.

    Args:
        paper: Width and height of the paper, upright [mm].
        roof: The roof, whose front edge and centre line are the datums.
        spots: Every hole.
    """
    sheets = (Sheet(*paper), Sheet(*reversed(paper)))
    grids = [grid for sheet in sheets for grid in _grids(sheet, roof)]
    best = min(grids, key=lambda grid: _cost(grid, roof, spots))
    tiles = _homes(best, spots)
    return Layout(best.sheet, tiles, tuple(sorted(set(_all(best, roof)) - set(tiles))))


def _grids(sheet: Sheet, roof: RoofFigures) -> Iterator[_Grid]:
    """Yield grids that begin in whole tens from the datums, just outside the front left corner."""
    middle = roof.width_mm / 2
    y_mm = middle - math.ceil((middle + OVERLAP / 2) / ROUND) * ROUND
    for down in range(int(sheet.step_along / ROUND)):
        for left in range(int(sheet.step_across / ROUND)):
            yield _Grid(sheet, -ROUND * (down + 1), y_mm - ROUND * left)


def _homes(grid: _Grid, spots: Iterable[Spot]) -> tuple[Tile, ...]:
    return tuple(sorted({grid.home(spot) for spot in spots}))


def _all(grid: _Grid, roof: RoofFigures) -> Iterator[Tile]:
    """Yield every tile of the grid that shows some of the roof."""
    last = grid.home(Spot("", roof.length_mm, roof.width_mm))
    for row in range(last.row + 1):
        for column in range(last.column + 1):
            yield grid.tile(row, column)


def _cost(grid: _Grid, roof: RoofFigures, spots: Sequence[Spot]) -> tuple[float, ...]:
    """Return what is bad about a grid, worst first."""
    room = [_room(grid, spot) for spot in spots]
    tiles = _homes(grid, spots)
    blind = sum(not _sees(grid.sheet, tile, roof) for tile in tiles)
    return sum(free < 0 for free in room), len(tiles), -min(*room, ROOMY), blind


def _room(grid: _Grid, spot: Spot) -> float:
    """Return how far the cross of a hole stays from the edge of its sheet [mm]."""
    frame = grid.sheet.frame
    x, y = Window(grid.sheet, grid.home(spot)).point(spot)
    return min(x - frame.left, frame.right - x, y - frame.top, frame.bottom - y) - reach(spot)


def _sees(sheet: Sheet, tile: Tile, roof: RoofFigures) -> bool:
    """Whether the centre line crosses a tile."""
    return tile.y_mm <= roof.width_mm / 2 <= tile.y_mm + sheet.across
