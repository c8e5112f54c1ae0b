"""Which actions the search must try in a state, so that it need not try the rest there.

Two actions that do not touch each other may be done either way round, and trying both ways round
at every turn is what makes a search slow. So the search starts from one step that must be done
sometime, and adds only what could matter to it: for an action that can be done now, all that
could hinder it or be hindered; for one that cannot, all that could let it be done. What is not
among these can as well be done later, at the same cost.

References:
    .. [1] The idea is known as strong stubborn sets: Valmari 1989; for planning at least cost,
       Wehrle and Helmert, "Efficient Stubborn Sets", ICAPS 2014 (from memory).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.plan.encode import Action, Job
from planner.plan.links import bits


class Choices:
    """What to try in each state of one job; ``of`` says it.

    Actions are numbered: the steps first, then the changes.
    """

    def __init__(self, job: Job) -> None:
        self.actions = (*job.steps, *job.changes)
        self.changes = (1 << len(self.actions)) - job.never
        self.stuck = [action.forbids & ~sum(action.cures) for action in self.actions]
        self.variable = {1 << p: wide for wide in job.values for p in bits(wide)}
        self.leave: dict[int, int] = defaultdict(int)
        self.touch = list(self._touches())
        self.known: dict[tuple[int, int], int] = {}

    def _touches(self) -> Iterator[int]:
        """Yield for each action the mask of those that hinder it or that it hinders."""
        forbid: dict[int, int] = defaultdict(int)
        put: dict[int, int] = defaultdict(int)
        write: dict[int, int] = defaultdict(int)
        for number, action in enumerate(self.actions):
            _mark(self.leave, bits(action.put), number)
            _mark(forbid, bits(action.forbids), number)
            _mark(put, bits(_puts(action)), number)
            _mark(write, self._writes(action), number)
        for number, action in enumerate(self.actions):
            mask = 0
            for place in bits(_puts(action)):
                mask |= forbid[place]
            for place in bits(action.forbids):
                mask |= put[place]
            for variable in self._writes(action):
                mask |= write[variable]
            yield mask & ~(1 << number)

    def _writes(self, action: Action) -> set[int]:
        return {self.variable[1 << place] for place in bits(_puts(action))}

    def of(self, waiting: int, state: int) -> int:
        """Return a mask of actions that can be done now, enough to try in this state.

        Args:
            waiting: The steps still to be done, at least one.
            state: The state, in bits.
        """
        best, fewest = 0, len(self.actions) + 1
        for seed in bits(waiting):
            if not self.actions[seed].before & waiting:
                found = self._around(seed, waiting | self.changes, state, fewest)
                if found is not None:
                    best, fewest = found, found.bit_count()
                if fewest <= 1:
                    break
        return best

    def _around(self, seed: int, alive: int, state: int, fewest: int) -> int | None:
        """Return what matters to one step and can be done now; None if that is no fewer."""
        seen = todo = 1 << seed
        can = 0
        while todo:
            bit = todo & -todo
            number = bit.bit_length() - 1
            action = self.actions[number]
            lets = self._lets(number, action, alive, state)
            if lets is None:
                can |= bit
                if can.bit_count() >= fewest:
                    return None
                lets = self.touch[number]
            new = lets & alive & ~seen
            seen |= new
            todo = todo & ~bit | new
        return can

    def _lets(self, number: int, action: Action, alive: int, state: int) -> int | None:
        """Return what could let an action be done; None if it can be done now."""
        earlier = action.before & alive
        if earlier:
            return earlier & -earlier
        stuck = state & self.stuck[number]
        if stuck:
            return self._givers(number, action, self.variable[stuck & -stuck])
        return None

    def _givers(self, number: int, action: Action, variable: int) -> int:
        """Return the actions that leave a value that the action can use, or wait to use."""
        if (number, variable) not in self.known:
            mask = 0
            for place in bits(variable):
                if not action.forbids >> place & 1 or 1 << place in action.cures:
                    mask |= self.leave[place]
            self.known[number, variable] = mask
        return self.known[number, variable]


def _puts(action: Action) -> int:
    """Return the values that an action may leave, by itself or by waiting for what it needs."""
    mask = action.put
    for cure in action.cures.values():
        mask |= cure.put
    return mask


def _mark(masks: dict[int, int], keys: Iterable[int], number: int) -> None:
    for key in keys:
        masks[key] |= 1 << number
