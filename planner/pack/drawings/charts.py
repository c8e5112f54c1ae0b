"""Charts: bars by month, such as harvest against use, and lines by day, such as the battery."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.svg import Box, Sheet, fit, move, number

LEFT, RIGHT, TOP, BASE = 18.0, 166.0, 10.0, 38.0


class Series(Struct, frozen=True):
    """One row of bars: a name, how it is filled, and a value for each category."""

    name: str
    fill: str
    values: Sequence[float]


def month_chart(
    *,
    id_: str,
    title: str,
    unit: str,
    categories: Sequence[str],
    series: Sequence[Series],
    level: tuple[float, str] | None = None,
) -> str:
    """Return grouped bars as SVG, with a broken line at a level such as the daily use.

    Args:
        id_: Prefix of ids in the drawing.
        title: What is shown.
        unit: Unit of the values, printed at the axis.
        categories: Names under the bars.
        series: One to three rows of values, each as long as the categories.
        level: Value and name of the line to compare with.
    """
    top_value = max(
        [1e-9, *(v for one in series for v in one.values), *([level[0]] if level else [])]
    )
    ceiling, step = _axis(top_value)
    sheet = Sheet(id_, 170.0, BASE + 14, title, _words(categories, series, unit, level))
    sheet.text(2, 4.5, f"{title} [{unit}]", size=3, bold=True)
    _grid(sheet, ceiling, step)
    _bars(sheet, categories, series, ceiling)
    if level:
        y = _y(level[0], ceiling)
        sheet.line(LEFT, y, RIGHT, y, pen="bold", dash="3 1.5")
    _values(sheet, series, ceiling)
    _legend(sheet, series, level)
    return sheet.svg()


def _axis(top: float) -> tuple[float, float]:
    """A round ceiling and step with at most five lines, from the 1, 2, 5 series."""
    rough = top / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough)
    return step * math.ceil(top * 1.08 / step), step


def _words(
    categories: Sequence[str],
    series: Sequence[Series],
    unit: str,
    level: tuple[float, str] | None,
) -> str:
    told = [
        f"{one.name}: "
        + ", ".join(f"{c} {v:.3g}" for c, v in zip(categories, one.values, strict=True))
        for one in series
    ]
    line = [f"{level[1]}: {level[0]:.3g}"] if level else []
    return f"In {unit}. " + ". ".join(told + line) + "."


def _y(value: float, ceiling: float) -> float:
    return BASE - value / ceiling * (BASE - TOP)


def _grid(sheet: Sheet, ceiling: float, step: float) -> None:
    for index in range(round(ceiling / step) + 1):
        y = _y(index * step, ceiling)
        sheet.line(LEFT, y, RIGHT, y, pen="hair" if index else "normal")
        sheet.text(LEFT - 1.5, y + 0.9, number(index * step), size=2.6, anchor="end")


def _bars(
    sheet: Sheet, categories: Sequence[str], series: Sequence[Series], ceiling: float
) -> None:
    slot, wide = _slots(series)
    for index, name in enumerate(categories):
        middle = LEFT + (index + 0.5) * slot
        sheet.text(middle, BASE + 4.4, fit(name, 2.6, slot - 1), size=2.6, anchor="middle")
        for place, one in enumerate(series):
            left = middle + (place - len(series) / 2) * wide
            y = _y(one.values[index], ceiling)
            sheet.rect(Box(left + 0.2, y, left + wide - 0.2, BASE), fill=one.fill, pen="thin")


def _slots(series: Sequence[Series]) -> tuple[float, float]:
    slot = (RIGHT - LEFT) / max(len(series[0].values), 1)
    return slot, min(slot * 0.8 / len(series), 9.0)


def _values(sheet: Sheet, series: Sequence[Series], ceiling: float) -> None:
    slot, wide = _slots(series)
    if wide < 5.5:
        return
    for place, one in enumerate(series):
        for index, value in enumerate(one.values):
            left = LEFT + (index + 0.5) * slot + (place - len(series) / 2) * wide
            y, text = _y(value, ceiling), f"{value:.3g}"
            sheet.text(
                left + wide / 2, y - 0.9, text, size=2.4, anchor="middle", backed=True
            )


def _legend(sheet: Sheet, series: Sequence[Series], level: tuple[float, str] | None) -> None:
    y, x = BASE + 10.0, LEFT
    for one in series:
        sheet.rect(Box(x, y, x + 5, y + 2.8), fill=one.fill, pen="thin")
        x = sheet.text(x + 6.2, y + 2.3, one.name, size=2.6).right + 5
    if level:
        sheet.path(move("M", x, y + 1.4, "L", x + 8, y + 1.4), pen="bold", dash="3 1.5")
        sheet.text(x + 9.4, y + 2.3, level[1], size=2.6)


#: Kinds of line: pen and dash. They differ in print without colour.
KINDS = {"solid": ("normal", ""), "long": ("bold", "4 1.6"), "short": ("heavy", "0.9 1.4")}


class Line(Struct, frozen=True):
    """One line over the days: a name, its kind (solid, long or short dashes), a value a day."""

    name: str
    kind: str
    values: Sequence[float]


def day_chart(
    *, id_: str, title: str, unit: str, days: Sequence[int], lines: Sequence[Line]
) -> str:
    """Return lines over days as SVG.

    Args:
        id_: Prefix of ids in the drawing.
        title: What is shown.
        unit: Unit of the values, printed at the axis.
        days: Numbers of the days, two or more, one a value.
        lines: The lines, each as long as the days.
    """
    ceiling, step = _axis(max(1e-9, *(value for line in lines for value in line.values)))
    told = [Series(line.name, "", line.values) for line in lines]
    words = _words([f"day {day}" for day in days], told, unit, None)
    sheet = Sheet(id_, 170.0, BASE + 14, title, words)
    sheet.text(2, 4.5, f"{title} [{unit}]", size=3, bold=True)
    _grid(sheet, ceiling, step)
    apart = (RIGHT - LEFT) / (len(days) - 1)
    for index, day in enumerate(days):
        sheet.text(LEFT + index * apart, BASE + 4.4, f"{day}", size=2.6, anchor="middle")
    for line in lines:
        pen, dash = KINDS[line.kind]
        points = [(LEFT + i * apart, _y(value, ceiling)) for i, value in enumerate(line.values)]
        steps = [part for x, y in points for part in ("L", x, y)]
        sheet.path(move("M", *steps[1:]), pen=pen, dash=dash)
    _line_legend(sheet, lines)
    return sheet.svg()


def _line_legend(sheet: Sheet, lines: Sequence[Line]) -> None:
    x, y = LEFT, BASE + 11.4
    for line in lines:
        pen, dash = KINDS[line.kind]
        sheet.line(x, y, x + 10, y, pen=pen, dash=dash)
        x = sheet.text(x + 11.4, y + 0.9, line.name, size=2.6).right + 6
    sheet.text(x, y + 0.9, "days from the last full charge along the foot", size=2.6)
