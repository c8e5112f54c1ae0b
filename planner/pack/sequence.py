"""The order of work as documents tell it: every move numbered, with its texts and its moment."""

from __future__ import annotations

from dataclasses import dataclass

from planner.pack.text import capital, plain, words
from planner.plan.calendar import DAY_MIN, DAYS, MONTHS, moment
from planner.plan.model import Plan, Slot, StepText, Task

NO_TASK = Task(id="")


@dataclass(frozen=True)
class Entry:
    """One move of the plan.

    Attributes:
        slot: The move in time.
        number: Its number in the order of work, 0 for a wait.
        title: What it is called.
        task: The task, an empty one for a wait.
        text: The printed texts, None for a wait or a bracket without texts.
    """

    slot: Slot
    number: int
    title: str
    task: Task = NO_TASK
    text: StepText | None = None

    @property
    def is_wait(self) -> bool:
        """Whether nobody works."""
        return self.slot.move.kind == "wait"

    @property
    def minutes(self) -> float:
        """Length of the move [min]."""
        return self.slot.end_min - self.slot.start_min


def entries(plan: Plan) -> tuple[Entry, ...]:
    """Return every move in the order of work; steps are numbered from 1, waits are not."""
    found: list[Entry] = []
    number = 0
    for slot in plan.timetable:
        if slot.move.kind == "wait":
            found.append(Entry(slot, 0, wait_title(slot.move.task)))
            continue
        number += 1
        text = plan.texts.get(slot.move.task)
        title = plain(text.title) if text else capital(words(slot.move.task))
        task = plan.tasks.get(slot.move.task, NO_TASK)
        found.append(Entry(slot, number, title, task, text))
    return tuple(found)


def wait_title(name: str) -> str:
    """Return what a wait waits for, from ``variable:value``.

    Examples:
        >>> wait_title("bed:rim_cured")
        'Wait until bed is rim cured'
    """
    variable, _, value = name.partition(":")
    return f"Wait until {words(variable)} is {words(value)}" if value else f"Wait: {words(name)}"


def numbers(steps: tuple[Entry, ...]) -> dict[str, tuple[int, ...]]:
    """Return for each task all its numbers in the order of work."""
    found: dict[str, tuple[int, ...]] = {}
    for entry in steps:
        if entry.number:
            name = entry.slot.move.task
            found[name] = (*found.get(name, ()), entry.number)
    return found


def cited(steps: tuple[str, ...], numbered: dict[str, tuple[int, ...]]) -> str:
    """Return the numbers of these steps as a list, such as ``3, 7, 12``."""
    found = sorted({number for step in steps for number in numbered.get(step, ())})
    return ", ".join(str(number) for number in found)


def hour(minute: float) -> str:
    """Return the time of day.

    Examples:
        >>> hour(1440 + 510)
        '08:30'
    """
    whole = round(minute) % DAY_MIN
    return f"{whole // 60:02d}:{whole % 60:02d}"


def day_name(day: int, start: str) -> str:
    """Return the name of a day of the job, 0 first, with its date where the job has one.

    Examples:
        >>> day_name(1, "2026-05-04 08:00"), day_name(0, "")
        ('Day 2, Tue 5 May 2026', 'Day 1')
    """
    date = moment(day * DAY_MIN, start)
    if date is None:
        return f"Day {day + 1}"
    return (
        f"Day {day + 1}, {DAYS[date.weekday()]} {date.day} {MONTHS[date.month - 1]} {date.year}"
    )
