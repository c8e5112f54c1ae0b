"""Build the ledger of a job: answers, named values, tables, calculations and decisions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.engineering.bindings import BINDINGS
from planner.job.answers import Answers, answer_providers, given
from planner.ledger import Ledger, Origin, Provider, by_name, calculation
from planner.plan.decide import decide
from planner.plan.memo import Memo
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import holds
from planner.rulebase.model import DecisionRule, FlagRule


def ledger_of(base: RuleBase, answers: Answers, memo: Memo | None = None) -> Ledger:
    """Return the ledger in which every fact of the job can be read.

    ``memo`` holds what was worked out for other jobs by the same rules.
    """
    kept = memo or Memo()
    providers = kept.about(base, lambda base: by_name(_providers(base)))
    tables = {name: table.rows for name, table in base.tables.items()}
    return Ledger(providers, tables, given(base, answers), memo.recall if memo else None)


def _providers(base: RuleBase) -> Iterator[Provider]:
    yield from answer_providers(base)
    yield from _CALCULATIONS
    for rule in base.decisions.values():
        yield Provider((rule.gives, judged(rule)), Origin.DECIDED, _decision(rule, base), rule)
    for flag in base.flags.values():
        yield Provider((flag.fact,), Origin.DECIDED, _flag(flag), flag)
    values = {name: rule.value for name, rule in base.values.items()}
    yield Provider(tuple(values), Origin.LOOKED_UP, lambda _: values, base.values)


_CALCULATIONS = tuple(map(calculation, BINDINGS))


def _flag(flag: FlagRule) -> Any:
    def work(ledger: Ledger) -> Mapping[str, Any]:
        return {flag.fact: holds(flag.when.condition, ledger)}

    return work


def judged(rule: DecisionRule) -> str:
    """Return the name under which the ledger keeps a decision with all its options."""
    return f"{rule.gives}.judged"


def _decision(rule: DecisionRule, base: RuleBase) -> Any:
    def work(ledger: Ledger) -> Mapping[str, Any]:
        result = decide(rule, ledger, base)
        return {rule.gives: result.chosen, judged(rule): result}

    return work
