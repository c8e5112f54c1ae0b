"""Timetable: a table and a bar chart for each day of the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from planner.pack.blocks import Figure
from planner.pack.drawings.bars import Bar, timetable_bars
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import duration
from planner.plan.calendar import DAY_MIN
from planner.plan.model import Plan

#: Bars on one drawing: more would not fit the page with its heading.
MOST_BARS = 38


@dataclass(frozen=True)
class Row:
    """One line of a day's table."""

    time: str
    number: str
    title: str
    length: str
    people: str
    hold: bool


@dataclass(frozen=True)
class Day:
    """One day of the job."""

    name: str
    rows: tuple[Row, ...]
    figures: tuple[Figure, ...]


def timetable(plan: Plan, steps: tuple[Entry, ...]) -> tuple[Day, ...]:
    """Return the days on which something is done, each with its table and bars."""
    days: dict[int, list[Entry]] = {}
    for entry in steps:
        days.setdefault(int(entry.slot.start_min // DAY_MIN), []).append(entry)
    return tuple(_day(plan, day, days[day]) for day in sorted(days))


def _day(plan: Plan, day: int, steps: list[Entry]) -> Day:
    name = day_name(day, plan.start)
    rows = tuple(_row(entry, plan.start) for entry in steps)
    return Day(name, rows, tuple(_figures(name, day, steps)))


def _row(entry: Entry, start: str) -> Row:
    if entry.is_wait:
        end = entry.slot.end_min
        same = int(end // DAY_MIN) == int(entry.slot.start_min // DAY_MIN)
        until = hour(end) if same else f"{day_name(int(end // DAY_MIN), start)}, {hour(end)}"
        return Row(hour(entry.slot.start_min), "wait", f"{entry.title} (until {until})",
                   duration(entry.minutes), "", False)
    return Row(hour(entry.slot.start_min), str(entry.number), entry.title,
               duration(entry.minutes), str(entry.task.people), entry.task.hold)


def _figures(name: str, day: int, steps: list[Entry]) -> Iterator[Figure]:
    parts = -(-len(steps) // MOST_BARS)
    size = -(-len(steps) // parts)
    for part in range(parts):
        bars = [_bar(entry, day) for entry in steps[part * size : (part + 1) * size]]
        title = f"{name}, part {part + 1} of {parts}" if parts > 1 else name
        svg = timetable_bars(day=title, number=day * 10 + part + 1, bars=bars)
        yield Figure(svg, f"Bars of {title}; hours of the day across.")


def _bar(entry: Entry, day: int) -> Bar:
    kind: Literal["work", "wait", "bracket"] = "work"
    if entry.is_wait:
        kind = "wait"
    elif entry.slot.move.kind == "bracket":
        kind = "bracket"
    return Bar(
        label=str(entry.number) if entry.number else "wait",
        name=entry.title,
        start_min=entry.slot.start_min - day * DAY_MIN,
        end_min=entry.slot.end_min - day * DAY_MIN,
        kind=kind,
        hold=entry.task.hold,
        critical=entry.slot.critical,
    )
