"""Every rule is used by some job of a documented pool, and every question changes some plan."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.shop.influence import changes_something
from planner.shop.jobs import Maker

from .pool import POOL
from .vans import moments, plan_of

KINDS = ("steps", "findings", "hazards", "materials", "tools", "invariants")


@pytest.fixture(scope="module")
def plans(base: RuleBase) -> list[Plan]:
    """Return the plans of the whole pool."""
    return [plan_of(demo, base, **changes) for _, demo, changes in POOL]


@pytest.fixture(scope="module")
def used(plans: list[Plan], base: RuleBase) -> set[str]:
    """Return every rule that some plan of the pool uses."""
    return {name for plan in plans for name in _used(plan, base)}


@pytest.fixture(scope="module")
def maker(base: RuleBase) -> Maker:
    """Return what makes up jobs, with what it has worked out kept."""
    return Maker(base)


def _used(plan: Plan, base: RuleBase) -> Iterator[str]:
    yield from (f"steps/{name}" for name in plan.texts)
    for kind in ("findings", "hazards", "materials", "tools"):
        yield from (f"{kind}/{one.id}" for one in getattr(plan, kind))
    yield from (f"decisions/{one.id}: {one.chosen}" for one in plan.decisions)
    done = moments(plan)
    for one in done:
        for state in (one.before, one.after):
            yield from (f"states/{name}: {value}" for name, value in state.items())
    acts = {(act.does, act.of) for one in done for act in one.task.acts}
    for rule in base.invariants.values():
        never = rule.never
        if not never.does or any(does == never.does and never.of in ("", of) for does, of in acts):
            yield f"invariants/{rule.id}"


@pytest.mark.parametrize("kind", KINDS)
def test_every_rule_is_used_by_some_job(kind: str, used: set[str], base: RuleBase) -> None:
    """A rule that no job of the pool uses is either missing its job or can never apply."""
    idle = [name for name in getattr(base, kind) if f"{kind}/{name}" not in used]
    assert not idle


def test_every_option_is_chosen_by_some_job(used: set[str], base: RuleBase) -> None:
    """An option that is never chosen is no option."""
    options = [
        f"decisions/{name}: {option.id}"
        for name, rule in base.decisions.items()
        for option in rule.options
    ]
    assert not set(options) - used


def test_every_state_is_reached_by_some_job(used: set[str], base: RuleBase) -> None:
    """A value that nothing reaches is one that nobody needs."""
    values = [
        f"states/{name}: {value}" for name, rule in base.states.items() for value in rule.values
    ]
    assert not set(values) - used


def test_the_pool_holds_work_that_may_start_and_work_that_may_not(plans: list[Plan]) -> None:
    """A pool of stops alone would hide rules of the ordinary job."""
    states = [plan.verdict.state for plan in plans]
    assert states.count("no_stop_found") >= len(POOL) / 3
    assert states.count("do_not_start") >= len(POOL) / 4


@pytest.mark.parametrize("fact", sorted(built_in().questions))
def test_every_question_changes_some_plan(fact: str, maker: Maker) -> None:
    """No question is asked for nothing: answers far apart give plans that differ."""
    assert changes_something(fact, maker)
