"""First pages of the drilling template in words: what to measure, drill and leave out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from msgspec import Struct

from planner.pack.drawings.roof_plan import RoofFigures, Spot
from planner.pack.drawings.svg import fit
from planner.pack.template_sheet import Layout, Tile, Window, from_centre, whole

#: What the head, the foot and the spans take of a measuring page, and one row of its table [mm].
HEAD_MM, ROW_MM = 92.0, 6.4
NAME_MM = 34.0


class Measure(Struct, frozen=True):
    """One line of the measuring table."""

    name: str
    size: str
    front: str
    centre: str
    left: str
    tile: str


class Span(Struct, frozen=True):
    """A distance between two holes; diagonals must be equal."""

    name: str
    span: str
    diagonal: bool


def hole_name(spot: Spot) -> str:
    """Return a hole's name, cut to its room."""
    return fit(spot.name, 3.4, NAME_MM)


def size_text(spot: Spot) -> str:
    """Return the drill's diameter, or say that it is not known."""
    return f"Ø {spot.diameter_mm:g} mm" if spot.diameter_mm else "Ø not known yet"


def measures(layout: Layout, roof: RoofFigures, spots: Iterable[Spot]) -> list[Measure]:
    """Return what to tape at each hole."""
    return [
        Measure(
            hole_name(spot),
            size_text(spot),
            f"{whole(spot.x_mm)} mm",
            from_centre(spot.y_mm, roof.width_mm / 2).removesuffix(" of the centre line"),
            f"{whole(spot.y_mm)} mm",
            ", ".join(tile.name for tile in layout.tiles if Window(layout.sheet, tile).shows(spot)),
        )
        for spot in spots
    ]


def sizes(spots: Iterable[Spot]) -> list[tuple[str, int, str]]:
    """Return each drill size, how many holes it drills, and their names."""
    ordered = sorted(spots, key=lambda spot: spot.diameter_mm)
    found = [(size, list(group)) for size, group in groupby(ordered, key=size_text)]
    return [(size, len(group), ", ".join(map(hole_name, group))) for size, group in found]


def spans(holes: Sequence[Spot]) -> list[Span]:
    """Return the diagonals and sides of the outermost holes, which show whether it is square."""
    pairs = _corner_pairs(holes)
    return [
        Span(f"{kind} {hole_name(a)} to {hole_name(b)}",
             f"{whole(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm))} mm",
             kind == "Diagonal")
        for kind, a, b in pairs
    ]


def _corner_pairs(holes: Sequence[Spot]) -> list[tuple[str, Spot, Spot]]:
    """Diagonals, then sides, of four corners; of fewer holes, every pair."""
    if len(holes) < 2:
        return []
    corners = [
        min(holes, key=lambda s: s.x_mm + s.y_mm),
        min(holes, key=lambda s: s.x_mm - s.y_mm),
        max(holes, key=lambda s: s.x_mm + s.y_mm),
        max(holes, key=lambda s: s.x_mm - s.y_mm),
    ]
    if len(set(corners)) < 4:
        few = list(dict.fromkeys(corners))
        return [("From", a, b) for i, a in enumerate(few) for b in few[i + 1 :]]
    a, b, c, d = corners
    return [("Diagonal", a, c), ("Diagonal", b, d), ("Front", a, b), ("Rear", d, c),
            ("Left", a, d), ("Right", b, c)]


def pages_of(rows: Sequence[Measure], height_mm: float) -> list[Sequence[Measure]]:
    """Return the rows in pages."""
    each = max(1, int((height_mm - HEAD_MM) // ROW_MM))
    return [rows[at : at + each] for at in range(0, len(rows), each)]


def left_out(layout: Layout) -> str:
    """Name the tiles without a hole, in runs.

    Returns:
        Such as ``A1 to A4, B1, B3``, or ``none``.
    """
    runs = [run for _, row in groupby(layout.skipped, key=lambda tile: tile.row)
            for run in _runs(list(row))]
    return ", ".join(runs) or "none"


def _runs(row: Sequence[Tile]) -> Iterator[str]:
    by_gap = groupby(enumerate(row), key=lambda pair: pair[1].column - pair[0])
    for _, group in by_gap:
        run = [tile for _, tile in group]
        yield run[0].name if len(run) == 1 else f"{run[0].name} to {run[-1].name}"
