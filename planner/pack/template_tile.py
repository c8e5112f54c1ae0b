"""One tile of the drilling template at 1:1: holes, lines of the roof, marks for laying it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from planner.pack.drawings.roof_plan import Area, RoofFigures, Spot
from planner.pack.drawings.svg import Box, fit, move, text_box, text_width
from planner.pack.drawings.svg import Sheet as Canvas
from planner.pack.template_first import hole_name, size_text
from planner.pack.template_sheet import (
    BAR,
    MARGIN,
    OVERLAP,
    Layout,
    Sheet,
    Tile,
    Window,
    check_bars,
    from_centre,
    from_front,
    front_arrow,
    reach,
    sides,
    upright,
)

CENTRE_DASH, PANEL_DASH, RIB_DASH, OVERLAP_DASH = "8 1.5 1 1.5", "4 2", "0.5 1.2", "2 2"
LINE_MM, LABEL_SIZE = 4.2, 3.0
#: Where a label may stand beside its hole: how far off [mm], then to which side.
GAPS = (1.0, 14.0, 27.0, 40.0, 53.0, 66.0)
SIDES = ((1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))


class Heading(Struct, frozen=True):
    """What stands at the head of every sheet.

    Attributes:
        reference: Reference of the job, plain.
        revision: Revision and plan, never cut.
        warning: What forbids drilling as things stand; else empty.
        say: Sets imperial figures beside metric ones where the job wants both.
    """

    reference: str
    revision: str
    warning: str
    say: Callable[[str], str]


class Line(Struct, frozen=True):
    """Lines of one kind on the tile, and what they are called there."""

    name: str
    parts: Sequence[Box]
    pen: str = "thin"
    dash: str = ""


def tile_page(
    heading: Heading, layout: Layout, roof: RoofFigures, spots: Sequence[Spot], tile: Tile
) -> str:
    """Return one tile as SVG of the size of the paper."""
    sheet = layout.sheet
    shown = [spot for spot in spots if Window(sheet, tile).shows(spot)]
    names = ", ".join(spot.name for spot in shown)
    canvas = Canvas(f"tile-{tile.name}", sheet.width, sheet.height, f"Tile {tile.name}",
                    f"At full size, seen from above: {names}")
    window = Window(sheet, tile)
    lines = [*_lines(window, roof), *_overlaps(layout, tile)]
    for line in lines:
        for part in line.parts:
            canvas.line(part.left, part.top, part.right, part.bottom, pen=line.pen, dash=line.dash)
    _frame(canvas, sheet)
    _head(canvas, heading, layout, tile)
    _borders(canvas, heading, layout, tile, roof.width_mm / 2)
    _holes(canvas, heading, window, shown, lines, roof.width_mm / 2)
    _name_lines(canvas, window, shown, lines)
    return canvas.svg()


def _lines(window: Window, roof: RoofFigures) -> Iterator[Line]:
    """Yield every line of the roof that crosses the tile, those to lay it by first."""
    length, width = roof.length_mm, roof.width_mm
    centre = window.cut(Area("", 0, width / 2, length, 0))
    edges = sides(Area("", 0, 0, length, width))
    named = zip(("front", "rear", "left", "right"), map(window.cut, edges), strict=True)
    found = [Line("centre line", [centre] if centre else [], "normal", CENTRE_DASH)]
    found += [Line(f"{side} edge of the usable roof", [cut] if cut else [], "bold")
              for side, cut in named]
    found += [Line(f"edge of {panel.name}", window.sides(panel), "thin", PANEL_DASH)
              for panel in roof.panels]
    found += [Line("foot", window.sides(foot)) for foot in roof.feet]
    found += [Line(thing.name, window.sides(thing)) for thing in roof.obstacles]
    ribs = [window.cut(_rib(roof, edge)) for edge in roof.rib_edges_mm]
    found.append(Line("edge of a flat", [rib for rib in ribs if rib], "hair", RIB_DASH))
    yield from (line for line in found if line.parts)


def _rib(roof: RoofFigures, edge: float) -> Area:
    if roof.ribs_lengthwise:
        return Area("", 0, edge, roof.length_mm, 0)
    return Area("", edge, 0, 0, roof.width_mm)


def _frame(canvas: Canvas, sheet: Sheet) -> None:
    """The frame to cut along, with ticks outside."""
    frame = sheet.frame
    canvas.rect(frame, pen="hair")
    for x in (frame.left, frame.right):
        canvas.line(x, frame.top - 5, x, frame.top - 1, pen="thin")
        canvas.line(x, frame.bottom + 1, x, frame.bottom + 5, pen="thin")
    for y in (frame.top, frame.bottom):
        canvas.line(frame.left - 5, y, frame.left - 1, y, pen="thin")
        canvas.line(frame.right + 1, y, frame.right + 5, y, pen="thin")


def _overlaps(layout: Layout, tile: Tile) -> Iterator[Line]:
    """Yield the inner edge of each strip that a printed neighbour shows too."""
    frame = layout.sheet.frame
    for (down, across), name in _beside(layout, tile, printed=True).items():
        x = frame.right - OVERLAP if across > 0 else frame.left + OVERLAP
        y = frame.bottom - OVERLAP if down > 0 else frame.top + OVERLAP
        edge = Box(x, frame.top, x, frame.bottom) if across else Box(frame.left, y, frame.right, y)
        yield Line(f"edge of tile {name}", [edge], "hair", OVERLAP_DASH)


def _beside(layout: Layout, tile: Tile, *, printed: bool) -> dict[tuple[int, int], str]:
    """Return the names of the four neighbours that are printed, or left out, by direction."""
    among = layout.tiles if printed else layout.skipped
    places = {(other.row - tile.row, other.column - tile.column): other.name for other in among}
    return {way: places[way] for way in ((-1, 0), (1, 0), (0, -1), (0, 1)) if way in places}


def _head(canvas: Canvas, heading: Heading, layout: Layout, tile: Tile) -> None:
    frame, top = layout.sheet.frame, MARGIN - 3
    place = f"Tile {tile.name} · {layout.tiles.index(tile) + 1} of {len(layout.tiles)}"
    canvas.text(frame.right, top + 3, place, size=4.4, anchor="end", bold=True)
    revision = f" · {heading.revision}"
    room = frame.right - frame.left - text_width(place, 4.4, bold=True) - 4
    reference = fit(heading.reference, 3.2, room - text_width(revision, 3.2))
    canvas.text(frame.left, top + 3, reference + revision, size=3.2)
    said = "Drilling template 1:1 · roof seen from above"
    canvas.text(frame.left, top + 8, said, size=3.2)
    if heading.warning:
        canvas.text(frame.left, top + 13, heading.warning, size=3.6, bold=True)
    front_arrow(canvas, frame.right - 2, top + 5.5, top + 17)
    canvas.text(frame.right - 5, top + 12, "front of the van", size=3.2, anchor="end")
    check_bars(canvas, frame.left, top + 18, frame.left - 5.5, frame.top)
    canvas.text(frame.left + BAR + 3, top + 17, "must measure 100 mm:", size=2.8)
    canvas.text(frame.left + BAR + 3, top + 20.4, "print at 100 %, no fit to page", size=2.8)
    upright(canvas, frame.left - 4.7, frame.top + BAR + 2.5, "100 mm", 2.6, "end")


def _borders(
    canvas: Canvas, heading: Heading, layout: Layout, tile: Tile, middle: float
) -> None:
    """Say outside each side of the frame where it lies on the roof, and what joins there."""
    sheet, say = layout.sheet, heading.say
    frame = sheet.frame
    x, y = (frame.left + frame.right) / 2, (frame.top + BAR + frame.bottom) / 2
    words = {way: f" · {name} joins here" for way, name in
             _beside(layout, tile, printed=True).items()}
    words |= {way: f" · {name} left out" for way, name in
              _beside(layout, tile, printed=False).items()}
    top = f"this side: {say(from_front(tile.x_mm))}{words.get((-1, 0), '')}"
    bottom = f"this side: {say(from_front(tile.x_mm + sheet.along))}{words.get((1, 0), '')}"
    left = f"{say(from_centre(tile.y_mm, middle))}{words.get((0, -1), '')}"
    right = f"{say(from_centre(tile.y_mm + sheet.across, middle))}{words.get((0, 1), '')}"
    canvas.text(x, frame.top - 1, top, size=2.6, anchor="middle")
    canvas.text(x, frame.bottom + 3.2, bottom, size=2.6, anchor="middle")
    upright(canvas, frame.left - 1.2, y if sheet.height > sheet.width else frame.bottom - 2,
             left, 2.6, "middle" if sheet.height > sheet.width else "start")
    upright(canvas, frame.right + 3, (frame.top + frame.bottom) / 2, right, 2.6, "middle")


def _holes(
    canvas: Canvas, heading: Heading, window: Window, spots: Sequence[Spot],
    lines: Sequence[Line], middle: float,
) -> None:
    """Crosses first, then labels off every cross and, where they can be, off lines but ribs."""
    crosses = [_cross(canvas, window, spot) for spot in spots]
    walls = [part for line in lines if line.dash != RIB_DASH for part in line.parts]
    for spot in spots:
        rows = (f"{hole_name(spot)}  {size_text(spot)}", heading.say(from_front(spot.x_mm)),
                heading.say(from_centre(spot.y_mm, middle)))
        _label(canvas, window, spot, rows, crosses, walls)


def _cross(canvas: Canvas, window: Window, spot: Spot) -> Box:
    (x, y), arm = window.point(spot), reach(spot)
    canvas.line(x - arm, y, x + arm, y, pen="thin")
    canvas.line(x, y - arm, x, y + arm, pen="thin")
    if spot.diameter_mm:
        canvas.circle(x, y, spot.diameter_mm / 2, pen="thin")
    return Box(x - arm, y - arm, x + arm, y + arm)


def _label(
    canvas: Canvas, window: Window, spot: Spot, rows: Sequence[str],
    crosses: Sequence[Box], walls: Sequence[Box],
) -> None:
    (x, y), arm = window.point(spot), reach(spot)
    width = max(text_width(rows[0], 3.6, bold=True), *(text_width(r, LABEL_SIZE) for r in rows[1:]))
    places = list(_places(window.sheet.frame, x, y, arm, (width, LINE_MM * len(rows))))
    free = [box for box in places if not any(map(box.meets, [*crosses, *canvas.boxes]))]
    clear = [box for box in free if not any(_crosses(box, wall) for wall in walls)]
    box = next(iter([*clear, *free, *places]))
    side, clear_of = (box.left, -1.0) if box.left > x else (box.right, 1.0)
    if abs(side - x) - arm > GAPS[0] + 0.1:  # to the name, short of it: never a minus before mm
        start = x + arm if side > x else x - arm
        canvas.path(move("M", start, y, "L", side + clear_of, box.top + 2), pen="hair")
    canvas.rect(box, fill="white", pen="none")
    for place, row in enumerate(rows):
        size, bold = (LABEL_SIZE, False) if place else (3.6, True)
        canvas.text(box.left, box.top + LINE_MM * place + 3.2, row, size=size, bold=bold)


def _places(
    frame: Box, x: float, y: float, arm: float, size: tuple[float, float]
) -> Iterator[Box]:
    """Yield boxes inside the frame beside a hole, nearest first; the last is always there."""
    wide, high = size
    for gap in GAPS:
        for dx, dy in SIDES:
            left = x + arm + gap if dx > 0 else x - arm - gap - wide
            top = y + dy * (arm + high / 2 + 1) - high / 2
            box = Box(left, top, left + wide, top + high)
            if box.within(frame):
                yield box
    left = min(max(x + arm + 1, frame.left), frame.right - wide)
    yield Box(left, y - high / 2, left + wide, y + high / 2)


def _crosses(box: Box, wall: Box) -> bool:
    """Whether a line without width runs through a box."""
    return box.meets(Box(wall.left - 0.5, wall.top - 0.5, wall.right + 0.5, wall.bottom + 0.5))


def _name_lines(
    canvas: Canvas, window: Window, spots: Sequence[Spot], lines: Sequence[Line]
) -> None:
    """Name each kind of line once, where there is room off every label and cross."""
    crosses = [Box(x - reach(s), y - reach(s), x + reach(s), y + reach(s))
               for s in spots for x, y in [window.point(s)]]
    walls = [part for line in lines for part in line.parts]
    named: set[str] = set()
    for line in lines:
        name = fit(line.name, 2.6, 50)
        boxes = [box for part in line.parts for box in _along(part, name)]
        free = [box for box in boxes if box.within(window.sheet.frame)
                and not any(map(box.meets, [*crosses, *canvas.boxes, *walls]))]
        if free and name not in named:
            named.add(name)
            canvas.text(free[0].left, free[0].bottom - 0.24 * 2.6, name, size=2.6)


def _along(part: Box, name: str) -> Iterator[Box]:
    """Yield places for a name close beside a line, on both sides of it."""
    for share in (0.06, 0.94, 0.2, 0.8, 0.35, 0.65, 0.5):
        x = part.left + (part.right - part.left) * share
        y = part.top + (part.bottom - part.top) * share
        if part.left == part.right:
            yield text_box(x + 1.2, y, name, 2.6)
            yield text_box(x - 1.2, y, name, 2.6, anchor="end")
        else:
            yield text_box(x, y - 1.2, name, 2.6, anchor="middle")
            yield text_box(x, y + 3, name, 2.6, anchor="middle")
