"""Proves an order of work: replays it, whoever made it, and says everything that is wrong.

This is deliberately separate from the code that orders and times the work: it shares no function
with it, only the types, so that a mistake there cannot hide itself here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.plan.model import Invariant, Move, Slot, Task, Variable, Violation
from planner.plan.replay import Replay, speaks_of, words


def prove(
    moves: Sequence[Move],
    tasks: Mapping[str, Task],
    variables: Mapping[str, Variable],
    invariants: Mapping[str, Invariant],
    slots: Sequence[Slot] | None = None,
) -> tuple[Violation, ...]:
    """Return everything that is wrong with an order; nothing if it is proved.

    Args:
        moves: The order, with its brackets if it has any.
        tasks: Every task by id; those that are not enabling must come once each.
        variables: Every state variable by id.
        invariants: What must never be.
        slots: The same moves placed in time. Then clocks run in real time from the first start,
            a value that lapses is gone when its time is up, and nights are looked at.

    Notes:
        Rules named in the violations: ``unknown``, ``once``, ``after``, ``need``, ``wait``,
        ``invariant``, ``bracket``, and with slots ``lapse`` (time has spoilt what a task needs),
        ``time`` and ``night``.
    """
    if slots is not None and [slot.move for slot in slots] != list(moves):
        what = "The timetable does not place these moves one for one."
        return (Violation(0, "", "time", what),)
    begin = min((slot.start_min for slot in slots or ()), default=0.0)
    replay = Replay(tasks, variables, invariants, begin)
    for index, move in enumerate(moves):
        replay.make(index, move, None if slots is None else slots[index])
    replay.finish(len(moves))
    return tuple(sorted(replay.found, key=lambda violation: violation.index))


def implied(
    tasks: Mapping[str, Task],
    invariants: Mapping[str, Invariant],
    variables: Mapping[str, Variable],
) -> tuple[Violation, ...]:
    """Return every task whose own needs do not rule out what an invariant forbids.

    Args:
        tasks: All tasks, enabling ones too.
        invariants: What must never be.
        variables: Every state variable; values that a variable does not have cannot be.

    Notes:
        For an act, some need must keep one of the forbidden states away. For a combination of
        states, a task that brings one of them about must rule out another by what it needs or
        leaves. The index of these violations is -1: they belong to the task, not to a place.
    """
    return tuple(
        Violation(-1, task.id, "invariant", f"{invariant.id}: {_lacking(invariant)}")
        for task in tasks.values()
        for invariant in invariants.values()
        if _may_break(task, invariant, variables)
    )


def _may_break(task: Task, invariant: Invariant, variables: Mapping[str, Variable]) -> bool:
    bad = invariant.states
    if any(not values & _values(name, variables) for name, values in bad.items()):
        return False
    if invariant.does:
        return speaks_of(invariant, task) and not any(
            name in task.needs and not task.needs[name] & values for name, values in bad.items()
        )
    brings = any(task.leaves.get(name) in values for name, values in bad.items())
    return brings and all(_can_be(task, name, values) for name, values in bad.items())


def _values(name: str, variables: Mapping[str, Variable]) -> frozenset[str]:
    return frozenset(variables[name].values) if name in variables else frozenset()


def _can_be(task: Task, name: str, values: frozenset[str]) -> bool:
    """True if the state can be one of the values when the task ends."""
    if name in task.leaves:
        return task.leaves[name] in values
    return name not in task.needs or bool(task.needs[name] & values)


def _lacking(invariant: Invariant) -> str:
    if not invariant.states:
        return f"It must never be done, and the task {invariant.does}."
    doing = f"{invariant.does} and " if invariant.does else ""
    return f"The task {doing}does not rule out that {words(invariant.states)}; add a need."
