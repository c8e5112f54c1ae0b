"""Which question comes next: only those that matter, and an end on every path."""

from __future__ import annotations

import random
from typing import Any

import pytest

from planner.rulebase.base import RuleBase
from planner.rulebase.model import Question
from planner.survey import flow

LIFTING = {"roof.moves": True, "roof.material": "grp", "panel.kind": "framed_rigid"}


def random_answer(question: Question, rng: random.Random) -> Any:
    """Return any answer that the question allows."""
    if question.kind == "choice":
        return rng.choice(list(question.options))
    if question.kind == "yes_no":
        return rng.random() < 0.5
    if question.kind in ("number", "integer"):
        low = question.least if question.least is not None else 0
        value = rng.uniform(low, question.most if question.most is not None else low + 100)
        return int(value) if question.kind == "integer" else value
    if question.kind == "moment":
        return "2026-05-04 08:00"
    return [] if question.kind == "list" else "text"


@pytest.mark.parametrize("first_pass", [True, False])
@pytest.mark.parametrize("seed", range(20))
def test_every_path_through_the_questions_ends(base: RuleBase, seed: int, first_pass: bool) -> None:
    """Whatever is answered, no question comes twice and the flow ends."""
    rng, answers = random.Random(seed), dict[str, Any]()  # noqa: S311
    while waiting := flow.to_ask(base, answers, first_pass=first_pass):
        question = waiting[0]
        assert question.fact not in answers
        answers[question.fact] = random_answer(question, rng)
    assert len(answers) <= len(base.questions)


def test_the_first_pass_is_short(base: RuleBase) -> None:
    """At most 40 questions for a framed panel on a lifting roof: nobody answers 120 at once."""
    answers: dict[str, Any] = {}
    asked = 0
    while waiting := flow.to_ask(base, answers, first_pass=True):
        question = waiting[0]
        stand_in = question.unknown.suppose
        usual = LIFTING.get(question.fact, stand_in if stand_in is not None else "unknown")
        answers[question.fact] = usual
        asked += 1
    assert 20 <= asked <= 40


def test_a_fixed_roof_is_not_asked_how_it_lifts(base: RuleBase) -> None:
    """A question appears only when it matters."""
    fixed = {question.fact for question in flow.mattering(base, {"roof.moves": False})}
    lifting = {question.fact for question in flow.mattering(base, {"roof.moves": True})}
    assert not any(fact.startswith("lift.") for fact in fixed)
    assert "lift.hinge" in lifting


def test_an_unknown_answer_is_not_asked_again_in_the_first_pass(base: RuleBase) -> None:
    """Unknown is an answer there; a later pass asks again."""
    answers = {**LIFTING, "roof.length_mm": "unknown"}
    first = {question.fact for question in flow.to_ask(base, answers, first_pass=True)}
    later = {question.fact for question in flow.to_ask(base, answers, first_pass=False)}
    assert "roof.length_mm" not in first
    assert "roof.length_mm" in later


def test_answers_that_lost_their_meaning_are_named(base: RuleBase) -> None:
    """A van whose panel moves to the fixed roof sheds its lifting answers."""
    answers = {"roof.moves": False, "lift.hinge": "front", "panel.kind": "framed_rigid"}
    assert flow.pointless(base, answers) == ("lift.hinge",)


def test_sections_are_counted_among_those_that_matter(base: RuleBase) -> None:
    """Section n of m never counts a section without a question."""
    question = base.questions["roof.material"]
    fixed = flow.place(base, {"roof.moves": False}, question)
    lifting = flow.place(base, {"roof.moves": True}, question)
    assert fixed.sections == lifting.sections - 1


def test_an_answer_that_contradicts_another_is_refused(base: RuleBase) -> None:
    """A panel larger than the roof is refused at the prompt, not after the survey."""
    answers = {"roof.length_mm": 2000, "roof.width_mm": 1000, "panel.length_mm": 1900}
    assert "larger than the roof" in flow.objection(base, answers, "panel.width_mm", 1100)
    assert not flow.objection(base, answers, "panel.width_mm", 900)
