"""Small random jobs, made from a walk that is known to work, and an exhaustive search for them.

An enabling task that changes two states changes none that time changes too: the planner waits
only where a need asks for it, never to spare half a change, and so might pay more there.
"""

from __future__ import annotations

import heapq
import random
from collections.abc import Iterator, Mapping, Sequence
from itertools import count

from msgspec.structs import replace

from planner.plan.model import Clock, Move, Task, Variable

WAIT_COST_PER_H = 0.001

State = tuple[tuple[str, str], ...]


def dice(seed: int) -> random.Random:
    """Return a generator that throws the same for the same seed."""
    return random.Random(seed)  # noqa: S311 - nothing secret here


def random_variables(rng: random.Random, number: int) -> dict[str, Variable]:
    """Return variables of two or three values, some of which time changes."""
    variables = {}
    for index in range(number):
        values = tuple("abc"[: rng.choice((2, 2, 3))])
        clocks: tuple[Clock, ...] = ()
        if rng.random() < 0.4:
            hours = float(rng.choice((1, 2, 24)))
            clocks = (Clock(values[0], values[1], hours, waits=rng.random() < 0.7),)
        nights = frozenset(values[: rng.choice((1, 2))]) if rng.random() < 0.3 else None
        cost = float(rng.choice((0, 1, 2, 5)))
        name = f"v{index}"
        variables[name] = Variable(name, values, rng.choice(values), cost, clocks, nights)
    return variables


def _some(rng: random.Random, variable: Variable, must: str) -> frozenset[str]:
    return frozenset({must, *(v for v in variable.values if rng.random() < 0.25)})


def _enabling(rng: random.Random, variables: Mapping[str, Variable], index: int) -> Task:
    name, other = rng.sample(sorted(variables), 2)
    leaves = {name: rng.choice(variables[name].values)}
    if rng.random() < 0.2 and not variables[other].clocks and not variables[name].clocks:
        leaves[other] = rng.choice(variables[other].values)
    needs = {}
    if rng.random() < 0.5:
        needs[other] = _some(rng, variables[other], rng.choice(variables[other].values))
    minutes = float(rng.randint(1, 20))
    return Task(f"e{index}", 0, index, needs=needs, leaves=leaves, minutes=minutes, enabling=True)


def walk_job(
    rng: random.Random, *, steps: int, states: int, enabling: int
) -> tuple[dict[str, Task], dict[str, Variable]]:
    """Return a job that has at least one order: the one in which its steps were made up."""
    variables = random_variables(rng, states)
    changes = [_enabling(rng, variables, index) for index in range(enabling)]
    state = {name: variable.initial for name, variable in variables.items()}
    tasks: list[Task] = []
    for index in range(steps):
        for _ in range(rng.randint(0, 3)):
            _wander(rng, state, changes, variables)
        task = _step(rng, index, state, variables, tasks)
        state.update(task.leaves)
        tasks.append(task)
    return {task.id: task for task in [*tasks, *changes]}, variables


def _wander(
    rng: random.Random,
    state: dict[str, str],
    changes: Sequence[Task],
    variables: Mapping[str, Variable],
) -> None:
    nexts = [dict(left) for _, left, _ in _background(state, changes, variables)]
    if nexts:
        state.update(rng.choice(nexts))


def _step(
    rng: random.Random,
    index: int,
    state: Mapping[str, str],
    variables: Mapping[str, Variable],
    tasks: Sequence[Task],
) -> Task:
    needed = [name for name in variables if rng.random() < 0.5]
    left = [name for name in variables if rng.random() < 0.2]
    return Task(
        id=f"s{index}",
        phase=rng.randint(0, 3),
        rank=rng.randint(0, 5),
        after=frozenset(task.id for task in tasks if rng.random() < 0.25),
        needs={name: _some(rng, variables[name], state[name]) for name in needed},
        leaves={name: rng.choice(variables[name].values) for name in left},
        minutes=float(rng.randint(0, 90)),
    )


def spoilt(tasks: Mapping[str, Task], rng: random.Random) -> dict[str, Task]:
    """Return the job with one need of one step made stricter: it may have no order left."""
    with_needs = sorted(name for name, task in tasks.items() if task.needs)
    if not with_needs:
        return dict(tasks)
    task = tasks[rng.choice(with_needs)]
    name = rng.choice(sorted(task.needs))
    return {**tasks, task.id: replace(task, needs={**task.needs, name: frozenset({"b"})})}


def _meets(task: Task, state: Mapping[str, str]) -> bool:
    return all(state[name] in allowed for name, allowed in task.needs.items())


def _background(
    state: Mapping[str, str], changes: Sequence[Task], variables: Mapping[str, Variable]
) -> Iterator[tuple[Task | None, Mapping[str, str], float]]:
    """Yield every change by an enabling task and every wait, with what it leaves and costs."""
    for change in changes:
        if _meets(change, state):
            left = change.leaves
            cost = sum(variables[v].cost for v, value in left.items() if state[v] != value)
            yield change, left, cost
    for name, variable in variables.items():
        for clock in variable.clocks:
            if clock.waits and state[name] == clock.value:
                yield None, {name: clock.becomes}, clock.hours * WAIT_COST_PER_H


def least_cost(tasks: Mapping[str, Task], variables: Mapping[str, Variable]) -> float | None:
    """Return the least cost of any order, by trying everything; None if there is no order.

    Plain uniform-cost search (Dijkstra 1959) over every step, change and wait, with no rule that
    leaves anything out.
    """
    steps = [task for task in tasks.values() if not task.enabling]
    changes = [task for task in tasks.values() if task.enabling]
    start = frozenset[str](), tuple(sorted((v.id, v.initial) for v in variables.values()))
    number = count()
    queue: list[tuple[float, int, tuple[frozenset[str], State]]] = [(0.0, next(number), start)]
    closed = set()
    while queue:
        cost, _, (done, at) = heapq.heappop(queue)
        if (done, at) in closed:
            continue
        closed.add((done, at))
        if len(done) == len(steps):
            return cost
        state = dict(at)
        for step in steps:
            if step.id not in done and step.after <= done and _meets(step, state):
                after = tuple(sorted({**state, **step.leaves}.items()))
                heapq.heappush(queue, (cost, next(number), (done | {step.id}, after)))
        for _, left, more in _background(state, changes, variables):
            after = tuple(sorted({**state, **left}.items()))
            heapq.heappush(queue, (cost + more, next(number), (done, after)))
    return None


def cost_of(
    moves: Sequence[Move], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> float:
    """Return what an order costs."""
    state = {name: variable.initial for name, variable in variables.items()}
    cost = 0.0
    for move in moves:
        if move.kind == "wait":
            name, _, value = move.task.rpartition(":")
            clocks = [c for c in variables[name].clocks if c.value == state[name] and c.waits]
            cost += min(clock.hours for clock in clocks) * WAIT_COST_PER_H
            state[name] = value
            continue
        left = tasks[move.task].leaves
        if move.kind == "enabling":
            cost += sum(variables[v].cost for v, value in left.items() if state[v] != value)
        state.update(left)
    return cost
