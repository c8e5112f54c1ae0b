"""Which moves of an order must stay before which: the links that order and timing share.

A link has one of four reasons: ``after``; a move made the state that another needs; a move reads
a state before another changes it; a clock runs between two moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from msgspec import Struct, field

from planner.plan.model import Clock, Move, Task, Variable

START = -1
"""Stands for the start of the job where a value was there from the beginning."""


class Run(Struct):
    """One value of a variable, from the move that leaves it to the move that changes it.

    Attributes:
        value: The value.
        writers: Places of the moves that leave it; none at the start of the job.
        readers: Place and allowed values of each move that reads the variable meanwhile.
    """

    value: str
    writers: list[int] = field(default_factory=list)
    readers: list[tuple[int, frozenset[str]]] = field(default_factory=list)


class _Runs(dict[str, list[Run]]):
    """The runs of each variable, begun when a move first speaks of it."""

    def __init__(self, variables: Mapping[str, Variable]) -> None:
        super().__init__()
        self._variables = variables

    def __missing__(self, name: str) -> list[Run]:
        self[name] = [Run(self._variables[name].initial)]
        return self[name]


class Started(Struct, frozen=True):
    """The clock that a wait waits for: the move that started it, and how long it runs."""

    by: int
    hours: float


class Links(Struct, frozen=True):
    """The links of one order.

    Attributes:
        before: For each move, a bit mask of the moves that must come before it.
        clocks: For each wait, the clock that it waits for.
        runs: For each variable that some move speaks of, its values in the order in which the
            moves leave them.
    """

    before: tuple[int, ...]
    clocks: Mapping[int, Started]
    runs: Mapping[str, tuple[Run, ...]]


def clock_of(variable: Variable, value: str, *, waits: bool | None = None) -> Clock | None:
    """Return the clock that runs while the variable has the value: the shortest, if any.

    Examples:
        >>> bed = Variable("bed", ("wet", "skinned"), "wet", clocks=(Clock("wet", "skinned", 2),))
        >>> clock_of(bed, "wet").hours, clock_of(bed, "skinned")
        (2, None)
    """
    if not variable.clocks:
        return None
    running = (c for c in variable.clocks if c.value == value and waits in (None, c.waits))
    return min(running, key=lambda clock: clock.hours, default=None)


def bits(mask: int) -> Iterator[int]:
    """Yield the places of the bits set in a mask, lowest first.

    Examples:
        >>> list(bits(0b1101))
        [0, 2, 3]
    """
    while mask:
        low = mask & -mask
        mask ^= low
        yield low.bit_length() - 1


def wait_for(move: Move) -> tuple[str, str]:
    """Return the variable and the value that a wait waits for.

    Examples:
        >>> wait_for(Move("bed:skinned", "wait"))
        ('bed', 'skinned')
    """
    variable, _, value = move.task.rpartition(":")
    return variable, value


def links(
    moves: Sequence[Move], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> Links:
    """Return what must stay before what, so that every other change of order is harmless.

    Args:
        moves: An order in which every need is met; brackets in it have no links.
        tasks: Every task that the moves name.
        variables: Every variable that the tasks name.
    """
    runs = _Runs(variables)
    clocks: dict[int, Started] = {}
    before = _after(moves, tasks)
    for place, move in enumerate(moves):
        if move.kind == "wait":
            clocks[place] = _wait(place, move, variables, runs)
        elif move.kind != "bracket":
            _read_and_write(place, tasks[move.task], variables, runs)
    for history in runs.values():
        _link(history, before)
    return Links(
        tuple(mask & ~(1 << place) for place, mask in enumerate(before)),
        clocks,
        {name: tuple(history) for name, history in runs.items()},
    )


def _after(moves: Sequence[Move], tasks: Mapping[str, Task]) -> list[int]:
    done: dict[str, int] = {}
    before = []
    for place, move in enumerate(moves):
        needed = tasks[move.task].after if move.kind in ("step", "enabling") else ()
        before.append(sum(1 << done[name] for name in needed if name in done))
        if move.kind == "step":
            done[move.task] = place
    return before


def _read_and_write(
    place: int, task: Task, variables: Mapping[str, Variable], runs: Mapping[str, list[Run]]
) -> None:
    for name, allowed in task.needs.items():
        runs[name][-1].readers.append((place, allowed))
    for name, value in task.leaves.items():
        # A change that finds its value there already costs nothing, and must go on finding it.
        if task.enabling and value == runs[name][-1].value:
            runs[name][-1].readers.append((place, frozenset({value})))
        _write(place, variables[name], value, runs[name])


def _write(place: int, variable: Variable, value: str, history: list[Run]) -> None:
    # Leaving the value that is there already changes nothing, unless a clock starts afresh.
    if value != history[-1].value or clock_of(variable, value) is not None:
        history.append(Run(value))
    history[-1].writers.append(place)


def _wait(
    place: int, move: Move, variables: Mapping[str, Variable], runs: Mapping[str, list[Run]]
) -> Started:
    name, value = wait_for(move)
    run = runs[name][-1]
    clock = clock_of(variables[name], run.value, waits=True)
    run.readers.append((place, frozenset({run.value})))
    runs[name].append(Run(value, [place]))
    return Started(run.writers[-1] if run.writers else START, clock.hours if clock else 0.0)


def _link(history: Sequence[Run], before: list[int]) -> None:
    if len(history) == 1:
        return
    for earlier, later in pairwise(history):
        made = _mask(earlier.writers)
        for place in later.writers:
            before[place] |= made
    for index, run in enumerate(history):
        for place, allowed in run.readers:
            _link_reader(history, index, place, allowed, before)


def _link_reader(
    history: Sequence[Run], index: int, place: int, allowed: frozenset[str], before: list[int]
) -> None:
    """Tie a reader between the move that first makes its value and those that first spoil it."""
    first = index
    while first and history[first - 1].value in allowed:
        first -= 1
    if first:
        before[place] |= 1 << history[first].writers[0]
    then = index + 1
    while then < len(history) and history[then].value in allowed:
        then += 1
    for writer in history[then].writers if then < len(history) else ():
        before[writer] |= 1 << place


def _mask(places: Sequence[int]) -> int:
    return sum(1 << place for place in places)
