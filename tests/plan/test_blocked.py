"""No order of work: rings of ``after`` and needs that nothing can meet are named, never guessed.

Outside reference: general-purpose library networkx 3 says whether there is a ring.
"""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import pytest
from msgspec.structs import replace

from planner.errors import CycleError, InputError
from planner.plan.model import Task, Variable
from planner.plan.order import arrange

from .randomjobs import dice

ROOF = Variable("roof", ("shut", "propped"), "shut", 8, nights=frozenset({"shut"}))
UP, DOWN = frozenset({"propped"}), frozenset({"shut"})
RAISE = Task("raise", needs={"roof": DOWN}, leaves={"roof": "propped"}, enabling=True)
LOWER = Task("lower", needs={"roof": UP}, leaves={"roof": "shut"}, enabling=True)


def _by_id(*tasks: Task) -> dict[str, Task]:
    return {task.id: task for task in tasks}


def _after_graph(tasks: dict[str, Task]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(tasks)
    graph.add_edges_from((before, task.id) for task in tasks.values() for before in task.after)
    return graph


def test_cycle_is_named_step_by_step() -> None:
    """The error names a ring of ``after`` links, each of them real; networkx agrees there is one.

    Source: general-purpose library networkx 3, ``is_directed_acyclic_graph``.
    """
    rings = 0
    for seed in range(300):
        rng = dice(seed)
        names = [f"s{index}" for index in range(6)]
        tasks = _by_id(
            *(
                Task(name, after=frozenset(x for x in names if x != name and rng.random() < 0.18))
                for name in names
            )
        )
        if nx.is_directed_acyclic_graph(_after_graph(tasks)):
            arrange(tasks, {})
            continue
        rings += 1
        with pytest.raises(CycleError) as caught:
            arrange(tasks, {})
        ring = caught.value.names
        assert ring[0] == ring[-1]
        assert all(later in tasks[step].after for step, later in pairwise(ring))
    assert 50 < rings < 250


def test_cycle_message() -> None:
    """The message reads as a sentence."""
    tasks = _by_id(
        Task("cut", after=frozenset({"seal"})),
        Task("fit", after=frozenset({"cut"})),
        Task("seal", after=frozenset({"fit"})),
    )
    with pytest.raises(CycleError) as caught:
        arrange(tasks, {})
    assert str(caught.value) == (
        "Each of these steps must come after the next: cut -> seal -> fit -> cut"
    )


def test_a_need_that_nothing_can_meet_is_named() -> None:
    """No task lowers the roof, so what needs it shut after a raise cannot be done."""
    propped = replace(ROOF, initial="propped")
    tasks = _by_id(RAISE, Task("hose", needs={"roof": DOWN}))
    with pytest.raises(InputError) as caught:
        arrange(tasks, {"roof": propped})
    assert str(caught.value) == (
        "order of work: 'hose' needs roof to be 'shut', and nothing leaves that.\n"
        "  Add a task that leaves it, or correct the need."
    )


def test_tasks_that_wait_for_each_other_are_named() -> None:
    """Each needs what only the other leaves."""
    lid, box = Variable("lid", ("on", "off"), "on"), Variable("box", ("shut", "open"), "shut")
    tasks = _by_id(
        Task("lift", needs={"box": frozenset({"open"})}, leaves={"lid": "off"}),
        Task("open", needs={"lid": frozenset({"off"})}, leaves={"box": "open"}),
    )
    with pytest.raises(InputError) as caught:
        arrange(tasks, {"lid": lid, "box": box})
    assert str(caught.value) == (
        "order of work: These tasks wait for each other: "
        "'lift' needs box to be 'open', which 'open' leaves; "
        "'open' needs lid to be 'off', which 'lift' leaves.\n"
        "  Let one of them need less, or add a task that leaves what it needs."
    )


def test_a_state_spoilt_for_good_is_named() -> None:
    """Both steps can be done, but not one after the other: each spoils what the other needs."""
    skin = Variable("skin", ("whole", "cut", "painted"), "whole")
    tasks = _by_id(
        Task("cut", needs={"skin": frozenset({"whole"})}, leaves={"skin": "cut"}),
        Task("paint", needs={"skin": frozenset({"whole"})}, leaves={"skin": "painted"}),
    )
    with pytest.raises(InputError) as caught:
        arrange(tasks, {"skin": skin})
    assert str(caught.value) == (
        "order of work: No order exists: 1 of 2 steps can be done, and then these are stuck.\n"
        "  Look for a need that another step spoils for good, or for a task that cannot go back.\n"
        "order of work: 'paint' needs skin to be 'whole', and nothing leaves that; "
        "but then skin is 'cut'."
    )


@pytest.mark.parametrize(
    ("task", "message"),
    [
        (Task("a", after=frozenset({"bad"})), "a: comes after 'bad', which is no task.\n"),
        (Task("a", after=frozenset({"lower"})), "a: comes after 'lower', which is an enabling"),
        (Task("a", needs={"rof": DOWN}), "a: speaks of the state 'rof'.\n  Did you mean 'roof'?"),
        (Task("a", leaves={"roof": "gone"}), "a: leaves roof 'gone', which it cannot be.\n"),
    ],
)
def test_unknown_names_are_refused(task: Task, message: str) -> None:
    """What a task speaks of must exist; the message says where and what it could be."""
    with pytest.raises(InputError) as caught:
        arrange(_by_id(task, RAISE, LOWER, Task("bat")), {"roof": ROOF})
    assert str(caught.value).startswith(message)
