"""A sample of broken safety rules: the static check, the sweep or the tests notice nearly all."""

from __future__ import annotations

import pytest

from planner.rulebase.base import RuleBase
from tests.shop.mutants import Judge, Mutant, Verdict, mutants, sampled

NOTICED = ("static", "sweep", "tests")
#: All of them are judged by ``python -m tests.bench.bench_mutation``, in an hour or so.
SAMPLE = 12
#: What one sample of this size may miss where one mutant in twenty is missed.
MOST_MISSED = 1


@pytest.fixture(scope="module")
def every(base: RuleBase) -> list[Mutant]:
    """Return every mutant of the safety rules."""
    return list(mutants(base))


@pytest.fixture(scope="module")
def judge(base: RuleBase) -> Judge:
    """Return a judge that knows what the sound rules give."""
    return Judge(base, quick=True)


def test_the_safety_rules_are_broken_in_every_way(every: list[Mutant], base: RuleBase) -> None:
    """Every invariant and every locked step, by needs, after and invariants, each another base."""
    assert {m.rule for m in every if m.kind == "invariants"} == set(base.invariants)
    locked = {name for name, step in base.steps.items() if step.locked and step.needs}
    assert locked <= {m.rule for m in every if m.kind == "steps"}
    assert len({(m.kind, m.rule, m.what) for m in every}) == len(every)
    assert len(every) > 1000


def test_nearly_every_broken_rule_is_noticed(every: list[Mutant], judge: Judge) -> None:
    """Equivalent ones are counted apart, each with the reason why nothing can notice them."""
    verdicts = [judge.judge(every[number]) for number in sampled(len(every), SAMPLE)]
    equivalent = [verdict for verdict in verdicts if verdict.by == "equivalent"]
    noticed = [verdict for verdict in verdicts if verdict.by in NOTICED]
    missed = [verdict for verdict in verdicts if verdict.by == "survived"]
    assert all(verdict.detail for verdict in equivalent)
    assert len(noticed) > SAMPLE / 3
    assert len(missed) <= MOST_MISSED, missed


def test_a_judge_knows_each_kind_of_witness(every: list[Mutant], judge: Judge) -> None:
    """One mutant for each: the static check, the sweep, the tests, and nobody, for a reason."""
    named = {(m.rule, m.what): m for m in every}

    def by(rule: str, what: str) -> Verdict:
        return judge.judge(named[rule, what])

    assert by("drill-pilots", "need roof dropped").by == "static"
    assert by("switch-on", "need battery flipped").by in ("static", "sweep")
    assert by("open-lining", "need fabric dropped").by == "tests"
    spare = by("never-at-height-without-a-platform", "dropped")
    assert spare == Verdict("equivalent", spare.detail)
    assert "guards against later edits" in spare.detail
