"""The search for an order of work with the cheapest changes of state.

A uniform-cost search over the steps still waiting and the state, led by a bound on what is still
to come. Waits are not moves of their own: a clock is let run where a step first needs its later
value, which is never worse than earlier. Steps that can hinder nothing that is still to come run
at once, without branching; elsewhere only those actions are tried that matter to one another.
"""

from __future__ import annotations

import heapq
from itertools import count

from msgspec import Struct

from planner.plan.bound import Bound
from planner.plan.choices import Choices
from planner.plan.encode import UNITS, Action, Job
from planner.plan.links import bits
from planner.plan.model import Move

MOST_NODES = 50_000
"""Where the search gives up: a real job needs a few hundred."""


class Found(Struct, frozen=True):
    """How the search ended: the moves, and whether all steps are in them.

    Attributes:
        moves: An order, or the longest beginning of one.
        complete: True if every step is in it.
        exhausted: False if the search gave up before it had tried everything.
        nodes: How many states were looked at.
        cost: The cost of the changes and waits among the moves.
    """

    moves: tuple[Move, ...]
    complete: bool
    exhausted: bool
    nodes: int
    cost: float


_Key = tuple[int, int]
"""The steps still waiting, and the state."""


class _Search:
    """One run of the search; ``find`` does it."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.bound = Bound(job)
        self.choices = Choices(job)
        self.harmless = sum(1 << i for i, mask in enumerate(job.hindered) if mask < job.never)
        self.best: dict[_Key, int] = {}
        self.came: dict[_Key, tuple[_Key | None, tuple[Move, ...]]] = {}
        self.queue: list[tuple[int, int, _Key]] = []
        self.number = count()

    def find(self) -> Found:
        self._reach((self.job.never - 1, self.job.initial), 0, None, ())
        closed: set[_Key] = set()
        furthest = self.queue[0][-1]
        while self.queue and len(closed) < MOST_NODES:
            key = heapq.heappop(self.queue)[-1]
            if key in closed:
                continue
            closed.add(key)
            harmless = self._run_at_once(key)
            if harmless:
                self._reach(harmless[0], self.best[key], key, harmless[1])
                continue
            if key[0].bit_count() < furthest[0].bit_count():
                furthest = key
            if not key[0]:
                return Found(self._trail(key), True, True, len(closed), self.best[key] / UNITS)
            self._expand(key)
        return Found(self._trail(furthest), False, not self.queue, len(closed), 0.0)

    def _expand(self, key: _Key) -> None:
        """Reach the states next to this one; among equals the last reached is looked at first.

        So steps come before changes, and those first that come first in the natural order.
        """
        waiting, state = key
        for number in reversed([*bits(self.choices.of(waiting, state))]):
            action = self.choices.actions[number]
            if action.move.kind == "step":
                self._try(action, key, waiting ^ 1 << number)
            elif state & action.put != action.put:
                self._try(action, key, waiting)

    def _try(self, action: Action, came: _Key, waiting: int) -> None:
        """Reach the state after the action, if its needs are met or time can meet them."""
        state, cost = came[1], self.best[came]
        moves: tuple[Move, ...] = ()
        for place in bits(state & action.forbids):
            cure = action.cures.get(1 << place)
            if cure is None:
                return
            state = state & ~(1 << place) | cure.put
            cost += cure.units
            moves += cure.moves
        if action.move.kind == "enabling":
            cost += max(1, sum(units for bit, units in action.prices if not state & bit))
        state = state & ~action.clear | action.put
        self._reach((waiting, state), cost, came, (*moves, action.move))

    def _reach(
        self, key: _Key, cost: int, came: _Key | None, moves: tuple[Move, ...]
    ) -> None:
        if cost < self.best.get(key, cost + 1):
            self.best[key] = cost
            self.came[key] = came, moves
            least = cost + self.bound.of(*key)
            heapq.heappush(self.queue, (least, -next(self.number), key))

    def _run_at_once(self, key: _Key) -> tuple[_Key, tuple[Move, ...]] | None:
        """Run every step that can hinder nothing still to come; None if there is none."""
        waiting, state = key
        steps, hindered = self.job.steps, self.job.hindered
        ran: list[Move] = []
        before = -1
        while waiting != before:
            before = waiting
            left = waiting & self.harmless
            while left:  # the innermost loop of all: bits() would cost more than the rest of it
                bit = left & -left
                left ^= bit
                index = bit.bit_length() - 1
                step = steps[index]
                if step.before & waiting or step.forbids & state or hindered[index] & waiting:
                    continue
                state = state & ~step.clear | step.put
                waiting ^= bit
                ran.append(step.move)
        return ((waiting, state), tuple(ran)) if ran else None

    def _trail(self, key: _Key) -> tuple[Move, ...]:
        parts: list[tuple[Move, ...]] = []
        came: _Key | None = key
        while came is not None:
            came, moves = self.came[came]
            parts.append(moves)
        return tuple(move for part in reversed(parts) for move in part)


def find(job: Job) -> Found:
    """Return the cheapest order of the job's steps, or the longest beginning of one."""
    return _Search(job).find()
