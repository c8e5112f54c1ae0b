"""Proves an order of work: replays it, whoever made it, and says everything that is wrong.

This is deliberately separate from the code that orders and times the work: it shares no function
with it, only the types, so that a mistake there cannot hide itself here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.plan.model import Invariant, Move, Slot, Task, Variable, Violation
from planner.plan.replay import Replay


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

