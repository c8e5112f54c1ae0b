"""Wiring schematic: panels, entry, isolator, controller, fuse and battery, both poles drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from planner.pack.drawings.svg import Box, Sheet, fit, move, wrap

PLUS, MINUS, MIDDLE = 24.0, 38.0, 31.0
LOW = 46.0
ARRAY_RIGHT = 36.0
NEGATIVE = "2.4 1.2"


class WiringFigures(Struct, frozen=True):
    """What the schematic names, all as text; an empty text is left out.

    Attributes:
        arrangement: ``single``, ``series``, ``parallel`` or ``two_by_two``.
        panels: Number of panels.
        array: Figures of the array, such as ``51.1 V cold``.
        pv_cable: Section, length and drop of the run from roof to controller.
        battery_cable: Section, length and drop of the run from controller to battery.
        fuse: Rating of the battery-side fuse.
        fuse_kind: Kind of that fuse.
        fuse_place: How near the battery it sits.
        string_fuse: Rating of the string fuses, empty if none are needed.
        controller: What the controller is.
        battery: What the battery is.
        portable: Whether the panel plugs into an inlet instead of being fixed.
        ends: Numbers of the cable ends by the mark of their core, from the panels to the battery.
    """

    arrangement: str
    panels: int
    array: str = ""
    pv_cable: str = ""
    battery_cable: str = ""
    fuse: str = ""
    fuse_kind: str = ""
    fuse_place: str = ""
    string_fuse: str = ""
    controller: str = ""
    battery: str = ""
    portable: bool = False
    ends: Mapping[str, Sequence[int]] = field(default_factory=dict)


class _Unit(Struct, frozen=True):
    """One box on both poles; the notes stand below it."""

    name: str
    left: float
    right: float
    notes: tuple[str, ...] = ()


def wiring(figures: WiringFigures) -> str:
    """Return the schematic as SVG."""
    sheet = Sheet("wiring", 170.0, 83.5, "Wiring schematic", _words(figures))
    units = _units(figures)
    _poles(sheet, units)
    _array(sheet, figures)
    for unit in units:
        _unit(sheet, unit)
    if not figures.portable:
        _through(sheet, units[0])
    _isolator(sheet, units[1])
    _terminals(sheet, units)
    _ends(sheet, figures, units)
    _runs(sheet, figures, units)
    sheet.text(4, 80.5, "full line: positive (+) · broken line: negative (−) · small numbers: the "
               "cable ends of the table · the fuse sits in the positive", size=2.6)
    return sheet.svg()


def _words(figures: WiringFigures) -> str:
    return (
        f"{figures.panels} panel(s), {figures.arrangement.replace('_', ' ')}, {figures.array}. "
        f"Roof to controller {figures.pv_cable}, through a double-pole isolator. Controller to "
        f"battery {figures.battery_cable}, fuse {figures.fuse} in the positive at the battery."
    )


def _units(figures: WiringFigures) -> list[_Unit]:
    way_in = "inlet" if figures.portable else "cable entry"
    return [
        _Unit(way_in, 46, 58),
        _Unit("isolator", 68, 86, ("double pole, d.c.",)),
        _Unit("controller", 97, 121, (figures.controller,)),
        _Unit("fuse", 129, 141, (f"{figures.fuse} {figures.fuse_kind}", figures.fuse_place)),
        _Unit("battery", 150, 167, (figures.battery,)),
    ]


def _poles(sheet: Sheet, units: list[_Unit]) -> None:
    start = ARRAY_RIGHT
    for unit in units:
        sheet.line(start, PLUS, unit.left, PLUS, pen="bold")
        sheet.line(start, MINUS, unit.left, MINUS, pen="bold", dash=NEGATIVE)
        start = unit.right


def _through(sheet: Sheet, entry: _Unit) -> None:
    """The cable passes the entry unbroken; an inlet for a portable panel parts it."""
    sheet.line(entry.left, PLUS, entry.right, PLUS, pen="bold")
    sheet.line(entry.left, MINUS, entry.right, MINUS, pen="bold", dash=NEGATIVE)


def _unit(sheet: Sheet, unit: _Unit) -> None:
    """The fuse sits in the positive alone, so the negative runs past it."""
    middle = (unit.left + unit.right) / 2
    alone = unit.name == "fuse"
    low = PLUS + 5 if alone else MINUS + 5
    sheet.rect(Box(unit.left, PLUS - 5, unit.right, low), fill="white", pen="normal")
    if alone:
        sheet.line(unit.left, MINUS, unit.right, MINUS, pen="bold", dash=NEGATIVE)
        sheet.rect(Box(unit.left + 2.5, PLUS - 1.4, unit.right - 2.5, PLUS + 1.4), pen="thin")
        sheet.line(unit.left, PLUS, unit.right, PLUS, pen="bold")
    sheet.text(middle, PLUS - 7, unit.name, size=2.8, anchor="middle", bold=True)
    lines = [line for note in unit.notes if note for line in wrap(note, 2.6, 24)]
    for row, text in enumerate(lines[:5]):
        sheet.text(middle, LOW + 1.6 + row * 3.5, text, size=2.6, anchor="middle")


def _isolator(sheet: Sheet, unit: _Unit) -> None:
    middle = (unit.left + unit.right) / 2
    for level, dash in ((PLUS, ""), (MINUS, NEGATIVE)):
        for side in (-4, 4):
            sheet.circle(middle + side, level, 0.6, fill="white", pen="thin")
        sheet.line(unit.left, level, middle - 4.6, level, pen="bold", dash=dash)
        sheet.line(middle + 4.6, level, unit.right, level, pen="bold", dash=dash)
        sheet.line(middle - 3.5, level - 0.3, middle + 2.6, level - 3.2, pen="bold")
    sheet.line(middle - 0.5, PLUS - 1.8, middle - 0.5, MINUS - 1.8, pen="hair", dash="0.8 0.8")


def _terminals(sheet: Sheet, units: list[_Unit]) -> None:
    """Names of the terminals, pole by pole, inside the units that have screws for them."""
    controller, battery = units[2], units[4]
    for level, sign in ((PLUS, "+"), (MINUS, "−")):
        sheet.text(controller.left + 1, level + 1, f"PV {sign}", size=2.6)
        sheet.text(controller.right - 1, level + 1, f"BAT {sign}", size=2.6, anchor="end")
        sheet.text(battery.left + 1.2, level + 1.1, sign, size=3.4, bold=True)
        for x in (units[0].right + 3.5, units[3].left - 3.8, units[3].right + 3):
            sheet.text(x, level - 1.2, sign, size=2.8, bold=True)


def _ends(sheet: Sheet, figures: WiringFigures, units: list[_Unit]) -> None:
    """The number of each cable end under its line, on the side of the unit where it lands."""
    way_in, isolator, controller, fuse, battery = units
    first = way_in.right if figures.portable else ARRAY_RIGHT
    roof = (first, isolator.left, isolator.right, controller.left)
    lands = {
        "PV+": (PLUS, roof),
        "PV−": (MINUS, roof),
        "BAT+": (PLUS, (controller.right, fuse.left)),
        "FUSE+": (PLUS, (fuse.right, battery.left)),
        "BAT−": (MINUS, (controller.right, battery.left)),
    }
    for core, numbers in figures.ends.items():
        level, places = lands[core]
        for index, (end, x) in enumerate(zip(numbers, places, strict=True)):
            leaves = index % 2 == 0
            sheet.text(x + (0.6 if leaves else -0.6), level + 2.9, f"{end}", size=2.4,
                       anchor="start" if leaves else "end")


def _runs(sheet: Sheet, figures: WiringFigures, units: list[_Unit]) -> None:
    """The two cable runs as brackets below, with section, length and drop."""
    for left, right, name, text in (
        (units[0].left, units[2].left, "roof to controller", figures.pv_cable),
        (units[2].right, units[4].left, "controller to battery", figures.battery_cable),
    ):
        level = 65.0
        sheet.path(move("M", left, level - 2, "L", left, level, "L", right, level, "L", right,
                        level - 2), pen="thin")
        middle = (left + right) / 2
        sheet.text(middle, level + 3.8, name, size=2.6, anchor="middle", bold=True)
        for row, line in enumerate(wrap(text, 2.6, 58)[:2]):
            sheet.text(middle, level + 7.4 + row * 3.4, line, size=2.6, anchor="middle")


def _array(sheet: Sheet, figures: WiringFigures) -> None:
    rows, columns = _layout(figures)
    height, width = min(40.0 / rows, 22.0), 26.0 / columns
    top = MIDDLE - rows * height / 2
    for row in range(rows):
        for column in range(columns):
            left = 4 + column * width
            _panel(sheet, Box(left + 2, top + row * height + 1, left + width - 1,
                              top + (row + 1) * height - 2.6))
            if column:
                sheet.line(left - 1, top + row * height + 2.6, left + 2,
                           top + (row + 1) * height - 4.2, pen="bold")
        _joins(sheet, top + row * height, height, rows)
        if figures.string_fuse:
            plus = top + row * height + 2.6
            sheet.rect(Box(29.6, plus - 0.8, 32.6, plus + 0.8), fill="white", pen="thin")
            sheet.line(29.6, plus, 32.6, plus, pen="bold")
    sheet.text(4, top - 2, fit(figures.array, 2.6, 60), size=2.6)
    sheet.text(4, top + rows * height + 3, fit(figures.string_fuse, 2.6, 38), size=2.6)


def _layout(figures: WiringFigures) -> tuple[int, int]:
    """Rows by columns: what is in series stands in a row, what is in parallel one above another."""
    if figures.arrangement == "series":
        return 1, max(figures.panels, 1)
    if figures.arrangement == "two_by_two":
        return 2, 2
    return max(figures.panels, 1), 1


def _panel(sheet: Sheet, box: Box) -> None:
    sheet.rect(box, fill="tint", pen="normal")
    middle = (box.top + box.bottom) / 2
    sheet.line(box.left, middle, box.right, middle, pen="hair")
    sheet.text(box.right - 0.6, box.top + 2.6, "+", size=2.8, anchor="end", bold=True)
    sheet.text(box.left + 0.6, box.bottom - 0.8, "−", size=2.8, bold=True)


def _joins(sheet: Sheet, top: float, height: float, rows: int) -> None:
    """Positive tail of a row to the upper pole; negative tail below the row to the lower one."""
    plus, minus = top + 2.6, top + height - 1
    sheet.path(move("M", 29, plus, "L", 33, plus, "L", 33, PLUS, "L", 36, PLUS), pen="bold")
    tail = move("M", 6, minus - 3.2, "L", 4.4, minus - 3.2, "L", 4.4, minus, "L", 35, minus, "L",
                35, MINUS, "L", 36, MINUS)
    sheet.path(tail, pen="bold", dash="1.6 0.8")
    if rows > 1:
        sheet.circle(33, plus, 0.6, fill="ink", pen="none")
        sheet.circle(35, minus, 0.6, fill="ink", pen="none")
