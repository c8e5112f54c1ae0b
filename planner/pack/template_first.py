"""First page of the drilling template: what to measure, the holes, and which sheet lies where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from planner.pack.drawings.roof_plan import RoofFigures, Spot
from planner.pack.drawings.svg import fit
from planner.pack.template_sheet import BAND, BAR, BORDER, Sheet, Tile, line, text
from planner.pack.text import plain

ROWS = (
    "Print at 100 %, not fitted to the page; both bars on each sheet must measure 100 mm.",
    "Lay each sheet to the front edge and the centre line of the roof, not only to the next.",
    "Measure every hole with a tape before the first pilot hole. The template replaces neither",
    "the dry fit, nor the no-drill zones, nor the check of every mark from inside.",
)


def head(heading: str, sheet: Sheet, right: str) -> str:
    """The band above the frame: what it is, and the bar that must measure 100 mm."""
    top, left = BORDER, BORDER
    bar = top + 15
    ticks = "".join(line(left + x, bar - 2, left + x, bar + 2) for x in (0, BAR))
    size, room = 3.2, sheet.width - 2 * BORDER - 44
    return "".join(
        (
            text(left, top + 3, fit(heading, size, room), size),
            text(sheet.width - BORDER, top + 3, right, size, "end"),
            text(left, top + 8.5, "1:1, seen from above. ↑ front of the van", size),
            line(left, bar, left + BAR, bar, 0.3),
            ticks,
            text(left + BAR + 3, bar + 1, "100 mm: if not, print again at 100 %", 2.9),
            line(6, BORDER + BAND, 6, BORDER + BAND + BAR, 0.3),
            line(4.5, BORDER + BAND, 7.5, BORDER + BAND),
            line(4.5, BORDER + BAND + BAR, 7.5, BORDER + BAND + BAR),
        )
    )


def first_page(
    heading: str, roof: RoofFigures, spots: Sequence[Spot], sheet: Sheet, tiles: Sequence[Tile]
) -> str:
    """What to measure before drilling, the list of holes, and which sheet lies where."""
    rows = list(_rows(roof, spots, tiles))
    top = BORDER + BAND + 11
    said = "".join(text(BORDER, top + 5.2 * place, row, 3.4) for place, row in enumerate(rows))
    title = text(BORDER, BORDER + BAND + 3, "Measure before you drill", 6)
    below = top + 5.2 * len(rows) + 4
    small = _map(roof, spots, sheet, tiles, below)
    return head(heading, sheet, "Drilling template") + title + said + small


def side_words(spot: Spot, middle: float) -> str:
    """Return how far a spot lies beside the centre line."""
    offset = abs(spot.y_mm - middle)
    if offset < 0.5:
        return "on the centre line"
    return f"{offset:.0f} mm {'left' if spot.y_mm < middle else 'right'} of the centre line"


def _rows(roof: RoofFigures, spots: Sequence[Spot], tiles: Sequence[Tile]) -> Iterator[str]:
    yield from ROWS
    for spot in spots:
        size = f"Ø {spot.diameter_mm:g} mm, {spot.x_mm:.0f} mm from the front edge"
        yield f"□  {plain(spot.name)}: {size}, {side_words(spot, roof.width_mm / 2)}"
    for one, other, span in _diagonals(roof.holes):
        yield f"□  {plain(one.name)} to {plain(other.name)}: {span:.0f} mm"
    names = ", ".join(tile.name for tile in tiles)
    yield f"Sheets that hold a hole: {names}. Sheets without one are left out."


def _diagonals(spots: Sequence[Spot]) -> list[tuple[Spot, Spot, float]]:
    """Return the two longest spans between fixing holes: equal diagonals make a square layout."""
    spans = [
        (one, other, ((one.x_mm - other.x_mm) ** 2 + (one.y_mm - other.y_mm) ** 2) ** 0.5)
        for one, other in combinations(spots, 2)
    ]
    return sorted(spans, key=lambda span: -span[2])[:2]


def _map(
    roof: RoofFigures, spots: Sequence[Spot], sheet: Sheet, tiles: Sequence[Tile], top: float
) -> str:
    """The roof small, with the sheets that are printed."""
    room_x, room_y = sheet.width - 2 * BORDER, sheet.height - BORDER - top
    scale = min(room_x / roof.width_mm, room_y / roof.length_mm, 0.1)
    if scale <= 0.01:
        return ""

    def box(x: float, y: float, length: float, width: float, pen: float, dash: str = "") -> str:
        left, upper = BORDER + y * scale, top + x * scale
        right, lower = left + width * scale, upper + length * scale
        return "".join(
            (
                line(left, upper, right, upper, pen, dash),
                line(right, upper, right, lower, pen, dash),
                line(right, lower, left, lower, pen, dash),
                line(left, lower, left, upper, pen, dash),
            )
        )

    parts = [box(0, 0, roof.length_mm, roof.width_mm, 0.5)]
    parts += [box(p.x_mm, p.y_mm, p.length_mm, p.width_mm, 0.2, "2 1") for p in roof.panels]
    for tile in tiles:
        parts.append(box(tile.x_mm, tile.y_mm, sheet.along, sheet.across, 0.2))
        x, y = BORDER + (tile.y_mm + 8) * scale, top + (tile.x_mm + 40) * scale
        parts.append(text(x, y, tile.name, 3))
    for spot in spots:
        x, y = BORDER + spot.y_mm * scale, top + spot.x_mm * scale
        parts.append(line(x - 1, y, x + 1, y) + line(x, y - 1, x, y + 1))
    return "".join(parts)
