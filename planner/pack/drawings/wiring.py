"""Wiring schematic: panels, entry, isolator, controller, fuse and battery, both poles drawn."""

from __future__ import annotations

from dataclasses import dataclass

from planner.pack.drawings.svg import Box, Sheet, fit, move

PLUS, MINUS, MIDDLE = 30.0, 42.0, 36.0
RIGHT = 164.0


@dataclass(frozen=True)
class WiringFigures:
    """What the schematic names, all as text; an empty text is left out.

    Attributes:
        arrangement: ``single``, ``series``, ``parallel`` or ``two_by_two``.
        panels: Number of panels.
        array: Figures of the array, such as ``51.1 V cold``.
        pv_cable: Section and drop of the run from roof to controller.
        battery_cable: Section and drop of the run from controller to battery.
        fuse: Rating of the battery-side fuse.
        string_fuse: Rating of the string fuses, empty if none are needed.
        controller: What the controller is.
        battery: What the battery is.
        portable: Whether the panel plugs into an inlet instead of being fixed.
    """

    arrangement: str
    panels: int
    array: str = ""
    pv_cable: str = ""
    battery_cable: str = ""
    fuse: str = ""
    string_fuse: str = ""
    controller: str = ""
    battery: str = ""
    portable: bool = False


@dataclass(frozen=True)
class _Unit:
    name: str
    left: float
    right: float
    note: str = ""
    second: str = ""


def wiring(figures: WiringFigures) -> str:
    """Return the schematic as SVG."""
    sheet = Sheet("wiring", 170.0, 82.0, "Wiring schematic", _words(figures))
    units = _units(figures)
    _poles(sheet, units)
    _array(sheet, figures)
    for unit in units:
        _unit(sheet, unit)
    _switches(sheet, units)
    _runs(sheet, figures, units)
    sheet.text(4, 79, "full line: positive (+) · broken line: negative (−) · both poles switched",
               size=2.6)
    return sheet.svg()


def _words(figures: WiringFigures) -> str:
    return (
        f"{figures.panels} panel(s), {figures.arrangement.replace('_', ' ')}, {figures.array}. "
        f"Roof to controller {figures.pv_cable}, through a double-pole isolator. Controller to "
        f"battery {figures.battery_cable}, fuse {figures.fuse} in the positive at the battery."
    )


def _units(figures: WiringFigures) -> list[_Unit]:
    inlet = "inlet" if figures.portable else "entry"
    return [
        _Unit(inlet, 45, 56),
        _Unit("isolator", 66, 82, "double pole, d.c.", figures.string_fuse),
        _Unit("controller", 92, 112, fit(figures.controller, 2.6, 30)),
        _Unit("fuse", 122, 134, figures.fuse, "within 200 mm"),
        _Unit("battery", 146, RIGHT, fit(figures.battery, 2.6, 26)),
    ]


def _poles(sheet: Sheet, units: list[_Unit]) -> None:
    start = 36.0
    for unit in units:
        sheet.line(start, PLUS, unit.left, PLUS, pen="bold")
        sheet.line(start, MINUS, unit.left, MINUS, pen="bold", dash="2.4 1.2")
        start = unit.right


def _unit(sheet: Sheet, unit: _Unit) -> None:
    middle = (unit.left + unit.right) / 2
    # The fuse sits in the positive alone, so the negative runs past it.
    low = PLUS + 5 if unit.name == "fuse" else MINUS + 5
    if unit.name == "fuse":
        sheet.line(unit.left, MINUS, unit.right, MINUS, pen="bold", dash="2.4 1.2")
    sheet.rect(Box(unit.left, PLUS - 5, unit.right, low), fill="white", pen="normal")
    sheet.text(middle, PLUS - 7, unit.name, size=2.9, anchor="middle", bold=True)
    for row, text in enumerate(text for text in (unit.note, unit.second) if text):
        sheet.text(middle, MINUS + 9.5 + row * 3.8, text, size=2.6, anchor="middle")
    if unit.name in {"controller", "battery"}:
        sheet.text(unit.left + 1.2, PLUS + 1, "+", size=3.4, bold=True)
        sheet.text(unit.left + 1.2, MINUS + 1, "−", size=3.4, bold=True)


def _switches(sheet: Sheet, units: list[_Unit]) -> None:
    isolator, fuse = units[1], units[3]
    for level in (PLUS, MINUS):
        middle = (isolator.left + isolator.right) / 2
        sheet.circle(middle - 4, level, 0.6, fill="white", pen="thin")
        sheet.circle(middle + 4, level, 0.6, fill="white", pen="thin")
        sheet.line(isolator.left, level, middle - 4.6, level, pen="bold")
        sheet.line(middle + 4.6, level, isolator.right, level, pen="bold")
        sheet.line(middle - 3.5, level - 0.3, middle + 2.6, level - 3.2, pen="bold")
    sheet.rect(Box(fuse.left + 2.5, PLUS - 1.4, fuse.right - 2.5, PLUS + 1.4), pen="thin")
    sheet.line(fuse.left, PLUS, fuse.right, PLUS, pen="bold")


def _runs(sheet: Sheet, figures: WiringFigures, units: list[_Unit]) -> None:
    """The two cable runs as brackets below, with section, length and drop."""
    for left, right, name, text in (
        (units[0].left, units[2].left, "roof to controller", figures.pv_cable),
        (units[2].right, units[4].left, "controller to battery", figures.battery_cable),
    ):
        level = 61.0
        sheet.path(move("M", left, level - 2, "L", left, level, "L", right, level, "L", right,
                        level - 2), pen="thin")
        middle = (left + right) / 2
        sheet.text(middle, level + 4, name, size=2.6, anchor="middle", bold=True)
        sheet.text(middle, level + 8, fit(text, 2.6, 56), size=2.6, anchor="middle")


def _array(sheet: Sheet, figures: WiringFigures) -> None:
    rows, columns = _layout(figures)
    height, width = _cell(rows, columns)
    for row in range(rows):
        for column in range(columns):
            top = MIDDLE - rows * height / 2 + row * height
            left = 4 + column * width
            _panel(sheet, Box(left + 2, top + 1, left + width - 1, top + height - 2.6))
            if column:
                sheet.line(left - 1, top + 2.6, left + 2, top + height - 4.2, pen="bold")
        _joins(sheet, MIDDLE - rows * height / 2 + row * height, height, rows)
    sheet.text(4, MIDDLE - rows * height / 2 - 2, fit(figures.array, 2.6, 60), size=2.6)


def _cell(rows: int, columns: int) -> tuple[float, float]:
    return min(44.0 / rows, 22.0), 26.0 / columns


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
