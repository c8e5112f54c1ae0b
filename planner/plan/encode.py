"""A job in bits, for the search: one bit for each step, and one for each value of each variable.

A need is then one ``and``: a task can be done if none of the values that it forbids is there.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from planner.plan.links import bits, clock_of
from planner.plan.model import Move, Task, Variable

WAIT_COST_PER_H = 0.001
"""Small beside any change of state: waits only decide between orders that are otherwise equal."""

UNITS = 1_000_000
"""Costs are whole units inside the search, so that equal costs are equal to the last bit."""


class Cure(Struct, frozen=True):
    """The waits that turn a value which a task cannot use into one that it can."""

    moves: tuple[Move, ...]
    put: int
    units: int


class Action(Struct, frozen=True):
    """A task as bit masks.

    Attributes:
        move: The move that does the task.
        before: Steps that must be done first.
        forbids: Values that the task must not find.
        clear: Bits of the variables that it sets.
        put: Bits of the values that it leaves.
        cures: For each forbidden value that time mends, the waits that do.
        prices: Bit of each value that it leaves, with the cost of that change [units].
    """

    move: Move
    before: int
    forbids: int
    clear: int
    put: int
    cures: Mapping[int, Cure]
    prices: tuple[tuple[int, int], ...]


class Job(Struct, frozen=True):
    """Everything that the search needs, in bits.

    Attributes:
        steps: The steps, each done once, in their natural order.
        changes: The enabling tasks, in their natural order.
        hindered: For each step, what it could hinder by running at once: steps, and ``never``
            where it is an enabling task.
        below: For each step, those that come after it by ``after``.
        never: A bit that is never among the steps done.
        initial: The state at the start.
        values: Bits of each variable's values.
        clocks: For each value that work may wait out, what it becomes and what that costs [units].
    """

    steps: tuple[Action, ...]
    changes: tuple[Action, ...]
    hindered: tuple[int, ...]
    below: tuple[int, ...]
    never: int
    initial: int
    values: tuple[int, ...]
    clocks: Mapping[int, tuple[int, int]]


def encode(tasks: Sequence[Task], variables: Sequence[Variable]) -> Job:
    """Return the job in bits; tasks and variables come in their natural order.

    Variables that no task needs and no enabling task changes play no part and are left out.
    """
    read = {name for task in tasks for name in task.needs}
    read |= {name for task in tasks if task.enabling for name in task.leaves}
    coder = _Coder([variable for variable in variables if variable.id in read], tasks)
    steps = tuple(coder.action(task) for task in tasks if not task.enabling)
    changes = tuple(coder.action(task) for task in tasks if task.enabling)
    tied, below = _tied(steps)
    return Job(
        steps=steps,
        changes=changes,
        hindered=tuple(_hindered(steps, changes, tied, coder.values)),
        below=below,
        never=1 << len(steps),
        initial=sum(coder.bit[name, v.initial] for name, v in coder.variables.items()),
        values=coder.values,
        clocks=dict(coder.clocks()),
    )


class _Coder:
    """Knows the bit of each value and the place of each step."""

    def __init__(self, variables: Sequence[Variable], tasks: Sequence[Task]) -> None:
        self.variables = {variable.id: variable for variable in variables}
        pairs = [(variable.id, value) for variable in variables for value in variable.values]
        self.bit = {pair: 1 << index for index, pair in enumerate(pairs)}
        self.wide = {v.id: sum(self.bit[v.id, value] for value in v.values) for v in variables}
        self.values = tuple(self.wide.values())
        selected = (task.id for task in tasks if not task.enabling)
        self.place = {name: 1 << index for index, name in enumerate(selected)}

    def action(self, task: Task) -> Action:
        left = [(name, task.leaves[name]) for name in sorted(task.leaves) if self._sets(task, name)]
        return Action(
            move=Move(task.id, "enabling" if task.enabling else "step"),
            before=sum(self.place[name] for name in task.after),
            forbids=sum(self.wide[n] & ~self._mask(n, ok) for n, ok in task.needs.items()),
            clear=sum(self.wide[name] for name, _ in left),
            put=sum(self.bit[pair] for pair in left),
            cures=dict(self._cures(task)),
            prices=tuple((self.bit[pair], _units(self.variables[pair[0]].cost)) for pair in left),
        )

    def clocks(self) -> Iterator[tuple[int, tuple[int, int]]]:
        for name, variable in self.variables.items():
            for value in variable.values:
                clock = clock_of(variable, value, waits=True)
                if clock is not None:
                    units = _units(clock.hours * WAIT_COST_PER_H)
                    yield self.bit[name, value], (self.bit[name, clock.becomes], units)

    def _mask(self, name: str, values: frozenset[str]) -> int:
        return sum(self.bit.get((name, value), 0) for value in values)

    def _sets(self, task: Task, name: str) -> bool:
        # A task that needs just the value that it leaves changes nothing for the search.
        return name in self.variables and task.needs.get(name) != frozenset({task.leaves[name]})

    def _cures(self, task: Task) -> Iterator[tuple[int, Cure]]:
        for name, allowed in task.needs.items():
            variable = self.variables[name]
            if not variable.clocks:
                continue
            for value in {clock.value for clock in variable.clocks}.difference(allowed):
                cure = self._cure(variable, value, allowed)
                if cure is not None:
                    yield self.bit[name, value], cure

    def _cure(self, variable: Variable, value: str, allowed: frozenset[str]) -> Cure | None:
        moves: list[Move] = []
        units, now, seen = 0, value, {value}
        while now not in allowed:
            clock = clock_of(variable, now, waits=True)
            if clock is None or clock.becomes in seen:
                return None
            now = clock.becomes
            seen.add(now)
            units += _units(clock.hours * WAIT_COST_PER_H)
            moves.append(Move(f"{variable.id}:{now}", "wait"))
        return Cure(tuple(moves), self.bit[variable.id, now], units)


def _units(cost: float) -> int:
    return round(cost * UNITS)


def _hindered(
    steps: Sequence[Action], changes: Sequence[Action], tied: Sequence[int], values: Sequence[int]
) -> Iterator[int]:
    """Yield for each step the mask of those that it could hinder if it ran at once.

    What it leaves must not be forbidden there, and no variable may be left differently. Steps
    that come before or after it by ``after`` in any case do not count.
    """
    forbid, leave = _users(steps, changes)
    for step, own in zip(steps, tied, strict=True):
        mask = 0
        for place in bits(step.put):
            mask |= forbid[place]
            variable = next(wide for wide in values if wide >> place & 1)
            for other in bits(variable & ~(1 << place)):
                mask |= leave[other]
        yield mask & ~own


def _users(
    steps: Sequence[Action], changes: Sequence[Action]
) -> tuple[Mapping[int, int], Mapping[int, int]]:
    """Return for each value the steps that forbid it, and those that leave it.

    All enabling tasks together stand for one step that is never done.
    """
    forbid: dict[int, int] = defaultdict(int)
    leave: dict[int, int] = defaultdict(int)
    for number, action in [*enumerate(steps), *((len(steps), change) for change in changes)]:
        for place in bits(action.forbids):
            forbid[place] |= 1 << number
        for place in bits(action.put):
            leave[place] |= 1 << number
    return forbid, leave


def _tied(steps: Sequence[Action]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return for each step itself with all before and after it, and all after it."""
    above = [0] * len(steps)
    below = [0] * len(steps)
    in_turn = list(_topological(steps))
    for index in in_turn:
        for parent in bits(steps[index].before):
            above[index] |= above[parent] | 1 << parent
    for index in reversed(in_turn):
        for parent in bits(steps[index].before):
            below[parent] |= below[index] | 1 << index
    tied = (1 << i | above[i] | below[i] for i in range(len(steps)))
    return tuple(tied), tuple(below)


def _topological(steps: Sequence[Action]) -> Iterator[int]:
    done, waiting = 0, list(range(len(steps)))
    while waiting:
        later = []
        for index in waiting:
            if steps[index].before & ~done:
                later.append(index)
            else:
                done |= 1 << index
                yield index
        waiting = later
