"""The natural order: the moves that the search found, put as a fitter would do them.

Steps go by phase, rank and id. Changes of state, waits and work that goes stale (a primer that
lasts four hours) stand just before the step that first relies on them. Work that goes stale, or
that cannot be left overnight, is finished before other work is begun, and a wait ends as late as
possible, with other work in between. The links of the moves keep all this harmless.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from planner.plan.links import START, Links, Run, bits, clock_of, links
from planner.plan.model import Move, Task, Variable


def natural(
    moves: Sequence[Move], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> tuple[Move, ...]:
    """Return the moves in their natural order.

    Args:
        moves: An order in which every need is met.
        tasks: Every task that the moves name.
        variables: Every variable that the tasks name.
    """
    return tuple(_Natural(moves, tasks, variables).order())


def strict_readers(run: Run, variable: Variable, found: Links) -> list[int]:
    """Return the moves that need a run's value before time turns it into another."""
    clock = clock_of(variable, run.value)
    if clock is None:
        return []
    return [
        place
        for place, allowed in run.readers
        if clock.becomes not in allowed and place not in found.clocks
    ]


class _Spell(Struct, frozen=True):
    """A run of a variable that ought to be short: the moves that open it, and that it waits for."""

    opens: int
    ends: int

    def pressing(self, left: int) -> int:
        """Return what the spell waits for, if it is open with these moves left."""
        begun = not self.opens or self.opens & ~left
        return self.ends & left if begun else 0


def _lapsing(found: Links, variables: Mapping[str, Variable]) -> Iterator[_Spell]:
    """Yield the spells in which a value may lapse before it is read."""
    for name, runs in found.runs.items():
        for run in runs:
            readers = _mask(strict_readers(run, variables[name], found))
            if readers:
                yield _Spell(_mask(run.writers), readers)


def _open(found: Links, variables: Mapping[str, Variable]) -> Iterator[_Spell]:
    """Yield the spells in which no night may be spent."""
    for name, runs in found.runs.items():
        nights = variables[name].nights
        for run, then in pairwise(runs):
            if nights is not None and run.value not in nights:
                yield _Spell(_mask(run.writers), _mask(then.writers))


def _mask(places: Iterable[int]) -> int:
    mask = 0
    for place in places:
        mask |= 1 << place
    return mask


def _above(found: Links) -> list[int]:
    above: list[int] = []
    for before in found.before:
        mask = before
        for place in bits(before):
            mask |= above[place]
        above.append(mask)
    return above


class _Natural:
    """Puts the moves in order one by one; masks hold places in the order that was found."""

    def __init__(
        self,
        moves: Sequence[Move],
        tasks: Mapping[str, Task],
        variables: Mapping[str, Variable],
    ) -> None:
        self.moves, self.tasks = moves, tasks
        self.links = links(moves, tasks, variables)
        self.above = _above(self.links)
        self.lapsing = list(_lapsing(self.links, variables))
        self.open = list(_open(self.links, variables))
        self.waits = _mask(self.links.clocks)
        self.stale = 0
        for spell in self.lapsing:
            self.stale |= spell.opens
        # What is made only when a step relies on it.
        self.late = self.stale | _mask(p for p, move in enumerate(moves) if move.kind != "step")
        self.steps = sorted((p for p in range(len(moves)) if self._own(p)), key=self._key)
        self.left = (1 << len(moves)) - 1
        self.minute = 0.0
        self.ended: dict[int, float] = {START: 0.0}
        self.done: list[Move] = []

    def _own(self, place: int) -> bool:
        return not self.late >> place & 1

    def _key(self, place: int) -> tuple[int, int, str]:
        task = self.tasks[self.moves[place].task]
        return task.phase, task.rank, task.id

    def order(self) -> list[Move]:
        while self.left:
            self._reach(self._next())
        return self.done

    def _next(self) -> int:
        """Return the move to reach next: what presses, else the first step that need not wait."""
        pressing = self._pressing()
        if pressing:
            return self._pressed(pressing)
        first = self._first(self.left, self.waits)
        return self._soonest(self.left) if first is None else first

    def _pressing(self) -> int:
        """Return the moves that open spells wait for; what goes stale comes first."""
        for spells in (self.lapsing, self.open):
            ends = 0
            for spell in spells:
                ends |= spell.pressing(self.left)
            if ends:
                return ends
        return 0

    def _pressed(self, ends: int) -> int:
        within = ends
        for place in bits(ends):
            within |= self.above[place]
        within &= self.left
        first = self._first(within, self.waits)
        if first is None:
            first = next((p for p in bits(ends) if self._ready(p, self.waits)), None)
        if first is None:
            first = self._filling(within)
        return self._soonest(within) if first is None else first

    def _first(self, among: int, avoid: int) -> int | None:
        """Return the first step among these that is ready, with nothing to avoid above it."""
        steps = (p for p in self.steps if among >> p & 1 and self._ready(p, avoid))
        return next(steps, None)

    def _ready(self, place: int, avoid: int) -> bool:
        """True if only late moves are left above a move, and none to avoid."""
        above = self.above[place] & self.left
        return not above & ~self.late and not (above | 1 << place) & avoid

    def _filling(self, within: int) -> int | None:
        """Return other work that is done before the wait ends and opens nothing of its own."""
        until = self._wait_ends(self._soonest(within))
        others = self.left & ~within
        for spell in self.open:
            others &= ~spell.opens
        steps = (p for p in self.steps if others >> p & 1 and not self.above[p] & self.left)
        return next((p for p in steps if self.minute + self._minutes(p) <= until), None)

    def _soonest(self, among: int) -> int:
        """Return the move whose waits end first; steps before the moves that serve them."""
        ready = [p for p in self.steps if among >> p & 1 and self._ready(p, 0)]
        ready = ready or [p for p in bits(among) if self._ready(p, 0)]
        return min(ready, key=self._wait_ends)

    def _wait_ends(self, place: int) -> float:
        waits = (self.above[place] | 1 << place) & self.left & self.waits
        return max((self._ends(wait) for wait in bits(waits)), default=self.minute)

    def _ends(self, wait: int) -> float:
        clock = self.links.clocks[wait]
        begun = self.ended.get(clock.by)
        if begun is None:
            begun = self._ends(clock.by) if self.waits >> clock.by & 1 else self.minute
        return begun + clock.hours * 60

    def _minutes(self, place: int) -> float:
        move = self.moves[place]
        return 0.0 if move.kind == "wait" else self.tasks[move.task].minutes

    def _reach(self, place: int) -> None:
        """Make a move, and before it every late move that it relies on."""
        why = self._why(place)
        wanted = (self.above[place] | 1 << place) & self.left
        while wanted:
            free = (p for p in bits(wanted) if not self.links.before[p] & wanted)
            now = min(free, key=self._turn)
            wanted ^= 1 << now
            self._make(now, why)

    def _turn(self, place: int) -> tuple[int, int]:
        """Waits end before anything is opened for the step, and stale work comes last."""
        bit = 1 << place
        return (0 if bit & self.waits else 2 if bit & self.stale else 1), place

    def _why(self, place: int) -> str:
        served = (p for p in self.steps if (self.above[p] | 1 << p) & self.left & 1 << place)
        return next((self.moves[p].task for p in served if self.left >> p & 1), "")

    def _make(self, place: int, why: str) -> None:
        move = self.moves[place]
        wait_ends = self._ends(place) if self.waits >> place & 1 else 0.0
        self.minute = max(self.minute + self._minutes(place), wait_ends)
        self.ended[place] = self.minute
        self.left ^= 1 << place
        self.done.append(move if move.kind == "step" else replace(move, why=why))
