"""The sweep: what it tries, what it finds, and how small it makes a fault."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
import yaml
from msgspec.structs import replace

from planner import paths
from planner.job.answers import answers_ledger, matters
from planner.job.file import parse_job, read_job
from planner.plan.make import make_plan
from planner.plan.memo import Memo
from planner.rulebase.base import RuleBase
from planner.shop.influence import changes_something
from planner.shop.jobs import Maker, boundaries, choices, paired
from planner.shop.shrink import job_text, shrink
from planner.shop.standard import rules_for
from planner.shop.sweep import NEAR, RANDOM, Report, Trial, never_used, sweep, trials
from planner.shop.sweep_report import lines
from planner.shop.trial import Outcome, gist, try_on, try_out
from tests.shop.test_layer import LAYER


@pytest.fixture(scope="module")
def maker(base: RuleBase) -> Maker:
    """Return a maker of jobs for the built-in rules."""
    return Maker(base)


def test_every_pair_of_choices_is_wanted_together(base: RuleBase) -> None:
    """Counted independently of the library that makes the covering array."""
    rows = paired(base)
    held = {frozenset(pair) for row in rows for pair in combinations(row.items(), 2)}
    asked = [q for q in base.questions.values() if q.kind in ("choice", "yes_no")]
    for one, other in combinations(asked, 2):
        for value in choices(one):
            for second in choices(other):
                assert frozenset(((one.fact, value), (other.fact, second))) in held
    assert len(rows) < 80


def test_every_number_is_tried_at_its_ends_and_on_both_sides_of_its_limits(base: RuleBase) -> None:
    """The ends of the range as declared, and a limit that a rule tests, from both sides."""
    tried: dict[str, set[Any]] = {}
    for wanted in boundaries(base):
        name, value = list(wanted.items())[-1]
        tried.setdefault(name, set()).add(value)
    for name, question in base.questions.items():
        if question.kind in ("number", "integer"):
            assert {question.least, question.most} - {None} <= tried[name], name
    sensitised = base.values["limit.isocyanate_percent"].value
    assert isinstance(sensitised, float)
    assert {round(sensitised + step, 2) for step in (-0.01, 0, 0.01)} <= {
        round(value, 2) for value in tried["sealant.isocyanate_percent"]
    }


def test_made_jobs_are_jobs(maker: Maker, base: RuleBase) -> None:
    """As text they are read without a fault, hold only answers that matter, and come again."""
    for seed in range(12):
        for make in (maker.scattered, maker.near):
            answers = make(seed, {})
            job = parse_job(job_text(answers), "made.yaml", base)
            assert dict(job.answers) == answers
            ledger = answers_ledger(base, answers)
            assert all(matters(base.questions[name], ledger) for name in answers)
            assert make(seed, {}) == answers


def test_what_is_wanted_is_answered_where_it_matters(maker: Maker) -> None:
    """A wanted answer stays, unless its question is not asked in that job."""
    job = maker.near(3, {"roof.moves": False, "lift.hinge": "rear", "panel.mass_kg": 12.0})
    assert job["roof.moves"] is False
    assert job["panel.mass_kg"] == 12.0
    assert "lift.hinge" not in job


def test_a_fixed_answer_is_never_made_up() -> None:
    """Under a shop's layer nobody answers what the shop has answered."""
    house = rules_for(None, [LAYER])
    made = Maker(house)
    assert not any(set(made.scattered(seed, {})) & set(house.fixed) for seed in range(8))


def test_a_memo_saves_time_and_changes_nothing(maker: Maker, base: RuleBase) -> None:
    """With what was worked out for other jobs, each plan is what it is without."""
    memo = Memo()
    for seed in range(6):
        answers = maker.near(seed, {})
        assert try_out(answers, base, memo) == try_out(answers, base)
        assert try_out(answers, base, memo) == try_out(answers, base, memo)
    job = read_job(paths.DEMOS / "lifting-grp.yaml", base)
    assert make_plan(job, base, memo=memo, every_fact=True) == make_plan(job, base, every_fact=True)


def broken(base: RuleBase) -> RuleBase:
    """Return rules in which the panel can never come back up once the entry waits for it."""
    step = base.steps["wash-roof"]
    return replace(
        base,
        steps={
            **base.steps,
            "wash-roof": step.model_copy(update={"needs": {**step.needs, "fuse": ("in",)}}),
        },
    )


@pytest.fixture(scope="module")
def found(base: RuleBase) -> tuple[RuleBase, Report]:
    """Sweep broken rules with two workers."""
    rules = broken(base)
    report = sweep(rules, [Trial(RANDOM, seed) for seed in range(6)], workers=2)
    return rules, report


def test_a_fault_is_found_and_shown_by_the_smallest_job(found: tuple[RuleBase, Report]) -> None:
    """Washing the roof cannot wait for the fuse; no answer of the job can be left out."""
    rules, report = found
    fault = report.faults[0]
    assert fault.kind == "no_order"
    assert fault.count >= 1
    kinds = {try_out(fault.job, rules).kind}
    assert kinds == {"no_order"}
    for name in fault.job:
        fewer = {fact: value for fact, value in fault.job.items() if fact != name}
        outcome = try_out(fewer, rules)
        assert (outcome.kind, gist(outcome)) != ("no_order", gist(Outcome("", fault.detail)))


def test_the_report_prints_it_as_a_job_file(found: tuple[RuleBase, Report]) -> None:
    """What is printed can be saved and planned."""
    rules, report = found
    text = "\n".join(lines(report, rules))
    assert "Fault 1: no order exists, in" in text
    assert " in 1 jobs" not in text
    assert job_text(report.faults[0].job).splitlines()[0] in text
    assert yaml.safe_load(job_text(report.faults[0].job))["job_format"]


def test_shrinking_leaves_only_what_is_needed(base: RuleBase) -> None:
    """A made-up fault that two answers cause together: exactly these two are left."""
    answers = dict(read_job(paths.DEMOS / "lifting-grp.yaml", base).answers)

    def shows(job: dict[str, Any]) -> bool:
        return job.get("panel.mass_kg") == 11.8 and "lift.hinge" in job

    small = shrink(answers, base, shows)
    assert set(small) == {"panel.mass_kg", "lift.hinge"}


def test_shrinking_shortens_lists(base: RuleBase) -> None:
    """Of five months the one that matters."""
    small = shrink(
        {"use.months": [1, 2, 3, 4, 5]}, base, lambda job: 4 in job.get("use.months", [])
    )
    assert small == {"use.months": [4]}


def test_a_refused_answer_does_not_keep_the_rest_from_being_tried(base: RuleBase) -> None:
    """The message is kept, the answer left out, the job planned."""
    answers = dict(read_job(paths.DEMOS / "high-roof-steel.yaml", base).answers)
    answers["use.place"] = "nowhere that is listed"
    kept, outcome = try_on(answers, base, Memo())
    assert "use.place" not in kept
    assert len(outcome.refused) == 1
    assert outcome.kind in ("not_yet", "no_stop_found")


def test_stops_and_rules_never_used_are_counted(base: RuleBase) -> None:
    """One job with a stop: the stop is named with its share, what it lacks is listed."""
    trial = Trial(NEAR, 3, {"roof.permission": "no"})
    report = sweep(base, [trial], workers=1)
    assert report.stops["permission-refused"] == 1
    text = "\n".join(lines(report, base))
    assert "permission-refused" in text
    assert "100.0 %" in text
    unused = never_used(report, base)
    assert "steps/check-answers" not in unused
    assert "decisions/panel-leads: recut" in unused or "steps/set-rivet-nuts" in unused


def test_a_question_that_changes_nothing_is_told(base: RuleBase) -> None:
    """One that decides much, and one that nothing reads."""
    when = base.questions["roof.moves"].when
    update = {"fact": "roof.colour", "when": when}
    idle = base.questions["roof.core_kind"].model_copy(update=update)
    rules = replace(base, questions={**base.questions, "roof.colour": idle})
    maker = Maker(rules)
    assert changes_something("panel.mass_kg", maker)
    assert not changes_something("roof.colour", maker)


def test_a_whole_sweep_tries_all_families(base: RuleBase) -> None:
    """Pairs, boundaries and as many random jobs as asked, with seeds that count on."""
    todo = trials(base, seed=5, count=20)
    families = {trial.family for trial in todo}
    assert len(families) == 4
    assert sum(trial.seed < 5 for trial in todo) == 0
    assert todo == trials(base, seed=5, count=20)


def test_the_shipped_rules_stand_a_small_sweep(base: RuleBase) -> None:
    """No crash, no unproved order and no job without an order among a few dozen."""
    todo = trials(base, seed=11, count=24)
    report = sweep(base, [*todo[:12], *todo[-24:]], workers=2)
    assert [(fault.detail, fault.job) for fault in report.faults] == []
    assert report.jobs == 36


def test_job_text_keeps_single_answers_and_sections() -> None:
    """As a person would write it."""
    assert job_text({"roof.moves": True, "candidates": [], "roof.width_mm": 900}) == (
        "job_format: 1\nroof:\n  moves: true\n  width_mm: 900\ncandidates: []\n"
    )

