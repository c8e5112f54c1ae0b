"""Timetable: the whole job at a glance, then for each day its work with bars beside it."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from planner.pack.blocks import Figure
from planner.pack.drawings.bars import Bar, day_bar, hour_scale, job_overview
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import duration
from planner.plan.calendar import DAY_MIN
from planner.plan.model import Plan


class Row(Struct, frozen=True):
    """One line of a day's table; ``bar`` is its drawing."""

    time: str
    number: str
    title: str
    length: str
    people: str
    hold: bool
    bar: str


class Day(Struct, frozen=True):
    """One day of the job."""

    name: str
    rows: tuple[Row, ...]


class Timetable(Struct, frozen=True):
    """The job at a glance, the hours over its bars, and its days."""

    scale: str
    figures: tuple[Figure, ...]
    days: tuple[Day, ...]


def timetable(plan: Plan, steps: tuple[Entry, ...]) -> Timetable | None:
    """Return the days on which something is done; None without any work."""
    days = _days(steps)
    if not days:
        return None
    span = _span(steps)
    overview = job_overview(
        [(day_name(day, plan.start), [_bar(entry, day) for entry in found])
         for day, found in days.items()],
        span,
    )
    caption = (
        "The job at a glance, one row a day, hours across. Grey: work. Black: hold point, with "
        "its number. Hatched: a cure or drying time that the work has to wait for."
    )
    return Timetable(
        hour_scale(span),
        (Figure(overview, caption),),
        tuple(_day(plan, day, found, span) for day, found in days.items()),
    )


def _days(steps: tuple[Entry, ...]) -> dict[int, list[Entry]]:
    """Work by its day; a wait stands where the work before it ends, if work waits for it."""
    days: dict[int, list[Entry]] = {}
    day = 0
    for entry in steps:
        if not entry.is_wait:
            day = int(entry.slot.start_min // DAY_MIN)
        elif entry.filled:
            continue
        days.setdefault(day, []).append(entry)
    return days


def _span(steps: tuple[Entry, ...]) -> tuple[int, int]:
    """The whole hours of the day between which all work lies."""
    work = [entry.slot for entry in steps if not entry.is_wait]
    first = min(slot.start_min % DAY_MIN for slot in work)
    last = max(slot.start_min % DAY_MIN + slot.end_min - slot.start_min for slot in work)
    return int(first // 60), min(max(int(-(-last // 60)), int(first // 60) + 2), 24)


def _day(plan: Plan, day: int, steps: list[Entry], span: tuple[int, int]) -> Day:
    rows = tuple(_row(entry, day, plan.start, span) for entry in steps)
    return Day(day_name(day, plan.start), rows)


def _row(entry: Entry, day: int, start: str, span: tuple[int, int]) -> Row:
    bar = day_bar(_bar(entry, day), span)
    if entry.is_wait:
        return Row("wait", "", f"{entry.title}, until {_until(entry, day, start)}",
                   "", "", False, bar)
    return Row(hour(entry.slot.start_min), str(entry.number), entry.title,
               duration(entry.minutes), str(entry.task.people), entry.task.hold, bar)


def _until(entry: Entry, day: int, start: str) -> str:
    end = entry.slot.end_min
    later = int(end // DAY_MIN)
    return hour(end) if later == day else f"{day_name(later, start)}, {hour(end)}"


def _bar(entry: Entry, day: int) -> Bar:
    return Bar(
        label=str(entry.number) if entry.number else "",
        start_min=entry.slot.start_min - day * DAY_MIN,
        end_min=entry.slot.end_min - day * DAY_MIN,
        kind=_kind(entry),
        hold=entry.task.hold,
        critical=entry.slot.critical,
    )


def _kind(entry: Entry) -> Literal["work", "wait", "bracket"]:
    if entry.is_wait:
        return "wait"
    return "bracket" if entry.slot.move.kind == "bracket" else "work"


