"""The critical path.

Outside reference: general-purpose library networkx 3 for longest paths.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import networkx as nx
import pytest

from planner.plan.critical import critical, earliest_ends, minutes_of
from planner.plan.links import START, links
from planner.plan.model import Move, Task, Variable
from planner.plan.order import arrange

from .randomjobs import dice, walk_job


def _network(
    moves: Sequence[Move], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> nx.DiGraph:
    """Activity on arrow: each edge carries the time from one move's end to the next one's."""
    found = links(moves, tasks, variables)
    graph = nx.DiGraph()
    for place, move in enumerate(moves):
        minutes = 0.0 if move.kind == "wait" else tasks[move.task].minutes
        graph.add_edge("start", place, weight=minutes)
        graph.add_edge(place, "end", weight=0.0)
        for before in range(place):
            if found.before[place] >> before & 1:
                graph.add_edge(before, place, weight=minutes)
    for place, clock in found.clocks.items():
        begun = "start" if clock.by == START else clock.by
        graph.add_edge(begun, place, weight=clock.hours * 60)
    return graph


def _longest_from(graph: nx.DiGraph, node: object) -> dict[object, float]:
    turned = nx.DiGraph()
    turned.add_weighted_edges_from((a, b, -w) for a, b, w in graph.edges(data="weight"))
    lengths = nx.single_source_bellman_ford_path_length(turned, node)
    return {to: -length for to, length in lengths.items()}


def test_critical_path_by_networkx() -> None:
    """1,000 random jobs: length of the longest path, earliest ends, and who lies on it.

    Source: general-purpose library networkx 3, ``dag_longest_path_length`` and Bellman-Ford.
    """
    for seed in range(1000):
        rng = dice(seed)
        tasks, variables = walk_job(rng, steps=rng.randint(1, 9), states=3, enabling=3)
        moves = arrange(tasks, variables)
        graph = _network(moves, tasks, variables)
        length = nx.dag_longest_path_length(graph)
        ends = earliest_ends(links(moves, tasks, variables), minutes_of(moves, tasks))
        assert max(ends) == pytest.approx(length)
        before, after = _longest_from(graph, "start"), _longest_from(graph.reverse(), "end")
        assert list(ends) == pytest.approx([before[place] for place in range(len(moves))])
        on_it = [before[p] + after[p] == pytest.approx(length) for p in range(len(moves))]
        found = links(moves, tasks, variables)
        assert list(critical(found, minutes_of(moves, tasks))) == on_it, f"seed {seed}"
