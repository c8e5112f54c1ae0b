"""Timetable of one working day as bars: work, waits, hold points and the critical chain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from planner.pack.drawings.svg import Box, Sheet, fit

LEFT, RIGHT, TOP, ROW = 66.0, 166.0, 16.0, 5.0


@dataclass(frozen=True)
class Bar:
    """One piece of work or wait on the day, in minutes after midnight of that day.

    ``label`` is the step's number, or ``wait``. Bars that reach past the day are cut at its ends.
    """

    label: str
    name: str
    start_min: float
    end_min: float
    kind: Literal["work", "wait", "bracket"]
    hold: bool = False
    critical: bool = False


def timetable_bars(*, day: str, number: int, bars: Sequence[Bar]) -> str:
    """Return the bars of one day as SVG, hours across, one row for each piece of work."""
    first, last = _hours(bars)
    sheet = Sheet(f"day-{number}", 170.0, TOP + ROW * len(bars) + 11, f"Timetable, {day}",
                  f"{len(bars)} bars from {first}:00 to {last}:00. The table says the same.")
    _grid(sheet, first, last)
    for row, bar in enumerate(bars):
        _bar(sheet, bar, TOP + row * ROW, first, last)
    _legend(sheet)
    sheet.text(2, 4.5, day, size=3.2, bold=True)
    return sheet.svg()


def _hours(bars: Sequence[Bar]) -> tuple[int, int]:
    """The span of whole hours that holds the day's work; waits may run out of it."""
    work = [bar for bar in bars if bar.kind != "wait"] or list(bars)
    first = max(0, int(min(bar.start_min for bar in work) // 60))
    last = min(24, int(-(-max(bar.end_min for bar in work) // 60)))
    return first, max(last, first + 2)


def _x(minute: float, first: int, last: int) -> float:
    share = (minute / 60 - first) / (last - first)
    return LEFT + min(max(share, 0.0), 1.0) * (RIGHT - LEFT)


def _grid(sheet: Sheet, first: int, last: int) -> None:
    step = 1 if last - first <= 14 else 2
    for hour in range(first, last + 1, step):
        x = _x(hour * 60, first, last)
        sheet.line(x, TOP - 2, x, sheet.height - 9, pen="hair")
        sheet.text(x, TOP - 3.2, f"{hour:02d}", size=2.5, anchor="middle")


def _bar(sheet: Sheet, bar: Bar, top: float, first: int, last: int) -> None:
    sheet.text(2, top + 3.3, bar.label, size=2.6, bold=bar.hold)
    sheet.text(12, top + 3.3, fit(bar.name, 2.6, 50), size=2.6, bold=bar.hold)
    left, right = _x(bar.start_min, first, last), _x(bar.end_min, first, last)
    box = Box(left, top + 0.9, max(right, left + 0.7), top + ROW - 0.9)
    fill = {"work": "tint", "wait": "hatch", "bracket": "dots"}[bar.kind]
    sheet.rect(box, fill="ink" if bar.hold else fill, pen="bold" if bar.critical else "thin")
    if bar.end_min > last * 60:
        sheet.line(RIGHT, top + ROW / 2, RIGHT + 2, top + ROW / 2, pen="normal")
        sheet.line(RIGHT + 2, top + ROW / 2, RIGHT + 1, top + ROW / 2 - 0.8, pen="normal")
        sheet.line(RIGHT + 2, top + ROW / 2, RIGHT + 1, top + ROW / 2 + 0.8, pen="normal")


def _legend(sheet: Sheet) -> None:
    level = sheet.height - 5
    x = 2.0
    for fill, pen, text in (
        ("tint", "thin", "work"),
        ("ink", "thin", "hold point"),
        ("hatch", "thin", "wait"),
        ("dots", "thin", "make safe, resume"),
        ("white", "bold", "heavy edge: moves the end"),
    ):
        sheet.rect(Box(x, level, x + 5, level + 2.6), fill=fill, pen=pen)
        box = sheet.text(x + 6.2, level + 2.2, text, size=2.5)
        x = box.right + 4
