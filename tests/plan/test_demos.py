"""What must be true of the finished order on every demo: the rules of the trade, read off a replay.

The replay here is the test's own, a dozen lines, so that it shares nothing with planner/plan/prove.
All of it is common practice, no source, unless a test names one.
"""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx
import pytest
from msgspec import Struct

from planner import paths
from planner.job.file import read_job
from planner.plan.make import make_plan
from planner.plan.model import Plan, Task
from planner.rulebase.base import RuleBase

DEMOS = [path.stem for path in sorted(paths.DEMOS.glob("*.yaml"))]


class Moment(Struct, frozen=True):
    """One task as it is done: the states before and after it, and when."""

    task: Task
    before: dict[str, str]
    after: dict[str, str]
    start_min: float

    def does(self, act: str, of: str = "") -> bool:
        """Return whether the task does an act, of something where that is given."""
        return any(one.does == act and of in ("", one.of) for one in self.task.acts)


def replay(plan: Plan) -> Iterator[Moment]:
    """Yield every task of the timetable with the states around it."""
    state = {variable.id: variable.initial for variable in plan.variables}
    for slot in plan.timetable:
        before = dict(state)
        if slot.move.kind == "wait":
            name, _, value = slot.move.task.partition(":")
            state[name] = value
            continue
        if slot.move.kind == "bracket" or slot.move.more:
            continue
        task = plan.tasks[slot.move.task]
        state.update(task.leaves)
        yield Moment(task, before, dict(state), slot.start_min)


@pytest.fixture(scope="module", params=DEMOS)
def plan(request: pytest.FixtureRequest, base: RuleBase) -> Plan:
    """Return the plan of one demo."""
    return make_plan(read_job(paths.DEMOS / f"{request.param}.yaml", base), base)


@pytest.fixture(scope="module")
def moments(plan: Plan) -> list[Moment]:
    """Return the replay of one demo."""
    return list(replay(plan))


def first(moments: list[Moment], act: str, of: str = "") -> int:
    """Return the place of the first task that does an act."""
    return next(place for place, one in enumerate(moments) if one.does(act, of))


def test_no_stop_is_found(plan: Plan) -> None:
    """A demo is a job that can be done."""
    assert plan.verdict.state == "no_stop_found", plan.verdict.why


def test_a_lifting_roof_is_propped_and_its_skirt_away_before_any_hole(
    moments: list[Moment],
) -> None:
    """Nobody drills a shell that is down, nor one with fabric under the bit."""
    for one in moments:
        if one.does("drills", "shell"):
            assert one.before["roof"] == "propped"
            assert one.before["fabric"] in ("none", "secured")
            assert one.before["shield"] == "fitted"


def test_no_loose_panel_rides_a_moving_roof(moments: list[Moment]) -> None:
    """Whenever the roof moves the panel is on the bench, or fixed."""
    for one in moments:
        if one.before["roof"] != one.after["roof"]:
            assert one.before["panel"] in ("bench", "fixed", "sound")


def test_the_panel_is_covered_whenever_leads_are_bare_or_handled(moments: list[Moment]) -> None:
    """Any module in light is live; only a shrouded end is metered uncovered."""
    for one in moments:
        if one.does("bares_lead") or one.does("joins_leads") or one.does("lands_pv"):
            assert one.before["cover"] == "on"


def test_battery_ends_are_made_with_the_fuse_out(moments: list[Moment]) -> None:
    """The solar fuse stays out of its holder while cable ends on the battery side are made."""
    ends = [one for one in moments if one.does("ends_battery")]
    assert ends
    assert {one.before["fuse"] for one in ends} == {"out"}


def test_the_battery_joins_the_controller_before_the_panel(moments: list[Moment]) -> None:
    """Controller makers: battery first, array last (makers' notices; from memory)."""
    fuse_in = next(p for p, one in enumerate(moments) if one.after["fuse"] == "in")
    landed = next(p for p, one in enumerate(moments) if one.after["pv"] == "landed")
    assert fuse_in < landed
    assert moments[landed].before["controller"] == "set"


def test_nothing_is_sealed_before_its_dry_fit(plan: Plan, moments: list[Moment]) -> None:
    """Panel and mounts lay dry on the roof before the first bead."""
    names = [one.task.id for one in moments]
    sealing = min(first(moments, act) for act in ("seals", "bonds") if _any(moments, act))
    assert names.index("dry-fit") < sealing
    if "dry-boltup" in plan.tasks:
        feet = [place for place, one in enumerate(moments) if one.does("seals", "feet")]
        assert names.index("dry-boltup") < min(feet)


def _any(moments: list[Moment], act: str) -> bool:
    return any(one.does(act) for one in moments)


def test_nothing_is_driven_before_its_cure(plan: Plan, moments: list[Moment]) -> None:
    """From the last bead to the first drive at least the hours that the cure asks for."""
    hours = plan.facts["cure.drive_h"].value
    laid = [one for one in moments if one.does("bonds") or one.does("seals", "feet")]
    drive = moments[first(moments, "drives")]
    assert drive.start_min - max(one.start_min for one in laid) >= hours * 60
    assert drive.before["roof"] in ("shut", "fixed")


def test_the_entry_is_proved_before_the_panel_hides_it(moments: list[Moment]) -> None:
    """A leak under a fixed panel costs the whole job again."""
    hiding = [one for one in moments if one.does("hides", "entry")]
    assert all(one.before["entry"] == "proved" for one in hiding)


def test_the_array_is_dead_while_water_runs_and_the_roof_moves(moments: list[Moment]) -> None:
    """Isolator open in the hose test and in the closing cycles."""
    for one in moments:
        if one.does("hoses") or (one.does("moves_roof") and one.before["loop"] != "tested"):
            assert one.before["isolator"] == "open"


def test_hold_points_are_about_a_dozen(plan: Plan) -> None:
    """Ten to fifteen: where a mistake becomes permanent or someone can be hurt."""
    assert 10 <= sum(plan.tasks[name].hold for name in plan.texts) <= 15


def test_every_after_link_is_kept(plan: Plan) -> None:
    """The order is a topological order of the `after` links (general-purpose library networkx)."""
    graph = nx.DiGraph()
    graph.add_nodes_from(plan.tasks)
    graph.add_edges_from((before, task.id) for task in plan.tasks.values() for before in task.after)
    assert nx.is_directed_acyclic_graph(graph)
    ends = {slot.move.task: number for number, slot in enumerate(plan.timetable)}
    for before, after in graph.edges:
        assert ends[before] < ends[after]


def test_the_roof_is_not_raised_more_often_than_the_work_asks(plan: Plan) -> None:
    """One spell from inside, one to look for leaks: not five."""
    raised = [s for s in plan.timetable if s.move.task in ("raise-bare", "raise-with-panel")]
    assert bool(raised) == plan.facts["roof.moves"].value
    assert len(raised) <= 2


def test_a_limit_is_the_figure_that_its_step_prints(plan: Plan, base: RuleBase) -> None:
    """Nobody reads 33 h in a step and 32.9 h on the test sheet, nor less than it takes."""
    looked_at = 0
    for name, text in plan.texts.items():
        for rule in base.steps[name].readings:
            reading = next((one for one in text.readings if one.id == rule.id), None)
            for end in ("low", "high"):
                fact, limit = getattr(rule, end), reading and getattr(reading, end)
                if isinstance(fact, str) and limit is not None:
                    looked_at += 1
                    printed = base.text(fact, plan.facts[fact].value, unit=False)
                    assert float(printed) == limit
                    if fact.endswith("_h"):
                        assert limit >= plan.facts[fact].value - 1e-6
    assert looked_at > 10
