"""Which question comes next: pure, from the rules and the answers so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from planner.job.answers import answers_ledger, is_answered, matters
from planner.job.contradictions import contradictions
from planner.rulebase.base import RuleBase
from planner.rulebase.model import Question

Answers = Mapping[str, Any]


@dataclass(frozen=True)
class Place:
    """Where a question stands in the flow: section ``number`` of ``sections``."""

    title: str
    number: int
    sections: int


def mattering(base: RuleBase, answers: Answers) -> tuple[Question, ...]:
    """Return the questions that matter now, by section and in the order of the rules."""
    ledger = answers_ledger(base, answers)
    order = {name: rank for rank, name in enumerate(base.sections)}
    asked = [question for question in base.questions.values() if matters(question, ledger)]
    return tuple(sorted(asked, key=lambda question: order[question.section]))


def to_ask(base: RuleBase, answers: Answers, *, first_pass: bool) -> tuple[Question, ...]:
    """Return the questions still to be asked.

    The first pass asks only what has no safe assumption and was never asked before; later passes
    ask all that has no measured answer.
    """
    if first_pass:
        return tuple(
            question
            for question in mattering(base, answers)
            if question.in_first_pass and question.fact not in {*answers, *base.fixed}
        )
    return tuple(q for q in mattering(base, answers) if not is_answered(base, q, answers))


def place(base: RuleBase, answers: Answers, question: Question) -> Place:
    """Return the section of a question among the sections that matter now."""
    live = list(dict.fromkeys(one.section for one in mattering(base, answers)))
    if question.section not in live:
        live.append(question.section)
    title = base.sections[question.section].title
    return Place(title, live.index(question.section) + 1, len(live))


def pointless(base: RuleBase, answers: Answers) -> tuple[str, ...]:
    """Return the answered facts that no longer matter, given the other answers."""
    live = {question.fact for question in mattering(base, answers)}
    return tuple(fact for fact in answers if fact not in live)


def objection(base: RuleBase, answers: Answers, fact: str, value: Any) -> str:
    """Return why a new answer cannot stand beside the others, or an empty text."""
    found = [what for _, what, _ in contradictions(base, {**answers, fact: value})]
    before = [what for _, what, _ in contradictions(base, answers)]
    fresh = [what for what in found if what not in before]
    return fresh[0] if fresh else ""
