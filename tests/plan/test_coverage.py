"""Every rule is used by some job of a documented pool, and every question changes some plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from planner.errors import LidworkError
from planner.job.contradictions import contradictions
from planner.job.file import Job
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.rulebase.model import Question
from planner.rulebase.values import checked
from planner.survey.flow import mattering

from .pool import POOL
from .vans import LIFTING, MEMO, answers, demo, moments, plan_of

ROOT = Path(__file__).parents[2]
#: Answers that documents print and that decide nothing.
PRINTED = {"job.reference", "job.vehicle", "job.place_of_work", "job.paper", "job.units"}
#: Figures of a label agree only among themselves: an answer far off would be refused.
NEARBY = {"panel.imp_a", "panel.isc_a", "panel.vmp_v", "panel.voc_v", "panel.rated_w"}
#: Answers that tell only in figures that documents show; looked for there at once, to save time.
FIGURES = {"candidates", "lift.opening_mm", "wiring.panel_to_entry_m"}
#: Where to look first for a job in which an answer tells; it only saves time.
TELLS = {
    "candidates": "sheet bonded flat",
    "entry.box_height_mm": "short and overloaded",
    "lift.anchor_angle_deg": "loop worked out from its clamps",
    "lift.anchor_body_mm": "loop worked out from its clamps",
    "lift.anchor_shell_mm": "loop worked out from its clamps",
    "lift.opening_mm": "loop worked out from its clamps",
    "roof.rib_first_mm": "rails on wide flats",
    "sealant.isocyanate_percent": "holes beside an airbag",
    "sealant.reach_territory": "holes beside an airbag",
    "use.inverter_efficiency_percent": "a kettle on an inverter",
    "use.inverter_standby_w": "a kettle on an inverter",
    "use.place": "sun from a better source",
}
KINDS = ("steps", "findings", "hazards", "materials", "tools", "invariants")


@pytest.fixture(scope="module")
def plans(base: RuleBase) -> list[Plan]:
    """Return the plans of the whole pool."""
    return [plan_of(van, base, **changes) for _, van, changes in POOL]


@pytest.fixture(scope="module")
def used(plans: list[Plan], base: RuleBase) -> set[str]:
    """Return every rule that some plan of the pool uses."""
    return {name for plan in plans for name in _used(plan, base)}


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


@pytest.mark.parametrize(("name", "van", "changes"), POOL)
def test_the_jobs_of_the_pool_would_be_read(
    name: str, van: str, changes: dict[str, Any], base: RuleBase
) -> None:
    """Every answer is one that the survey takes, and none speaks against another."""
    given = _given(base, van, changes)
    for fact, value in given.items():
        checked(base.questions[fact], value)
    assert not list(contradictions(base, given)), name


def test_the_pool_holds_work_that_may_start_and_work_that_may_not(plans: list[Plan]) -> None:
    """A pool of stops alone would hide rules of the ordinary job."""
    states = [plan.verdict.state for plan in plans]
    assert states.count("no_stop_found") >= len(POOL) / 3
    assert states.count("do_not_start") >= len(POOL) / 4


@pytest.mark.parametrize("fact", sorted(set(built_in().questions) - PRINTED))
def test_every_question_changes_some_plan(fact: str, base: RuleBase) -> None:
    """No question is asked for nothing: answers far apart give plans that differ."""
    assert any(
        _differs(fact, base, job, value, every=every)
        for every in ((True,) if fact in FIGURES else (False, True))
        for job in _jobs(fact, base)
        for value in _values(base.questions[fact])
    )


@pytest.mark.parametrize("fact", sorted(PRINTED))
def test_what_is_only_printed_is_in_the_plan_and_in_the_pack(fact: str, base: RuleBase) -> None:
    """Five answers decide nothing; documents print them or are made by them."""
    one, other = plan_of(LIFTING, base), plan_of(LIFTING, base, **{fact: _other(fact, base)})
    assert one.job[fact] != other.job[fact]
    pages = [path.read_text("utf-8") for path in (ROOT / "planner" / "pack").rglob("*.py")]
    assert any(f'"{fact}"' in text for text in pages)


def _other(fact: str, base: RuleBase) -> Any:
    taken = plan_of(LIFTING, base).job[fact]
    return next(value for value in _values(base.questions[fact]) if value != taken)


def _jobs(fact: str, base: RuleBase) -> Iterator[int]:
    """Yield the places in the pool of jobs in which a question matters, the likeliest first."""
    question = base.questions[fact]
    order = sorted(enumerate(POOL), key=lambda one: one[1][0] != TELLS.get(fact))
    for number, (_, van, changes) in order:
        if question in mattering(base, _given(base, van, changes)):
            yield number


def _given(base: RuleBase, van: str, changes: Mapping[str, Any]) -> dict[str, Any]:
    return answers(van, {fact.replace("__", "."): v for fact, v in changes.items()}, base)


PLANS: dict[tuple[int, bool], Plan | None] = {}


def _differs(fact: str, base: RuleBase, job: int, value: Any, *, every: bool) -> bool:
    """Return whether another answer makes another plan of a job."""
    _, van, changes = POOL[job]
    if (job, every) not in PLANS:
        PLANS[job, every] = _planned(_given(base, van, changes), base, every)
    one = PLANS[job, every]
    other = _planned(_given(base, van, {**changes, fact: value}), base, every)
    return one is not None and other is not None and _shape(one, fact) != _shape(other, fact)


def _shape(plan: Plan, fact: str) -> Any:
    """Return all that a plan says but the answer itself."""
    own = (fact, f"{fact}.low", f"{fact}.high")
    facts = {name: one.value for name, one in plan.facts.items() if name not in own}
    return (facts, plan.verdict.state, plan.decisions, plan.findings, plan.hazards, plan.texts,
            plan.timetable, plan.materials, plan.tools)  # fmt: skip


def _planned(given: Mapping[str, Any], base: RuleBase, every: bool) -> Plan | None:
    """Return the plan; None where the answers would be refused, which tells nothing."""
    if any(contradictions(base, given)):
        return None
    try:
        return make_plan(Job("pool", given), base, every_fact=every, memo=MEMO)
    except LidworkError:
        return None


def _values(question: Question) -> Iterator[Any]:
    """Yield answers as far apart as the question allows."""
    if question.options:
        yield from question.options
    elif question.kind == "yes_no":
        yield from (True, False)
    elif question.kind in ("number", "integer"):
        least, most = question.least or 0, question.most or 1000
        numbers = (least, most, (least + most) / 2, least + (most - least) / 10)
        yield from (int(n) if question.kind == "integer" else n for n in numbers)
        if question.fact in NEARBY:
            yield from (demo(LIFTING)[question.fact] * part for part in (0.97, 1.03))
    elif question.kind == "moment":
        yield from ("2027-03-01T08:30", "2027-06-30T10:00")
    elif question.kind == "text":
        yield from ("by_position", "one name", "another name")
    elif question.fields:
        yield []
        yield from ([_entry(question, part)] for part in (0.1, 0.4))
    else:
        yield from ([1], [1, 7], [4.0] * 12)


def _entry(question: Question, part: float) -> dict[str, Any]:
    """Return an entry whose numbers lie at a part of their ranges."""
    entry: dict[str, Any] = {}
    for one in question.fields:
        if one.options:
            entry[one.fact] = list(one.options)[0 if part < 0.2 else -1]
        elif one.kind in ("number", "integer"):
            least, most = one.least or 0, one.most or 1000
            value = least + (most - least) * part
            entry[one.fact] = int(value) if one.kind == "integer" else value
        else:
            entry[one.fact] = "a thing"
    return entry
