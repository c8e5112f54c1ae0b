"""Bars of the timetable: the whole job in one drawing, and a small bar for each line of a day."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from planner.pack.drawings.svg import INK, PENS, Box, Sheet, number, strip, text_width

#: The overview: where the hours run [mm], how high a day's row is, where the first one starts.
LEFT, RIGHT, ROW, TOP = 46.0, 168.0, 6.4, 9.0
#: Width and height of a bar beside its line [mm].
WIDE, HIGH = 50.0, 3.6
#: Darker than the tint of areas: a bar is small.
GREY, RULE = "#c9c8c2", "#b9b8b3"
Span = tuple[int, int]


class Bar(Struct, frozen=True):
    """One piece of work or wait on the day, in minutes after midnight of that day.

    ``label`` is the step's number, empty for a wait. Bars that reach past the hours are cut.
    """

    label: str
    start_min: float
    end_min: float
    kind: Literal["work", "wait", "bracket"]
    hold: bool = False
    critical: bool = False


def job_overview(days: Sequence[tuple[str, Sequence[Bar]]], span: Span) -> str:
    """Return the whole job as SVG: a row a day, the hours of the day across."""
    height = TOP + ROW * len(days) + 9
    sheet = Sheet("job-overview", 170.0, height, "The job at a glance",
                  f"{len(days)} working days. The tables of the days say the same.")
    _hours(sheet, span, TOP + ROW * len(days))
    for row, (name, bars) in enumerate(days):
        _overview_day(sheet, name, bars, TOP + row * ROW, span)
    _legend(sheet)
    return sheet.svg()


def _hours(sheet: Sheet, span: Span, bottom: float) -> None:
    first, last = span
    for hour in range(first, last + 1, 1 if last - first <= 14 else 2):
        x = _place(hour * 60, span, LEFT, RIGHT)
        sheet.line(x, TOP - 2, x, bottom, pen="hair")
        sheet.text(x, TOP - 3, f"{hour:02d}", size=2.8, anchor="middle")


def _place(minute: float, span: Span, left: float, right: float) -> float:
    share = (minute / 60 - span[0]) / (span[1] - span[0])
    return left + min(max(share, 0.0), 1.0) * (right - left)


def _overview_day(
    sheet: Sheet, name: str, bars: Sequence[Bar], top: float, span: Span
) -> None:
    sheet.text(2, top + 4.4, name, size=2.8)
    sheet.line(2, top + ROW, RIGHT, top + ROW, pen="hair")
    waits = [bar for bar in bars if bar.kind == "wait"]
    for bar in [*waits, *(bar for bar in bars if bar.kind != "wait")]:
        left = _place(bar.start_min, span, LEFT, RIGHT)
        right = _place(bar.end_min, span, LEFT, RIGHT)
        box = Box(left, top + 1, max(right, left + 0.5), top + ROW - 0.8)
        sheet.rect(box, fill=_fill(bar), pen="thin")
        if bar.hold and text_width(bar.label, 2.6, bold=True) < right - left:
            sheet.text((left + right) / 2, top + 4.4, bar.label, size=2.6, anchor="middle",
                       bold=True, ink="#fff")


def _fill(bar: Bar) -> str:
    return "ink" if bar.hold else {"work": "tint", "wait": "hatch", "bracket": "dots"}[bar.kind]


def _legend(sheet: Sheet) -> None:
    level, x = sheet.height - 4.5, 2.0
    for fill, text in (
        ("tint", "work"),
        ("ink", "hold point"),
        ("hatch", "wait"),
        ("dots", "make safe, resume"),
    ):
        sheet.rect(Box(x, level, x + 5, level + 2.8), fill=fill, pen="thin")
        x = sheet.text(x + 6.2, level + 2.4, text, size=2.8).right + 5


def hour_scale(span: Span) -> str:
    """Return the hours over the bars of a day as SVG, for the head of their column."""
    first, last = span
    step = 1 if last - first <= 8 else 2
    marks = "".join(
        f'<text x="{number(_place(hour * 60, span, 2.0, WIDE - 2))}" y="2.9" font-size="2.8" '
        f'text-anchor="middle">{hour:02d}</text>'
        for hour in range(first, last + 1, step)
    )
    return strip(WIDE, HIGH, marks)


def day_bar(bar: Bar, span: Span) -> str:
    """Return one bar as SVG, for the line of the timetable that says the same in words."""
    first, last = span
    lines = "".join(
        f'<path d="M{number(x)} 0V{number(HIGH)}" stroke="{RULE}" stroke-width="0.12"/>'
        for x in (_place(hour * 60, span, 2.0, WIDE - 2) for hour in range(first, last + 1))
    )
    left = _place(bar.start_min, span, 2.0, WIDE - 2)
    right = max(_place(bar.end_min, span, 2.0, WIDE - 2), left + 0.6)
    pen = PENS["bold" if bar.critical else "thin"]
    dash = ' stroke-dasharray="1 0.6"' if bar.kind == "wait" else ""
    fill = INK if bar.hold else {"work": GREY, "wait": "#fff", "bracket": "#fff"}[bar.kind]
    box = (
        f'<rect x="{number(left)}" y="0.7" width="{number(right - left)}" height="2.2" '
        f'fill="{fill}" stroke="{INK}" stroke-width="{pen}"{dash}/>'
    )
    return strip(WIDE, HIGH, lines + box)
