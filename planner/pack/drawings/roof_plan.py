"""Roof plan to scale: panels, feet, holes, entry and furniture, measured from all four edges."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.marks import (
    arrow,
    choose_scale,
    place_label,
    running_across,
    running_down,
    scale_bar,
    scale_text,
)
from planner.pack.drawings.svg import Box, Sheet, fit, number, text_box

#: Paper for the roof itself: with heading, lead and caption the sheet fits one Letter page.
ROOM = (104.0, 108.0)
#: The view from inside only tells which hole is which, so it may be smaller.
INSIDE_ROOM = (80.0, 105.0)
LEFT, TOP, RIGHT, BOTTOM = 32.0, 30.0, 32.0, 30.0


class Area(Struct, frozen=True):
    """A rectangle on the roof [mm]: x from the front edge, y from the left edge."""

    name: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


class Spot(Struct, frozen=True):
    """A named point on the roof [mm] with a diameter, 0 where it has none."""

    name: str
    x_mm: float
    y_mm: float
    diameter_mm: float = 0.0


class RoofFigures(Struct, frozen=True):
    """All that the plan shows, in roof coordinates [mm]."""

    length_mm: float
    width_mm: float
    edge_margin_mm: float = 0.0
    panels: Sequence[Area] = ()
    feet: Sequence[Area] = ()
    holes: Sequence[Spot] = ()
    entry: Spot | None = None
    obstacles: Sequence[Area] = ()
    rib_edges_mm: Sequence[float] = ()
    ribs_lengthwise: bool = True
    hinge: str = ""
    free: Sequence[Area] = ()
    inside: Sequence[Area] = ()


class _Frame(Struct, frozen=True):
    """Where the roof lies on the sheet, at scale 1:n; mirrored when seen from inside."""

    left: float
    top: float
    n: float
    length_mm: float
    width_mm: float
    mirrored: bool

    def point(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return the place on the sheet of a point of the roof."""
        across = self.width_mm - y_mm if self.mirrored else y_mm
        return self.left + across / self.n, self.top + x_mm / self.n

    def box(self, area: Area) -> Box:
        """Return the box on the sheet of an area of the roof."""
        x1, y1 = self.point(area.x_mm, area.y_mm)
        x2, y2 = self.point(area.x_mm + area.length_mm, area.y_mm + area.width_mm)
        return Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))

    @property
    def roof(self) -> Box:
        """The roof's outline on the sheet."""
        return self.box(Area("", 0, 0, self.length_mm, self.width_mm))


def roof_plan(figures: RoofFigures, *, seen_from_inside: bool = False) -> str:
    """Return the roof plan as SVG, front edge at the top.

    Args:
        figures: What to draw.
        seen_from_inside: True for the mirrored view looking up at the underside, with holes,
            entry, ribs and what is fixed below the roof only.
    """
    frame, sheet = _sheet(figures, seen_from_inside)
    _outline(sheet, frame, figures)
    if not seen_from_inside:
        _furniture(sheet, frame, figures)
        for panel in figures.panels:
            sheet.rect(frame.box(panel), fill="tint", pen="bold")
        for foot in figures.feet:
            sheet.rect(frame.box(foot), fill="white", pen="normal")
        for room in figures.free:
            sheet.rect(frame.box(room), fill="white", pen="bold", dash="3 1.5")
    else:
        for thing in figures.inside:
            sheet.rect(frame.box(thing), fill="hatch", pen="normal")
    _centreline(sheet, frame)
    _points(sheet, frame, figures)
    _running(sheet, frame, figures)
    _names(sheet, frame, figures, furniture=not seen_from_inside)
    _directions(sheet, frame, figures, seen_from_inside=seen_from_inside)
    return sheet.svg()


def _sheet(figures: RoofFigures, inside: bool) -> tuple[_Frame, Sheet]:
    room = INSIDE_ROOM if inside else ROOM
    n = choose_scale(extent_mm=(figures.width_mm, figures.length_mm), room=room)
    width = LEFT + figures.width_mm / n + RIGHT
    height = TOP + figures.length_mm / n + BOTTOM
    sheet = Sheet(
        "roof-inside" if inside else "roof-plan",
        max(width, 120.0),
        height,
        "Holes seen from inside, looking up" if inside else "Roof plan seen from above",
        _words(figures, n),
    )
    left = LEFT + (sheet.width - width) / 2
    return _Frame(left, TOP, n, figures.length_mm, figures.width_mm, inside), sheet


def _words(figures: RoofFigures, n: float) -> str:
    holes = "; ".join(
        f"{hole.name} at x {hole.x_mm:.0f}, y {hole.y_mm:.0f}" for hole in figures.holes
    )
    return (
        f"{scale_text(n)}. Usable roof {figures.length_mm:.0f} by {figures.width_mm:.0f} mm, "
        f"{len(figures.panels)} panel(s), {len(figures.holes)} hole(s). "
        f"x runs rearwards from the front edge, y from the left edge. {holes}"
    ).strip()


def _outline(sheet: Sheet, frame: _Frame, figures: RoofFigures) -> None:
    sheet.rect(frame.roof, fill="white", pen="normal")
    margin = 0.0 if frame.mirrored else figures.edge_margin_mm
    if margin > 0:
        inner = Area(
            "", margin, margin, figures.length_mm - 2 * margin, figures.width_mm - 2 * margin
        )
        sheet.rect(frame.box(inner), pen="hair", dash="1 1")
    for edge in figures.rib_edges_mm:
        if figures.ribs_lengthwise:
            start, end = frame.point(0, edge), frame.point(figures.length_mm, edge)
        else:
            start, end = frame.point(edge, 0), frame.point(edge, figures.width_mm)
        sheet.line(*start, *end, pen="hair")


def _furniture(sheet: Sheet, frame: _Frame, figures: RoofFigures) -> None:
    for obstacle in figures.obstacles:
        sheet.rect(frame.box(obstacle), fill="hatch", pen="normal")


def _centreline(sheet: Sheet, frame: _Frame) -> None:
    x, top = frame.point(0, frame.width_mm / 2)
    _, bottom = frame.point(frame.length_mm, 0)
    sheet.line(x, top - 3, x, bottom + 3, pen="thin", dash="6 1.2 1 1.2")


def _points(sheet: Sheet, frame: _Frame, figures: RoofFigures) -> None:
    for hole in figures.holes:
        x, y = frame.point(hole.x_mm, hole.y_mm)
        sheet.circle(x, y, 0.7, fill="white", pen="thin")
        sheet.line(x - 1.5, y, x + 1.5, y, pen="hair")
        sheet.line(x, y - 1.5, x, y + 1.5, pen="hair")
    if figures.entry:
        x, y = frame.point(figures.entry.x_mm, figures.entry.y_mm)
        sheet.rect(Box(x - 1.6, y - 1.6, x + 1.6, y + 1.6), fill="ink", pen="none")


def _running(sheet: Sheet, frame: _Frame, figures: RoofFigures) -> None:
    """Figures from the front at the left, from the rear at the right; left on top, right below."""
    xs, ys = _levels(figures, panels=not frame.mirrored)
    roof = frame.roof
    length, width = figures.length_mm, figures.width_mm
    down = [(frame.point(x, 0)[1], x) for x in xs]
    across = [(frame.point(0, y)[0], y) for y in ys]
    left_edge = frame.point(0, 0)[0]
    from_left = [(place, number(round(y))) for place, y in across]
    from_right = [(place, number(round(width - y))) for place, y in across]
    running_down(
        sheet,
        origin=roof.top,
        marks=[(place, number(round(x))) for place, x in down],
        edge=roof.left,
        out=roof.left - 9,
    )
    running_down(
        sheet,
        origin=roof.bottom,
        marks=[(place, number(round(length - x))) for place, x in down],
        edge=roof.right,
        out=roof.right + 9,
    )
    running_across(
        sheet, origin=left_edge, marks=from_left, edge=roof.top, out=roof.top - 8
    )
    right_edge = frame.point(0, width)[0]
    running_across(
        sheet, origin=right_edge, marks=from_right, edge=roof.bottom, out=roof.bottom + 9.5
    )
    sheet.text(roof.left - 9, roof.top - 3.6, "from front", size=2.4, anchor="end")
    sheet.text(roof.right + 19, roof.bottom + 1, "from rear", size=2.4)
    sheet.text(roof.left - 9, roof.top - 12.4, "from left", size=2.4, anchor="end")
    sheet.text(roof.right + 9, roof.bottom + 13.6, "from right", size=2.4)


def _levels(figures: RoofFigures, *, panels: bool) -> tuple[list[float], list[float]]:
    """Every x and y worth a running dimension: holes and entry, and panels where they show."""
    spots = [*figures.holes, *([figures.entry] if figures.entry else [])]
    xs = {round(spot.x_mm) for spot in spots} | {round(figures.length_mm)}
    ys = {round(spot.y_mm) for spot in spots} | {round(figures.width_mm)}
    for panel in [*figures.panels, *figures.free] if panels else []:
        xs |= {round(panel.x_mm), round(panel.x_mm + panel.length_mm)}
        ys |= {round(panel.y_mm), round(panel.y_mm + panel.width_mm)}
    return sorted(float(x) for x in xs - {0}), sorted(float(y) for y in ys - {0})


def _names(sheet: Sheet, frame: _Frame, figures: RoofFigures, *, furniture: bool) -> None:
    middle = frame.point(0, figures.width_mm / 2)[0]
    line = Box(middle - 0.3, 0, middle + 0.3, sheet.height)
    marks = [_around(frame, spot) for spot in figures.holes]
    if figures.entry:
        marks.append(_around(frame, figures.entry))
    areas = [*figures.panels, *figures.obstacles, *figures.free] if furniture else figures.inside
    boxes = [frame.box(area) for area in areas]
    lines = [line, *_edges(frame.roof), *(edge for box in boxes for edge in _edges(box))]
    solid = [frame.box(area) for area in (figures.obstacles if furniture else figures.inside)]
    for spot in figures.holes:
        place_label(sheet, *frame.point(spot.x_mm, spot.y_mm), spot.name,
                    keep_off=[*marks, *lines, *solid], backed=True)
    if figures.entry:
        entry = frame.point(figures.entry.x_mm, figures.entry.y_mm)
        place_label(sheet, *entry, figures.entry.name, reach=2.6,
                    keep_off=[*marks, *lines, *solid], bold=True, backed=True)
    for area, box in zip(areas, boxes, strict=True):
        others = [other for other in boxes if other != box]
        _name_area(sheet, box, fit(area.name, 2.8, 40), marks, [*others, *lines])


def _edges(box: Box) -> list[Box]:
    """The four lines of an outline, for labels to keep off."""
    thin = 0.2
    return [
        Box(box.left - thin, box.top, box.left + thin, box.bottom),
        Box(box.right - thin, box.top, box.right + thin, box.bottom),
        Box(box.left, box.top - thin, box.right, box.top + thin),
        Box(box.left, box.bottom - thin, box.right, box.bottom + thin),
    ]


def _around(frame: _Frame, spot: Spot) -> Box:
    x, y = frame.point(spot.x_mm, spot.y_mm)
    return Box(x - 1.5, y - 1.5, x + 1.5, y + 1.5)


def _name_area(
    sheet: Sheet, box: Box, name: str, marks: list[Box], others: list[Box]
) -> None:
    """Inside on white paper where it fits, else beside, off every other thing on the roof."""
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    inside = text_box(x, y + 1, name, 2.8, anchor="middle", bold=True)
    free = not any(inside.meets(other) for other in [*sheet.boxes, *marks])
    if inside.within(box) and free:
        sheet.text(x, y + 1, name, size=2.8, anchor="middle", bold=True, backed=True)
        return
    place_label(
        sheet, x, y, name, size=2.8, reach=(box.right - box.left) / 2 + 1,
        keep_off=[*marks, *others], bold=True, backed=True,
    )


def _directions(
    sheet: Sheet, frame: _Frame, figures: RoofFigures, *, seen_from_inside: bool
) -> None:
    roof = frame.roof
    middle = (roof.left + roof.right) / 2
    arrow(sheet, middle, 11.5, middle, 5.5, pen="normal")
    sheet.text(middle, 4, "FRONT · direction of travel", size=3, anchor="middle", bold=True)
    if seen_from_inside:
        sheet.text(middle, 15, "SEEN FROM INSIDE, looking up: left and right change over",
                   size=2.6, anchor="middle", bold=True)
    elif figures.hinge:
        sheet.text(middle, 15, f"Roof lifts: {figures.hinge}", size=2.6, anchor="middle")
    scale_bar(sheet, 6, sheet.height - 7, frame.n)
