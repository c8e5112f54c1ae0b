"""The order of work: complete, valid, cheapest, natural.

Outside references: general-purpose library networkx 3 for ``after``; an exhaustive
uniform-cost search (Dijkstra 1959), written in ``randomjobs.py`` apart from the planner's own.
"""

from __future__ import annotations

import networkx as nx
import pytest
from msgspec.structs import replace

from planner.errors import InputError
from planner.plan.links import links
from planner.plan.model import Clock, Move, Task, Variable
from planner.plan.order import arrange
from planner.plan.prove import prove

from .randomjobs import cost_of, dice, least_cost, spoilt, walk_job
from .roofjob import loosened, roof_job, some_flags


def _places(moves: tuple[Move, ...]) -> dict[str, int]:
    return {move.task: place for place, move in enumerate(moves) if move.kind == "step"}


def _after_graph(tasks: dict[str, Task]) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(tasks)
    graph.add_edges_from((before, task.id) for task in tasks.values() for before in task.after)
    return graph


def test_order_is_topological_by_networkx() -> None:
    """2,000 small random jobs: each order keeps every ``after`` link, direct or passed on.

    Source: general-purpose library networkx 3, ``transitive_closure``.
    """
    for seed in range(2000):
        rng = dice(seed)
        tasks, variables = walk_job(rng, steps=rng.randint(1, 9), states=3, enabling=3)
        places = _places(arrange(tasks, variables))
        assert set(places) == {task.id for task in tasks.values() if not task.enabling}
        for before, after in nx.transitive_closure(_after_graph(tasks)).edges:
            assert places[before] < places[after], f"seed {seed}: {before} {after}"


def test_every_order_is_proved() -> None:
    """1,500 random jobs of up to 14 steps pass the separate proof."""
    for seed in range(1500):
        rng = dice(10_000 + seed)
        tasks, variables = walk_job(
            rng, steps=rng.randint(1, 14), states=rng.randint(2, 5), enabling=rng.randint(0, 6)
        )
        assert prove(arrange(tasks, variables), tasks, variables, {}) == (), f"seed {seed}"


def test_no_order_is_cheaper() -> None:
    """An exhaustive search of 1,000 random jobs finds the same least cost.

    Tolerance: costs are counted in millionths, and a change that costs nothing counts as one.
    """
    for seed in range(1000):
        rng = dice(20_000 + seed)
        tasks, variables = walk_job(rng, steps=rng.randint(2, 7), states=4, enabling=5)
        cost = cost_of(arrange(tasks, variables), tasks, variables)
        assert cost == pytest.approx(least_cost(tasks, variables), abs=1e-4), f"seed {seed}"


def test_an_order_is_found_whenever_there_is_one() -> None:
    """1,000 random jobs, one need made stricter: refused just where trying everything fails."""
    refused = 0
    for seed in range(1000):
        rng = dice(30_000 + seed)
        tasks, variables = walk_job(rng, steps=rng.randint(2, 6), states=3, enabling=2)
        tasks = spoilt(tasks, rng)
        least = least_cost(tasks, variables)
        if least is None:
            refused += 1
            with pytest.raises(InputError):
                arrange(tasks, variables)
        else:
            cost = cost_of(arrange(tasks, variables), tasks, variables)
            assert cost == pytest.approx(least, abs=1e-4), f"seed {seed}"
    assert 50 < refused < 950


def test_roof_jobs_are_ordered_and_proved() -> None:
    """Whole jobs, every mount, lifting and fixed roofs, half of them with some links left out."""
    for seed in range(40):
        rng = dice(40_000 + seed)
        job = roof_job(some_flags(rng))
        if seed % 2:
            job = loosened(job, rng, 0.15)
        moves = arrange(job.tasks, job.variables)
        assert prove(moves, job.tasks, job.variables, job.invariants) == (), f"seed {seed}"


def test_shuffled_input_gives_the_same_order() -> None:
    """Neither the order of tasks nor of variables matters."""
    job = roof_job("BRLNT")
    expected = arrange(job.tasks, job.variables)
    for seed in range(10):
        rng = dice(seed)
        tasks, variables = list(job.tasks.items()), list(job.variables.items())
        rng.shuffle(tasks)
        rng.shuffle(variables)
        assert arrange(dict(tasks), dict(variables)) == expected


def test_links_allow_only_orders_that_work() -> None:
    """Any order that keeps the links of a proved order is proved as well.

    Source: general-purpose library networkx 3 holds the graph; a random ready move goes next.
    """
    for seed in range(300):
        rng = dice(50_000 + seed)
        tasks, variables = walk_job(rng, steps=10, states=4, enabling=5)
        moves = arrange(tasks, variables)
        graph = nx.DiGraph()
        graph.add_nodes_from(range(len(moves)))
        for place, before in enumerate(links(moves, tasks, variables).before):
            graph.add_edges_from((b, place) for b in range(len(moves)) if before >> b & 1)
        shuffled = []
        while graph:
            place = rng.choice(sorted(node for node, degree in graph.in_degree if not degree))
            graph.remove_node(place)
            shuffled.append(moves[place])
        assert prove(shuffled, tasks, variables, {}) == (), f"seed {seed}"


ROOF = Variable("roof", ("shut", "propped"), "shut", 8, nights=frozenset({"shut"}))
UP, DOWN = frozenset({"propped"}), frozenset({"shut"})
RAISE = Task("raise", needs={"roof": DOWN}, leaves={"roof": "propped"}, enabling=True)
LOWER = Task("lower", needs={"roof": UP}, leaves={"roof": "shut"}, enabling=True)


def _by_id(*tasks: Task) -> dict[str, Task]:
    return {task.id: task for task in tasks}


def _names(moves: tuple[Move, ...]) -> list[str]:
    return [move.task for move in moves]


def test_one_spell_serves_all_that_need_it() -> None:
    """Steps that need the roof up share one raise, whatever their phase; then it is shut again."""
    tasks = _by_id(
        RAISE,
        LOWER,
        Task("drill", 1, needs={"roof": UP}),
        Task("wash", 2, needs={"roof": DOWN}),
        Task("wire", 3, needs={"roof": UP}),
        Task("drive", 4, after=frozenset({"drill", "wire"}), needs={"roof": DOWN}),
    )
    moves = arrange(tasks, {"roof": ROOF})
    assert _names(moves) == ["wash", "raise", "drill", "wire", "lower", "drive"]
    assert next(move.why for move in moves if move.kind == "enabling") == "drill"


def test_two_spells_where_the_links_ask_for_them() -> None:
    """What must be shut between two spells costs a second one."""
    tasks = _by_id(
        RAISE,
        LOWER,
        Task("drill", 1, needs={"roof": UP}),
        Task("hose", 2, after=frozenset({"drill"}), needs={"roof": DOWN}),
        Task("look", 3, after=frozenset({"hose"}), needs={"roof": UP}),
        Task("drive", 4, after=frozenset({"look"}), needs={"roof": DOWN}),
    )
    assert _names(arrange(tasks, {"roof": ROOF})) == [
        *("raise", "drill", "lower", "hose", "raise", "look", "lower", "drive"),
    ]


BED = Variable(
    "bed",
    ("none", "wet", "skinned", "cured"),
    "none",
    clocks=(Clock("wet", "skinned", 2), Clock("skinned", "cured", 22)),
)


def test_a_wait_ends_as_late_as_possible() -> None:
    """Other work, of a later phase too, goes on while a bead cures."""
    tasks = _by_id(
        Task("bead", 1, leaves={"bed": "wet"}, minutes=10),
        Task("hose", 2, after=frozenset({"bead"}), needs={"bed": frozenset({"cured"})}, minutes=30),
        Task("wire", 3, minutes=60),
        Task("label", 4, minutes=5),
    )
    moves = arrange(tasks, {"bed": BED})
    assert _names(moves) == ["bead", "wire", "label", "bed:skinned", "bed:cured", "hose"]
    assert [move.kind for move in moves[3:5]] == ["wait", "wait"]
    assert [move.why for move in moves[3:5]] == ["hose", "hose"]


LAPSE = Clock("primed", "bare", 4, waits=False)
FOOT = Variable("foot", ("bare", "primed"), "bare", clocks=(LAPSE,))
PRIMED = frozenset({"primed"})


def test_work_that_goes_stale_stands_just_before_its_readers() -> None:
    """A primer that lasts four hours is not laid before the other work of its phase."""
    tasks = _by_id(
        Task("prime", 1, 0, leaves={"foot": "primed"}, minutes=30),
        Task("measure", 1, 1, minutes=60),
        Task("cut", 1, 2, minutes=60),
        Task("bond", 2, 0, needs={"foot": PRIMED}, minutes=30),
    )
    assert _names(arrange(tasks, {"foot": FOOT})) == ["measure", "cut", "prime", "bond"]


def test_what_goes_stale_is_used_before_other_work_is_begun() -> None:
    """Both bonds follow the primer, though a label of lower rank is ready between them."""
    tasks = _by_id(
        Task("prime", 1, 0, leaves={"foot": "primed"}, minutes=30),
        Task("bond", 2, 0, needs={"foot": PRIMED}, minutes=30),
        Task("label", 2, 1, minutes=30),
        Task("bond-again", 2, 5, after=frozenset({"bond"}), needs={"foot": PRIMED}, minutes=30),
    )
    assert _names(arrange(tasks, {"foot": FOOT})) == ["prime", "bond", "bond-again", "label"]


def test_waits_end_before_the_roof_goes_up_and_primer_goes_on_last() -> None:
    """Nobody waits a day under a raised roof, or lets a primer lapse while the roof is raised."""
    tasks = _by_id(
        RAISE,
        Task("prime", 1, 0, leaves={"foot": "primed"}),
        Task("bead", 1, 1, leaves={"bed": "wet"}),
        Task(
            "fit",
            2,
            after=frozenset({"bead"}),
            needs={"roof": UP, "bed": frozenset({"cured"}), "foot": PRIMED},
        ),
    )
    names = _names(arrange(tasks, {"roof": ROOF, "bed": BED, "foot": FOOT}))
    assert names == ["bead", "bed:skinned", "bed:cured", "raise", "prime", "fit"]


def test_a_spell_is_filled_only_as_long_as_its_wait_lasts() -> None:
    """With the roof up and a bead wet for 2 h, an hour of other work goes in and no more."""
    tasks = _by_id(
        replace(RAISE, minutes=10),
        replace(LOWER, minutes=10, needs={"roof": UP, "bed": frozenset({"skinned", "cured"})}),
        Task("bead", 1, needs={"roof": UP}, leaves={"bed": "wet"}, minutes=10),
        Task("drive", 2, after=frozenset({"bead"}), needs={"roof": DOWN}),
        Task("wire", 3, 0, minutes=60),
        Task("crimp", 3, 1, minutes=90),
        Task("label", 3, 2, minutes=30),
    )
    names = _names(arrange(tasks, {"bed": BED, "roof": ROOF}))
    assert names[names.index("bead") :] == [
        *("bead", "wire", "label", "bed:skinned", "lower", "drive", "crimp"),
    ]


def test_nothing_to_do_is_an_empty_order() -> None:
    """A job without steps needs no moves, whatever could be changed."""
    assert arrange(_by_id(RAISE, LOWER), {"roof": ROOF}) == ()
