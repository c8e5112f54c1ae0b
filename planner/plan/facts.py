"""Build the ledger of a job: answers, named values, tables, calculations and decisions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from planner.engineering.bindings import BINDINGS
from planner.job.answers import Answers, answer_providers
from planner.ledger import Ledger, Origin, Provider, calculation
from planner.plan.decide import decide
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import holds
from planner.rulebase.model import DecisionRule, FlagRule


def ledger_of(
    base: RuleBase, answers: Answers, calculations: Iterable[Provider] | None = None
) -> Ledger:
    """Return the ledger in which every fact of the job can be read.

    ``calculations`` takes the place of the plain ones, where somebody keeps their results.
    """
    tables = {name: table.rows for name, table in base.tables.items()}
    return Ledger(_providers(base, answers, calculations or map(calculation, BINDINGS)), tables)


def _providers(
    base: RuleBase, answers: Answers, calculations: Iterable[Provider]
) -> Iterator[Provider]:
    yield from answer_providers(base, answers)
    yield from calculations
    for rule in base.decisions.values():
        yield Provider((rule.gives, judged(rule)), Origin.DECIDED, _decision(rule, base))
    for flag in base.flags.values():
        yield Provider((flag.fact,), Origin.DECIDED, _flag(flag))
    values = {name: rule.value for name, rule in base.values.items()}
    yield Provider(tuple(values), Origin.LOOKED_UP, lambda _: values)


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
