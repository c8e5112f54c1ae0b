"""Which question comes next: pure, from the rules and the answers so far."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from planner.engineering.meant import probably_meant
from planner.job.answers import answers_ledger, is_answered, matters
from planner.job.contradictions import contradictions
from planner.rulebase.base import RuleBase
from planner.rulebase.model import ListField, Question
from planner.rulebase.values import typed

Answers = Mapping[str, Any]


class Place(Struct, frozen=True):
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
    before = set(contradictions(base, answers))
    fresh = [one for one in contradictions(base, {**answers, fact: value}) if one not in before]
    if not fresh:
        return ""
    _, what, cure = fresh[0]
    return f"{what.rstrip('.')}. {cure}".rstrip()


def refusal(
    question: Question, said: str, answers: Answers, field: ListField | None = None
) -> tuple[str, str]:
    """Return why what was typed cannot be taken, and what was probably meant; empty if it can.

    Args:
        question: The question.
        said: What was typed; the unit may follow.
        answers: The answers so far; they help to turn units.
        field: The value within an entry of a list, where one of these is asked for.
    """
    shape = field or question
    try:
        typed(shape, said)
    except ValueError as error:
        return str(error), _meant(question, said.strip().removesuffix(shape.unit), answers, field)
    return "", ""


def _meant(question: Question, said: str, answers: Answers, field: ListField | None) -> str:
    try:
        number = float(said)
    except ValueError:
        return ""
    value = [{field.fact: number}] if field else number
    return probably_meant(fact=question.fact, value=value, answers=answers)
