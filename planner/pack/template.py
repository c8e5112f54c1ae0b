"""The drilling template: hole centres at 1:1, tiled over sheets of paper.

One SVG a page in real millimetres; positions are those of the roof plan, seen from above, with the
front of the van at the top of each sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.pack.drawings.roof_plan import Area, RoofFigures, Spot
from planner.pack.drawings.svg import number
from planner.pack.facts import Facts
from planner.pack.fonts import FAMILY, font_css
from planner.pack.illustrate import number as number_in
from planner.pack.illustrate import roof_figures
from planner.pack.pdf import pdf
from planner.pack.render import PAPER_SIZES
from planner.pack.template_first import first_page, head, side_words
from planner.pack.template_sheet import (
    BAND,
    BORDER,
    OVERLAP,
    PAPER_MM,
    Sheet,
    Tile,
    Window,
    line,
    text,
)
from planner.pack.text import plain, short
from planner.plan.model import Plan


def drilling_template(plan: Plan) -> bytes | None:
    """Return the template as PDF, or None where the job drills no hole through the roof.

    Args:
        plan: A plan with every fact worked out.
    """
    facts = Facts(plan.facts)
    roof = roof_figures(facts)
    spots = _spots(facts)
    if roof is None or not spots:
        return None
    paper = str(facts.value("job.paper") or "a4")
    sheet, tiles = _laid_out(PAPER_MM.get(paper, PAPER_MM["a4"]), roof, spots)
    heading = _heading(plan, facts)
    pages = [first_page(heading, roof, spots, sheet, tiles)]
    pages += [
        _tile_page(heading, roof, spots, sheet, tile, tiles, place)
        for place, tile in enumerate(tiles, 1)
    ]
    return pdf(_document(pages, sheet, paper), title=f"Drilling template: {heading}", paper=paper)


def _spots(facts: Facts) -> list[Spot]:
    """Every hole to drill through the roof, cable entries included."""
    return [
        Spot(
            plain(str(row.get("name") or place)),
            number_in(row, "x_mm"),
            number_in(row, "y_mm"),
            number_in(row, "diameter_mm"),
        )
        for place, row in enumerate(facts.rows("holes.rows"), 1)
    ]


def _heading(plan: Plan, facts: Facts) -> str:
    reference = short(plain(facts.text("job.reference") or "no reference"), 46)
    return f"{reference} · revision {plan.job.get('revision', '')}"


def _laid_out(
    paper: tuple[float, float], roof: RoofFigures, spots: Sequence[Spot]
) -> tuple[Sheet, list[Tile]]:
    """Return the way round of the paper that needs fewer sheets, and its tiles."""
    ways = [Sheet(*paper), Sheet(*reversed(paper))]
    laid = [(sheet, _tiles(sheet, roof, spots)) for sheet in ways]
    return min(laid, key=lambda way: len(way[1]))


def _tiles(sheet: Sheet, roof: RoofFigures, spots: Sequence[Spot]) -> list[Tile]:
    """Return the tiles that hold a hole, in reading order."""
    step_x, step_y = sheet.along - OVERLAP, sheet.across - OVERLAP
    rows = max(1, -(-int(roof.length_mm) // int(step_x)) + 1)
    columns = max(1, -(-int(roof.width_mm) // int(step_y)) + 1)
    grid = [Tile(r, c, r * step_x, c * step_y) for r in range(rows) for c in range(columns)]
    return [tile for tile in grid if any(_own(spot, tile, step_x, step_y) for spot in spots)]


def _own(spot: Spot, tile: Tile, step_x: float, step_y: float) -> bool:
    """Whether a spot falls to this tile, so that each is counted once."""
    half = OVERLAP / 2
    return (
        tile.x_mm <= spot.x_mm + half - OVERLAP * (tile.row == 0) < tile.x_mm + step_x + half
        and tile.y_mm <= spot.y_mm + half - OVERLAP * (tile.column == 0) < tile.y_mm + step_y + half
    )


def _tile_page(
    heading: str,
    roof: RoofFigures,
    spots: Sequence[Spot],
    sheet: Sheet,
    tile: Tile,
    tiles: Sequence[Tile],
    place: int,
) -> str:
    window = Window(sheet, tile)
    edges = Area("", 0, 0, roof.length_mm, roof.width_mm)
    middle = roof.width_mm / 2
    parts = [
        head(heading, sheet, f"Tile {tile.name} · {place} of {len(tiles)}"),
        _frame(sheet),
        window.outline(edges, 0.6),
        window.upright(middle, 0, roof.length_mm, 0.25, "8 2 1 2"),
        *(window.outline(panel, 0.2, "4 2") for panel in roof.panels),
        *(window.outline(foot, 0.2) for foot in roof.feet),
        *(_cross(window, spot, middle) for spot in spots if window.shows(spot)),
        *_words(window, roof, middle),
        text(BORDER + 1, BORDER + BAND + 3.5, _corner(tile), 2.6),
        *_neighbours(sheet, tile, tiles),
    ]
    return "".join(parts)


def _frame(sheet: Sheet) -> str:
    """The edge of the tile, dotted, and the overlap line to which the next sheet is laid."""
    left, top = BORDER, BORDER + BAND
    right, bottom = left + sheet.across, top + sheet.along
    dots = "0.5 1.5"
    return "".join(
        (
            line(left, top, right, top, 0.15, dots),
            line(right, top, right, bottom, 0.15, dots),
            line(right, bottom, left, bottom, 0.15, dots),
            line(left, bottom, left, top, 0.15, dots),
            line(right - OVERLAP, top - 3, right - OVERLAP, top),
            line(right - OVERLAP, bottom, right - OVERLAP, bottom + 3),
            line(left - 3, bottom - OVERLAP, left, bottom - OVERLAP),
            line(right, bottom - OVERLAP, right + 3, bottom - OVERLAP),
        )
    )


def _cross(window: Window, spot: Spot, middle: float) -> str:
    """A hole: its centre, its circle, its name, size and distances to measure."""
    x, y = window.across(spot.y_mm), window.down(spot.x_mm)
    radius = spot.diameter_mm / 2
    reach = radius + 6
    left = x > BORDER + window.sheet.across - 62
    words = x - reach - 1 if left else x + reach + 1
    anchor = "end" if left else "start"
    where = f"{spot.x_mm:.0f} mm from the front edge"
    sideways = side_words(spot, middle)
    return "".join(
        (
            line(x - reach, y, x + reach, y),
            line(x, y - reach, x, y + reach),
            f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" stroke-width="0.2"/>'
            if radius
            else "",
            text(words, y - 2.2, f"{plain(spot.name)}  Ø {spot.diameter_mm:g}", 3.8, anchor),
            text(words, y + 4.6, where, 2.8, anchor),
            text(words, y + 8.2, sideways, 2.8, anchor),
        )
    )


def _corner(tile: Tile) -> str:
    """Where the frame's corner lies, so that a sheet can be laid by tape alone."""
    down, across = f"{tile.x_mm:.0f} mm", f"{tile.y_mm:.0f} mm"
    return f"this corner: {down} from the front edge, {across} from the left edge"


def _words(window: Window, roof: RoofFigures, middle: float) -> Iterator[str]:
    """Name the lines that cross the tile."""
    top = BORDER + BAND
    if window.upright(middle, 0, roof.length_mm, 1):
        yield text(window.across(middle) + 1.5, top + 8, "centre line", 2.8)
    if window.level(0, 0, roof.width_mm, 1):
        yield text(BORDER + 4, window.down(0) + 5, "front edge of the usable roof", 2.8)
    if window.level(roof.length_mm, 0, roof.width_mm, 1):
        yield text(BORDER + 4, window.down(roof.length_mm) - 2, "rear edge", 2.8)


def _neighbours(sheet: Sheet, tile: Tile, tiles: Sequence[Tile]) -> Iterator[str]:
    """Name the sheets that are laid beside this one."""
    here = {(one.row, one.column): one.name for one in tiles}
    middle_x, middle_y = sheet.width / 2, BORDER + BAND + sheet.along / 2
    places = {
        (-1, 0): (sheet.width - BORDER - 30, BORDER + BAND - 1.2),
        (1, 0): (middle_x, sheet.height - BORDER + 4),
        (0, -1): (BORDER - 1.5, middle_y),
        (0, 1): (sheet.width - BORDER + 1.5, middle_y),
    }
    for (down, across), (x, y) in places.items():
        name = here.get((tile.row + down, tile.column + across))
        if name:
            yield text(x, y, name, 3.2, "end" if across < 0 else "start")


def _document(pages: Sequence[str], sheet: Sheet, paper: str) -> str:
    wide = " landscape" if sheet.width > sheet.height else ""
    size = PAPER_SIZES[paper]
    if wide:
        size = " ".join(reversed(size.split()))
    style = (
        f"@page{{size:{size};margin:0}}body{{margin:0}}"
        f"section{{position:relative;width:{number(sheet.width)}mm;"
        f"height:{number(sheet.height - 0.2)}mm;overflow:hidden;break-after:page}}"
        "section:last-child{break-after:auto}svg{position:absolute;left:0;top:0}"
        f"svg{{fill:none;stroke:#000}}text{{fill:#000;stroke:none;font-family:'{FAMILY}';"
        "font-variant-ligatures:none}"
    )
    box = f"{number(sheet.width)} {number(sheet.height)}"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(sheet.width)}mm" '
        f'height="{number(sheet.height)}mm" viewBox="0 0 {box}">'
    )
    body = "".join(f"<section>{svg}{page}</svg></section>" for page in pages)
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'><style>{font_css()}{style}"
        f"</style></head><body>{body}</body></html>"
    )
