"""The order of work as documents tell it: every move numbered, with its texts and its moment."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from planner.pack.text import capital, plain, words
from planner.plan.calendar import DAY_MIN, DAYS, MONTHS, moment
from planner.plan.model import Plan, Slot, StepText, Task, Variable

NO_TASK = Task(id="")


class Entry(Struct, frozen=True):
    """One move of the plan.

    Attributes:
        slot: The move in time.
        number: Its number in the order of work, 0 for a wait.
        title: What it is called.
        task: The task, an empty one for a wait.
        text: The printed texts, None for a wait or a bracket without texts.
        phase: The phase under which it is printed; a step put in for a need stands with the work
            that it serves.
        filled: For a wait, whether other work has filled it already.
    """

    slot: Slot
    number: int
    title: str
    task: Task = NO_TASK
    text: StepText | None = None
    phase: str = ""
    filled: bool = False

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
    phases = _phases(plan)
    found: list[Entry] = []
    number, worked_until = 0, 0.0
    for slot, phase in zip(plan.timetable, phases, strict=True):
        if slot.move.kind == "wait":
            title = wait_title(slot.move.task, plan.variables)
            filled = slot.end_min <= worked_until
            found.append(Entry(slot, 0, title, phase=phase, filled=filled))
            continue
        number += 1
        worked_until = slot.end_min
        text = plan.texts.get(slot.move.task)
        title = plain(text.title) if text else capital(words(slot.move.task))
        task = plan.tasks.get(slot.move.task, NO_TASK)
        found.append(Entry(slot, number, title, task, text, phase))
    return tuple(found)


def _phases(plan: Plan) -> list[str]:
    """Return the phase of every move: its own, or that of the next step, at the end of the last."""
    own = [
        plan.texts[slot.move.task].phase
        if slot.move.kind == "step" and slot.move.task in plan.texts
        else ""
        for slot in plan.timetable
    ]
    for index in range(len(own) - 2, -1, -1):
        own[index] = own[index] or own[index + 1]
    for index in range(1, len(own)):
        own[index] = own[index] or own[index - 1]
    return [plain(phase) for phase in own]


def wait_title(name: str, variables: Iterable[Variable] = ()) -> str:
    """Return what a wait waits for, from ``variable:value``.

    Examples:
        >>> wait_title("bed:rim_cured")
        'bed: rim cured'
    """
    id_, _, value = name.partition(":")
    known = next((variable for variable in variables if variable.id == id_), None)
    label = plain(known.label) if known and known.label else words(id_)
    state = plain(known.words.get(value, "")) if known else ""
    return f"{label}: {state or words(value)}" if value else label


def numbers(steps: tuple[Entry, ...]) -> dict[str, tuple[int, ...]]:
    """Return for each task all its numbers in the order of work."""
    found: dict[str, tuple[int, ...]] = {}
    for entry in steps:
        if entry.number:
            name = entry.slot.move.task
            found[name] = (*found.get(name, ()), entry.number)
    return found


def cited(steps: tuple[str, ...], numbered: dict[str, tuple[int, ...]]) -> str:
    """Return the numbers of these steps as a list, such as ``3, 7, 12 to 15``."""
    return ranges({number for step in steps for number in numbered.get(step, ())})


def ranges(found: Iterable[int]) -> str:
    """Return whole numbers as a list in which three or more in a row are drawn together.

    Examples:
        >>> ranges({3, 7, 8, 12, 13, 14})
        '3, 7, 8, 12 to 14'
    """
    runs: list[list[int]] = []
    for number in sorted(found):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(str(one) for one in run)
        for run in runs
    )


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
