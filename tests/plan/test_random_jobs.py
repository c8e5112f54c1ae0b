"""Plans of random jobs by seed: their order, states and critical path, checked from outside.

Outside reference: general-purpose library networkx 3. A sample runs each time; with
``LIDWORK_FULL=1`` in the environment 2,000 jobs are planned.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import networkx as nx
import pytest

from planner.errors import LidworkError
from planner.job.file import Job
from planner.plan.critical import earliest_ends, minutes_of
from planner.plan.links import links
from planner.plan.make import make_plan
from planner.plan.model import Move, Plan
from planner.rulebase.base import RuleBase
from planner.shop.jobs import Maker

JOBS = 2000 if os.environ.get("LIDWORK_FULL") == "1" else 150
BLOCK = 25


@pytest.fixture(scope="module")
def maker(base: RuleBase) -> Maker:
    """Return what makes up jobs, with what it has worked out kept."""
    return Maker(base)


def plans(maker: Maker, seeds: range) -> Iterator[tuple[int, Plan]]:
    """Yield the plans of random jobs; an answer that is refused gives none.

    Three of four are demo jobs with a few answers made otherwise, the fourth is drawn at random.
    """
    for seed in seeds:
        job = maker.scattered(seed, {}) if seed % 4 == 0 else maker.near(seed, {})
        try:
            plan = make_plan(Job("random", job), maker.base, memo=maker.memo)
        except LidworkError as error:
            if "order of work" in str(error):
                raise
            continue
        yield seed, plan


def moves_of(plan: Plan) -> list[Move]:
    """Return the moves of the order, without brackets and broken parts."""
    return [s.move for s in plan.timetable if s.move.kind != "bracket" and not s.move.more]


def network(plan: Plan) -> nx.DiGraph:
    """Return what must come before what, as this test sees it, with the minutes in between.

    ``after``; whoever last changed a state before whoever reads or changes it; every reader before
    the next change; and the hours of a clock from the move that started it to the wait for it.
    """
    graph = nx.DiGraph()
    state: dict[str, Any] = {one.id: (one.initial, "start") for one in plan.variables}
    readers: dict[str, list[object]] = {name: [] for name in state}
    done: dict[str, object] = {}
    for place, move in enumerate(moves_of(plan)):
        if move.kind == "wait":
            leaves = _wait(graph, plan, place, move, state)
        else:
            task = plan.tasks[move.task]
            before = [done[name] for name in task.after & done.keys()]
            before += [state[name][1] for name in task.needs]
            before += [one for name in task.leaves for one in (*readers[name], state[name][1])]
            for one in ("start", *before):
                _link(graph, one, place, task.minutes)
            for name in task.needs:
                readers[name].append(place)
            leaves, done[task.id] = dict(task.leaves), place
        for name, value in leaves.items():
            state[name], readers[name] = (value, place), []
    return graph


def _wait(
    graph: nx.DiGraph, plan: Plan, place: int, move: Move, state: dict[str, Any]
) -> dict[str, str]:
    """Link a wait to what started its clock; return what it leaves."""
    name, _, value = move.task.rpartition(":")
    now, by = state[name]
    clocks = next(one for one in plan.variables if one.id == name).clocks
    hours = min(clock.hours for clock in clocks if clock.value == now and clock.waits)
    _link(graph, by, place, hours * 60)
    return {name: value}


def _link(graph: nx.DiGraph, before: object, after: object, minutes: float) -> None:
    """Add an edge; the longest of several between the same two counts."""
    if before != after:
        known = graph.get_edge_data(before, after, {"weight": 0.0})
        graph.add_edge(before, after, weight=max(minutes, known["weight"]))


def unmet(plan: Plan) -> Iterator[str]:
    """Yield every need that does not hold when its move begins, by a replay of this test's own."""
    state = {variable.id: variable.initial for variable in plan.variables}
    for move in moves_of(plan):
        if move.kind == "wait":
            name, _, value = move.task.rpartition(":")
            state[name] = value
            continue
        task = plan.tasks[move.task]
        for name, allowed in task.needs.items():
            if state[name] not in allowed and not _lapsed(plan, name, state[name], allowed):
                yield f"{task.id}: {name} is {state[name]}, not {sorted(allowed)}"
        state.update(task.leaves)


def _lapsed(plan: Plan, name: str, value: str, allowed: frozenset[str]) -> bool:
    """Return whether time alone turns a value into one that is allowed, without a wait."""
    variable = next(one for one in plan.variables if one.id == name)
    return any(c.value == value and c.becomes in allowed and not c.waits for c in variable.clocks)


@pytest.mark.parametrize("block", range(0, JOBS, BLOCK))
def test_plans_of_random_jobs(block: int, maker: Maker) -> None:
    """Every order is topological, every need is met, and no job is shorter than its critical path.

    Source: networkx, ``is_directed_acyclic_graph`` and ``dag_longest_path_length``.
    """
    seen = 0
    for seed, plan in plans(maker, range(block, block + BLOCK)):
        seen += 1
        moves = moves_of(plan)
        graph = network(plan)
        assert nx.is_directed_acyclic_graph(graph), seed
        last = {move.task: place for place, move in enumerate(moves)}
        first = {move.task: place for place, move in reversed(list(enumerate(moves)))}
        for task in plan.tasks.values():
            for before in task.after & last.keys():
                assert last[before] < first.get(task.id, len(moves)), (seed, task.id, before)
        assert not list(unmet(plan)), seed
        variables = {variable.id: variable for variable in plan.variables}
        found, minutes = links(moves, plan.tasks, variables), minutes_of(moves, plan.tasks)
        shortest = max(earliest_ends(found, minutes))
        longest = nx.dag_longest_path_length(graph)
        lasts = plan.timetable[-1].end_min - plan.timetable[0].start_min
        assert shortest <= longest + 1e-6, seed
        assert longest <= lasts + 1e-6, seed
    assert seen >= BLOCK / 2
