"""The work of one job: put in order and in time, and proved to be safe that way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from planner.errors import InputError
from planner.plan import order, prove, timetable
from planner.plan.memo import Memo
from planner.plan.model import Move, Slot, Task, Violation
from planner.plan.select import Selection

MAKE_SAFE, RESUME = "make-safe", "resume-work"


class Days(Struct, frozen=True):
    """How the days of the work are: first minute, working hours, people, days without work."""

    start_min: int
    hours: float
    crew: int
    off: frozenset[int]


class Proved(Struct, frozen=True):
    """The order of work, timed and proved, with the figures that follow from it alone.

    Attributes:
        slots: The timetable.
        done: Every task in it once, in order; waits are no tasks.
        whole: End, nights, minutes and changes of state.
        begin_min: When the first task begins [min].
        ready_min: When the van is first driven, else the end [min].
        final: Every state at the end.
    """

    slots: tuple[Slot, ...]
    done: tuple[str, ...]
    whole: timetable.Summary
    begin_min: float
    ready_min: float
    final: Mapping[str, str]


class UnprovedOrderError(Exception):
    """An order of work that breaks a rule: our own fault, never printed as a plan."""

    def __init__(self, violations: Iterable[Violation]) -> None:
        self.violations = tuple(violations)
        super().__init__("; ".join(f"{v.task}: {v.what}" for v in self.violations))


def proved(chosen: Selection, days: Days, kept: Memo) -> Proved:
    """Return the work, put in order and in time, and proved to be safe that way.

    Raises:
        InputError: If no order exists, or no day is long enough for it.
        UnprovedOrderError: If the proof finds a fault.
    """
    tasks = {name: task for name, task in chosen.tasks.items() if name not in (MAKE_SAFE, RESUME)}
    slots = _timetable(order.arrange(tasks, chosen.variables, kept.once), chosen, days)
    refuse_unproved(slots, chosen)
    return _work(slots, chosen)


def _timetable(moves: tuple[Move, ...], chosen: Selection, days: Days) -> tuple[Slot, ...]:
    brackets = (
        (chosen.tasks[MAKE_SAFE], chosen.tasks[RESUME]) if MAKE_SAFE in chosen.tasks else None
    )
    return timetable.schedule(
        moves,
        chosen.tasks,
        chosen.variables,
        day_start_min=days.start_min,
        hours_per_day=days.hours,
        crew=days.crew,
        brackets=brackets,
        days_off=days.off,
    )


def refuse_unproved(slots: tuple[Slot, ...], chosen: Selection) -> None:
    """Raise unless the proof finds nothing wrong with a timetable.

    Raises:
        InputError: If what is prepared goes stale because no day is long enough.
        UnprovedOrderError: If anything else is wrong: our own fault.
    """
    violations = prove.prove(
        tuple(slot.move for slot in slots),
        chosen.tasks,
        chosen.variables,
        chosen.invariants,
        slots=slots,
    )
    lapsed = [violation for violation in violations if violation.rule == "lapse"]
    if lapsed:
        raise InputError.of(
            "job.hours_per_day",
            f"no day is long enough: {chosen.tasks[lapsed[0].task].id}: {lapsed[0].what}",
            "Give more working hours a day, so that what is prepared is used before it goes stale.",
        )
    if violations:
        raise UnprovedOrderError(violations)


def _work(slots: tuple[Slot, ...], chosen: Selection) -> Proved:
    whole = timetable.summary(slots, chosen.tasks, chosen.variables)
    own = [slot for slot in slots if slot.move.kind != "wait"]
    drives = [slot.start_min for slot in own if _does(chosen.tasks[slot.move.task], "drives")]
    return Proved(
        slots=slots,
        done=tuple(dict.fromkeys(slot.move.task for slot in own)),
        whole=whole,
        begin_min=min((slot.start_min for slot in own), default=0.0),
        ready_min=min(drives, default=whole.end_min),
        final=_final(slots, chosen),
    )


def _does(task: Task, act: str) -> bool:
    return any(one.does == act for one in task.acts)


def _final(slots: tuple[Slot, ...], chosen: Selection) -> dict[str, str]:
    state = {name: variable.initial for name, variable in chosen.variables.items()}
    for slot in slots:
        if slot.move.kind == "wait":
            name, _, value = slot.move.task.partition(":")
            state[name] = value
        elif slot.move.kind != "bracket" and not slot.move.more:
            state.update(chosen.tasks[slot.move.task].leaves)
    return state
