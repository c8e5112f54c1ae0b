"""Turn a job's answers into facts: answered, assumed, supposed, or without meaning here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.ledger import Fact, Ledger, Origin, Provider
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import holds
from planner.rulebase.model import Question
from planner.rulebase.values import NOT_KNOWN, UNKNOWN

Answers = Mapping[str, Any]


def answer_providers(base: RuleBase) -> Iterator[Provider]:
    """Yield the providers of all facts that questions answer, whatever the answers are."""
    for question in base.questions.values():
        names: tuple[str, ...] = (question.fact,)
        if question.unknown.span:
            names += (f"{question.fact}.low", f"{question.fact}.high")
        work = _work(question, names)
        yield Provider(names, Origin.ANSWERED, work, about=question, asks=question.fact)


def given(base: RuleBase, answers: Answers) -> Answers:
    """Return the fitter's answers with those that a shop's rules have fixed."""
    return {**answers, **base.fixed}


def _work(question: Question, names: tuple[str, ...]) -> Any:
    def work(ledger: Ledger) -> Mapping[str, Any]:
        if not holds(question.when.condition, ledger):
            return {}
        answer = ledger.answers.get(question.fact, UNKNOWN)
        if answer != UNKNOWN:
            return dict.fromkeys(names, answer)
        return _stand_in(question, names)

    return work


def _stand_in(question: Question, names: tuple[str, ...]) -> Mapping[str, Any]:
    unknown = question.unknown
    if unknown.assume == NOT_KNOWN:
        return {}
    if unknown.suppose is not None:
        return {name: Fact(name, unknown.suppose, Origin.SUPPOSED) for name in names}
    if unknown.span is None:
        return {name: Fact(name, unknown.assume, Origin.ASSUMED) for name in names}
    low, high = unknown.span
    values = (f"{low:g} to {high:g}", low, high)
    return {name: Fact(name, v, Origin.ASSUMED) for name, v in zip(names, values, strict=True)}


def answers_ledger(base: RuleBase, answers: Answers) -> Ledger:
    """Return a ledger of answers alone: enough to tell which questions matter."""
    return Ledger(answer_providers(base), {}, given(base, answers))


def matters(question: Question, ledger: Ledger) -> bool:
    """Return whether a question matters, given the answers so far."""
    return holds(question.when.condition, ledger)


def is_answered(base: RuleBase, question: Question, answers: Answers) -> bool:
    """Return whether a question has an answer: measured, or fixed by a shop's rules."""
    fixed = question.fact in base.fixed
    return fixed or bool(answers.get(question.fact, UNKNOWN) != UNKNOWN)
