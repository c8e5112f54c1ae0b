"""Jobs for tests: a demo job with some answers made otherwise, and what its plan does in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from msgspec import Struct

from planner import paths
from planner.job.file import Job, read_job
from planner.plan.make import make_plan
from planner.plan.memo import Memo
from planner.plan.model import Plan, Task
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.survey.flow import pointless

LIFTING, STEEL, FLEX = "lifting-grp", "high-roof-steel", "aluminium-lift-flex"
UNKNOWN = "unknown"
MEMO = Memo()


@cache
def demo(name: str) -> Mapping[str, Any]:
    """Return the answers of a demo job."""
    return dict(read_job(paths.DEMOS / f"{name}.yaml", built_in()).answers)


def answers(name: str, changes: Mapping[str, Any], base: RuleBase) -> dict[str, Any]:
    """Return the demo's answers with some made otherwise; what no longer matters is left out."""
    given = {**demo(name), **changes}
    given = {fact: value for fact, value in given.items() if value != UNKNOWN}
    while gone := pointless(base, given):
        for fact in gone:
            del given[fact]
    return given


def plan_of(name: str, base: RuleBase, /, **changes: Any) -> Plan:
    """Return the plan of a demo job with some answers made otherwise (``roof__material="grp"``)."""
    made = {fact.replace("__", "."): value for fact, value in changes.items()}
    return make_plan(Job(name, answers(name, made, base)), base, memo=MEMO)


class Moment(Struct, frozen=True):
    """One task as it is done: its place, the states before and after it, and when."""

    place: int
    task: Task
    before: Mapping[str, str]
    after: Mapping[str, str]
    start_min: float

    def does(self, act: str, of: str = "") -> bool:
        """Return whether the task does an act, of something where that is given."""
        return any(one.does == act and of in ("", one.of) for one in self.task.acts)


def moments(plan: Plan) -> list[Moment]:
    """Return every task of the timetable in order, with the states around it."""
    return list(_replay(plan))


def _replay(plan: Plan) -> Iterator[Moment]:
    state = {variable.id: variable.initial for variable in plan.variables}
    for place, slot in enumerate(plan.timetable):
        before = dict(state)
        if slot.move.kind == "wait":
            name, _, value = slot.move.task.partition(":")
            state[name] = value
        elif slot.move.kind != "bracket" and not slot.move.more:
            task = plan.tasks[slot.move.task]
            state.update(task.leaves)
            yield Moment(place, task, before, dict(state), slot.start_min)


def order(plan: Plan) -> list[str]:
    """Return the ids of the tasks in the order in which they end."""
    return [one.task.id for one in moments(plan)]


def in_order(plan: Plan, *names: str) -> bool:
    """Return whether these steps are all there and first come in this order."""
    done = order(plan)
    places = [done.index(name) for name in names if name in done]
    return len(places) == len(names) and places == sorted(places)


def words(plan: Plan, step: str) -> str:
    """Return the printed lines of one step as one text."""
    return " ".join(plan.texts[step].lines)


def said(plan: Plan, severity: str = "") -> set[str]:
    """Return the ids of what the plan says, of one severity where that is given."""
    return {one.id for one in plan.findings if severity in ("", one.severity)}


def chosen(plan: Plan, decision: str) -> str | None:
    """Return the chosen option of a decision; None where it does not apply or none is left."""
    return next((one.chosen for one in plan.decisions if one.id == decision), None)
