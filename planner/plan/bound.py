"""The least that the changes of state still to come must cost: a bound that leads the search.

Each variable is looked at alone. Steps that follow one another by ``after`` and need different
values force changes; the dearest such chain counts. A value that some earlier or unordered step
may leave is taken as free, so the bound never exceeds the true cost, and a search led by it still
finds the cheapest order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.plan.encode import Job
from planner.plan.links import bits

_FAR = 10**15
"""Units that no order costs: the value cannot be had."""

_Costs = dict[int, dict[int, int]]
"""The least cost of getting from one value of a variable to another."""

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
    """Works out what the steps force for one variable."""

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
        costs: dict[int, dict[int, int]] = {}
        for index in self.needers:
            later = [cost for step, cost in costs.items() if self.job.below[index] & step]
            costs[1 << index] = self._from(index, later)
        return {
            value: sorted(
                ((cost[value], step) for step, cost in costs.items() if cost[value]), reverse=True
            )
            for value in self.values
        }

    def _from(self, index: int, later: Sequence[Mapping[int, int]]) -> dict[int, int]:
        """Return what a step and those after it force, from each value."""
        forbids = self.job.steps[index].forbids
        allowed = [value for value in self.values if not forbids & value]
        then = {value: max((cost[value] for cost in later), default=0) for value in allowed}
        costs = self._costs(self._free(index))
        return {
            value: min((costs[value][ok] + then[ok] for ok in allowed), default=_FAR)
            for value in self.values
        }

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
            into = {v: 0 if free & v else self.prices.get(v, _FAR) for v in self.values}
            costs = {x: {**into, x: 0} for x in self.values}
            for value, (becomes, units) in self.job.clocks.items():
                if value in costs:
                    costs[value][becomes] = min(costs[value][becomes], units)
            self.known[free] = _shortest(costs)
        return self.known[free]

    def _prices(self, variable: int) -> dict[int, int]:
        prices: dict[int, int] = {}
        for change in self.job.changes:
            for value, price in change.prices:
                if value & variable:
                    prices[value] = min(price, prices.get(value, _FAR))
        return prices


def _shortest(costs: _Costs) -> _Costs:
    for middle in costs:
        for x in costs:
            for y in costs:
                costs[x][y] = min(costs[x][y], costs[x][middle] + costs[middle][y])
    return costs
