"""Sketches of the measure-up sheet: what is measured where, each dimension with its letter."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from msgspec import Struct

from planner.pack.drawings.marks import arrow
from planner.pack.drawings.svg import Box, Sheet, move

WIDTH, HEIGHT = 84.0, 56.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"

SIDES = ("left", "right")
#: Letter size, and how far a letter keeps off its line.
SIZE, OFF = 3.2, 1.4

#: Dimensions in the order of their letters; a sketch shows those that are asked for.
DIMENSIONS = (
    "roof.length_mm",
    "roof.width_mm",
    "roof.front_edge_behind_axle_mm",
    "vehicle.height_mm",
    "vehicle.wheelbase_mm",
    "lift.opening_mm",
    "lift.opening_angle_deg",
    "lift.balance_mm",
    "lift.lift_point_mm",
    "roof.thickness_mm",
    "roof.core_mm",
    "roof.inner_skin_mm",
    "roof.lining_mm",
    "lift.underside_clear_mm",
    "lift.cable_closed_mm",
    "lift.cable_open_mm",
    "lift.anchor_shell_mm",
    "lift.anchor_body_mm",
    "lift.anchor_angle_deg",
    "lift.cable_offset_mm",
)


class Sketch(Struct, frozen=True):
    """One sketch with its caption."""

    svg: str
    caption: str


def letters(wanted: Collection[str]) -> dict[str, str]:
    """Return the letter of each wanted dimension, in the order of the sketches.

    Examples:
        >>> letters(["vehicle.height_mm", "roof.length_mm", "panel.mass_kg"])
        {'roof.length_mm': 'A', 'vehicle.height_mm': 'B'}
    """
    shown = [fact for fact in DIMENSIONS if fact in wanted]
    return dict(zip(shown, LETTERS, strict=False))


def sketches(wanted: Collection[str], hinge: str) -> tuple[Sketch, ...]:
    """Return the sketches that show any wanted dimension.

    Args:
        wanted: Facts to be measured; ``roof.obstacles`` asks for the roof from above.
        hinge: How the roof opens, where that is known.
    """
    named = letters(wanted)
    drawn: tuple[tuple[Callable[[], Sketch], Collection[str]], ...] = (
        (lambda: _roof(named), ("roof.length_mm", "roof.width_mm", "roof.obstacles")),
        (lambda: _side(named, hinge), DIMENSIONS[2:9]),
        (lambda: _section(named), DIMENSIONS[9:14]),
        (lambda: _cable(named, hinge), DIMENSIONS[14:]),
    )
    return tuple(draw() for draw, facts in drawn if any(fact in wanted for fact in facts))


class _Marks:
    """Draws dimensions with letters; those that nobody asks for are left out."""

    def __init__(self, sheet: Sheet, named: Mapping[str, str]) -> None:
        self.sheet = sheet
        self.named = named

    def across(self, fact: str, x1: float, x2: float, y: float) -> None:
        """A level dimension, its letter above the middle."""
        if fact not in self.named:
            return
        for x in (x1, x2):
            self.sheet.line(x, y - 1.4, x, y + 1.4, pen="thin")
        middle = (x1 + x2) / 2
        self._both(middle, y, (x1, y), (x2, y))
        self._letter(fact, middle, y - OFF)

    def up(self, fact: str, x: float, y1: float, y2: float) -> None:
        """An upright dimension, its letter to the right of the middle."""
        if fact not in self.named:
            return
        for y in (y1, y2):
            self.sheet.line(x - 1.4, y, x + 1.4, y, pen="thin")
        middle = (y1 + y2) / 2
        self._both(x, middle, (x, y1), (x, y2))
        self._letter(fact, x + 2.4, middle + 1.1)

    def along(self, fact: str, start: tuple[float, float], end: tuple[float, float]) -> None:
        """A slanting dimension, its letter over white at the middle."""
        if fact not in self.named:
            return
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self._both(*middle, start, end)
        self._letter(fact, middle[0], middle[1] + 1.1)

    def at(self, fact: str, x: float, y: float) -> None:
        """A letter alone, for an angle or a distance that is drawn otherwise."""
        if fact in self.named:
            self._letter(fact, x, y)

    def _both(self, x: float, y: float, one: tuple[float, float], two: tuple[float, float]) -> None:
        for end in (one, two):
            arrow(self.sheet, x, y, *end)

    def _letter(self, fact: str, x: float, y: float) -> None:
        self.sheet.text(x, y, self.named[fact], size=SIZE, anchor="middle", bold=True, backed=True)


def _sheet(name: str, title: str, desc: str) -> Sheet:
    return Sheet(f"sketch-{name}", WIDTH, HEIGHT, title, desc)


def _roof(named: Mapping[str, str]) -> Sketch:
    """The roof from above with squares to draw in."""
    sheet = _sheet("roof", "Roof from above", "A rectangle with squares; the front is at the left.")
    marks = _Marks(sheet, named)
    left, top, right, bottom = 8.0, 9.0, 74.0, 50.0
    for step in range(1, 12):
        x = left + step * (right - left) / 12
        sheet.line(x, top, x, bottom, pen="hair", dash="0.4 1.2")
    for step in range(1, 8):
        y = top + step * (bottom - top) / 8
        sheet.line(left, y, right, y, pen="hair", dash="0.4 1.2")
    sheet.rect(Box(left, top, right, bottom), pen="bold", radius=2)
    sheet.text(0, 28, "front", size=2.6)
    box = Box(42, 24, 58, 37)
    sheet.rect(box, fill="white", pen="thin", dash="1.2 0.8")
    arrow(sheet, left, 30, box.left, 30)
    sheet.text(22, 28.6, "x", size=2.8, backed=True)
    arrow(sheet, 50, top, 50, box.top)
    sheet.text(51.4, 18, "y", size=2.8, backed=True)
    sheet.text(50, 28.4, "length", size=2.4, anchor="middle")
    sheet.text(50, 31.6, "width", size=2.4, anchor="middle")
    sheet.text(50, 34.8, "height", size=2.4, anchor="middle")
    marks.across("roof.length_mm", left, right, 5)
    marks.up("roof.width_mm", 77.5, top, bottom)
    sheet.text(left, 54.5, "One square is ____ mm. Draw what stands on the roof.", size=2.6)
    return Sketch(sheet.svg(), "Roof from above: the flat for the panel, and what stands on it")


def _side(named: Mapping[str, str], hinge: str) -> Sketch:
    """The van from the side, its roof shut and open."""
    sheet = _sheet("side", "Van from the side", "A van on wheels, front at the left.")
    marks = _Marks(sheet, named)
    ground, top, left, right = 48.0, 21.0, 14.0, 64.0
    front, rear = 24.0, 54.0
    sheet.line(4, ground, 80, ground, pen="thin")
    sheet.rect(Box(left, top + 3, right, ground - 4.5), fill="white", radius=2)
    sheet.rect(Box(left + 4, top, right - 2, top + 3), fill="tint", radius=1)
    for wheel in (front, rear):
        sheet.circle(wheel, ground - 5, 5, fill="white", pen="normal")
        sheet.circle(wheel, ground - 5, 0.5, fill="ink", pen="none")
    if any(fact.startswith("lift.") for fact in named):
        _open_roof(marks, hinge, left + 4, right - 2, top)
    marks.across("vehicle.wheelbase_mm", front, rear, 53)
    marks.up("vehicle.height_mm", 71, top, ground)
    if "roof.front_edge_behind_axle_mm" in named:
        sheet.line(front, ground - 5, front, 33, pen="hair", dash="1 1")
        sheet.line(38, top, 38, 37, pen="hair", dash="1 1")
        marks.across("roof.front_edge_behind_axle_mm", front, 38, 36)
        sheet.text(39, 37, "flat begins", size=2.4)
    aside = " A hinge at the side: the same, seen from behind." if hinge in SIDES else ""
    return Sketch(sheet.svg(), f"From the side, front at the left.{aside}")


def _open_roof(marks: _Marks, hinge: str, left: float, right: float, top: float) -> None:
    sheet = marks.sheet
    if hinge == "parallel":
        sheet.rect(Box(left, top - 13, right, top - 10), pen="thin", dash="1.4 0.9", radius=1)
        marks.up("lift.opening_mm", left + 6, top - 10, top)
        return
    pivot, free = (right, left) if hinge == "rear" else (left, right)
    out = 1 if free > pivot else -1
    tip = free - out * 3
    sheet.path(move("M", pivot, top, "L", tip, top - 14, "L", tip, top - 17, "L", pivot, top - 3)
               + " Z", pen="thin", dash="1.4 0.9")
    sheet.circle(pivot, top + 1, 0.9, fill="ink", pen="none")
    marks.up("lift.opening_mm", tip + out * 2, top - 14, top)
    marks.at("lift.opening_angle_deg", pivot + out * 13, top - 0.8)
    marks.along("lift.balance_mm", (pivot, top - 7), (pivot + out * 22, top - 14.5))
    marks.along("lift.lift_point_mm", (pivot, top - 11.5), (tip - out * 8, top - 20.3))


def _section(named: Mapping[str, str]) -> Sketch:
    """A cut through the roof, layer by layer."""
    sheet = _sheet("section", "Cut through the roof", "Layers of the roof, outside at the top.")
    marks = _Marks(sheet, named)
    layers = (
        ("roof.thickness_mm", "outer skin", 10.0, 14.0, "ink"),
        ("roof.core_mm", "core, if there is one", 14.0, 26.0, "dots"),
        ("roof.inner_skin_mm", "inner skin, if there is one", 26.0, 29.0, "ink"),
        ("roof.lining_mm", "lining, squeezed", 29.0, 35.0, "hatch"),
    )
    for fact, name, top, bottom, fill in layers:
        sheet.rect(Box(6, top, 34, bottom), fill=fill, pen="thin")
        middle = (top + bottom) / 2
        sheet.line(34, middle, 39, middle, pen="hair")
        marks.at(fact, 41.5, middle + 1.1)
        sheet.text(44.5, middle + 0.9, name, size=2.6)
    sheet.text(6, 7, "outside", size=2.6)
    if "lift.underside_clear_mm" in named:
        sheet.line(6, 46, 34, 46, pen="normal")
        marks.up("lift.underside_clear_mm", 20, 35, 46)
        sheet.text(6, 49.5, "bed or body below, roof shut", size=2.6)
    return Sketch(sheet.svg(), "Cut through the roof at an opening, outside at the top")


def _cable(named: Mapping[str, str], hinge: str) -> Sketch:
    """The moving cable between its clamps, roof shut and open."""
    sheet = _sheet("cable", "Moving cable", "Two clamps, the hinge, and the cable between them.")
    marks = _Marks(sheet, named)
    pivot, body, shut, up = (8.0, 44.0), (50.0, 50.0), (54.0, 40.3), (45.0, 16.6)
    sheet.line(4, 50, 80, 50, pen="normal")
    sheet.line(*pivot, 80, 38, pen="normal")
    sheet.line(*pivot, 64, 2.5, pen="thin", dash="1.4 0.9")
    sheet.text(73, 36.5, "shut", size=2.6)
    sheet.text(65, 4, "open", size=2.6)
    for x, y in (body, shut, up):
        sheet.circle(x, y, 1.1, fill="ink", pen="none")
    if hinge != "parallel":
        sheet.circle(*pivot, 1.6, fill="white", pen="bold")
        sheet.text(0, 40.5, "hinge", size=2.6)
    sheet.line(*shut, *body, pen="thin")
    marks.at("lift.cable_closed_mm", 56.5, 46.8)
    marks.along("lift.cable_open_mm", up, body)
    marks.along("lift.anchor_shell_mm", (6.2, 41.6), (43.2, 14.2))
    marks.along("lift.anchor_body_mm", (pivot[0], 53.8), (body[0], 53.8))
    marks.at("lift.anchor_angle_deg", 25, 47.6)
    if "lift.cable_offset_mm" in named:
        marks.at("lift.cable_offset_mm", 63, 46.8)
        sheet.text(65.5, 45.4, "sideways,", size=2.4)
        sheet.text(65.5, 48.2, "along the hinge", size=2.4)
    return Sketch(sheet.svg(), "Cable between its two clamps, roof shut and open")
