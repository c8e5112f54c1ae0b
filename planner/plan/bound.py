"""The least that the changes of state still to come must cost: a bound that leads the search.

Each variable is looked at alone. Steps that follow one another by ``after`` and need different
values force changes; the dearest such chain counts. A value that some earlier or unordered step
may leave is taken as free, so the bound never exceeds the true cost, and a search led by it still
finds the cheapest order.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from planner.plan.encode import Job
from planner.plan.links import bits

_FAR = 10**15
"""Units that no order costs: the value cannot be had."""

_Costs = tuple[tuple[int, ...], ...]
"""The least cost of getting from one value of a variable (the row) to another (the column)."""

_Forced = dict[int, list[tuple[int, int]]]
"""For each value, what each step still forces from there, dearest first, with the step's bit."""


class Bound:
    """The bound for one job; ``of`` gives it for a state."""

    def __init__(self, job: Job) -> None:
        self.parts = []
        for variable in job.values:
            forced = _Variable(job, variable).forced()
            if any(forced.values()):
                self.parts.append((variable, forced))

    def of(self, waiting: int, state: int) -> int:
        """Return the least cost of what the steps still waiting force."""
        total = 0
        for variable, forced in self.parts:
            for cost, step in forced[state & variable]:
                if waiting & step:
                    total += cost
                    break
        return total


class _Variable:
    """Works out what the steps force for one variable; its values go by their place in it."""

    def __init__(self, job: Job, variable: int) -> None:
        self.job = job
        self.values = [1 << place for place in bits(variable)]
        self.needers = [i for i, step in enumerate(job.steps) if step.forbids & variable]
        self.needers.sort(key=lambda index: job.below[index].bit_count())
        puts = ((step.put & variable, 1 << i) for i, step in enumerate(job.steps))
        self.writers = [(value, step) for value, step in puts if value]
        self.prices = self._prices(variable)
        self.known: dict[int, _Costs] = {}

    def forced(self) -> _Forced:
        costs: dict[int, list[int]] = {}
        for index in self.needers:
            below, free = self.job.below[index], self._free(index)
            later = [cost for step, cost in costs.items() if below & step]
            if not later and free & ~self.job.steps[index].forbids:
                continue  # some value that it can use costs nothing
            forces = self._from(index, free, later)
            if any(forces):
                costs[1 << index] = forces
        return {
            value: sorted(
                ((cost[place], step) for step, cost in costs.items() if cost[place]), reverse=True
            )
            for place, value in enumerate(self.values)
        }

    def _from(self, index: int, free: int, later: Sequence[Sequence[int]]) -> list[int]:
        """Return what a step and those after it force, from each value."""
        forbids = self.job.steps[index].forbids
        allowed = [place for place, value in enumerate(self.values) if not forbids & value]
        if not allowed:
            return [_FAR] * len(self.values)
        costs = self._costs(free)
        if not later:
            return [min([row[ok] for ok in allowed]) for row in costs]
        then = list(map(max, zip(*later, strict=True)))
        return [min([row[ok] + then[ok] for ok in allowed]) for row in costs]

    def _free(self, index: int) -> int:
        """Return the values that some step leaves that may come before this one."""
        too_late = self.job.below[index] | 1 << index
        free = 0
        for value, step in self.writers:
            if not step & too_late:
                free |= value
        return free

    def _costs(self, free: int) -> _Costs:
        if free not in self.known:
            into = [0 if free & v else self.prices.get(v, _FAR) for v in self.values]
            costs = [[*into] for _ in self.values]
            for place, value in enumerate(self.values):
                costs[place][place] = 0
                becomes, units = self.job.clocks.get(value, (value, 0))
                turned = self.values.index(becomes)
                costs[place][turned] = min(costs[place][turned], units)
            self.known[free] = _shortest(tuple(map(tuple, costs)))
        return self.known[free]

    def _prices(self, variable: int) -> dict[int, int]:
        prices: dict[int, int] = {}
        for change in self.job.changes:
            for value, price in change.prices:
                if value & variable:
                    prices[value] = min(price, prices.get(value, _FAR))
        return prices


@lru_cache(maxsize=2000)
def _shortest(direct: _Costs) -> _Costs:
    """Return the least costs by way of other values; variables of many jobs are alike."""
    costs = [list(row) for row in direct]
    for middle, onward in enumerate(costs):
        for row in costs:
            half = row[middle]
            row[:] = [min(cost, half + on) for cost, on in zip(row, onward, strict=True)]
    return tuple(map(tuple, costs))
