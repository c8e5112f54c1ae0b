"""The critical path: the moves that alone decide how soon the job can be finished.

It follows the links of the order (``after``, who made a state, who reads it before it changes, and
clocks that run), as if there were always enough hands; nights and the size of the crew are the
timetable's business.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.plan.links import START, Links, bits
from planner.plan.model import Move, Task

SLACK_MIN = 1e-6
"""Sums of decimal fractions differ by less than this."""


def critical(found: Links, minutes: Sequence[float]) -> tuple[bool, ...]:
    """Return for each move whether any delay of it delays the end of the job.

    Args:
        found: The links of an order without brackets, in which every need is met.
        minutes: The working time of each move, as ``minutes_of`` gives it [min].
    """
    ends = earliest_ends(found, minutes)
    finish = max(ends, default=0.0)
    latest = [finish] * len(ends)
    for place in reversed(range(len(ends))):
        for before in bits(found.before[place]):
            latest[before] = min(latest[before], latest[place] - minutes[place])
        clock = found.clocks.get(place)
        if clock is not None and clock.by != START:
            latest[clock.by] = min(latest[clock.by], latest[place] - clock.hours * 60)
    return tuple(late - end <= SLACK_MIN for late, end in zip(latest, ends, strict=True))


def minutes_of(moves: Sequence[Move], tasks: Mapping[str, Task]) -> tuple[float, ...]:
    """Return the working time of each move [min]; a wait takes none."""
    return tuple(0.0 if move.kind == "wait" else tasks[move.task].minutes for move in moves)


def earliest_ends(found: Links, minutes: Sequence[float]) -> list[float]:
    """Return for each move the earliest end that its links allow [min from the start]."""
    ends: list[float] = []
    for place, before in enumerate(found.before):
        end = max((ends[b] for b in bits(before)), default=0.0) + minutes[place]
        clock = found.clocks.get(place)
        if clock is not None:
            begun = 0.0 if clock.by == START else ends[clock.by]
            end = max(end, begun + clock.hours * 60)
        ends.append(end)
    return ends
