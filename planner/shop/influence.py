"""Find questions that change nothing: asked for, answered, and of no consequence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from typing import Any

from planner.errors import LidworkError
from planner.job.file import Job
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.plan.work import UnprovedOrderError
from planner.rulebase.model import Question
from planner.rulebase.values import checked
from planner.shop.jobs import Maker, asked, choices
from planner.survey.flow import mattering

#: So many jobs are tried before a question counts as one that changes nothing.
JOBS = 8


def changes_something(fact: str, maker: Maker) -> bool:
    """Return whether some job's plan becomes another one when the answer to a question does."""
    question = maker.base.questions[fact]
    for every_fact in (False, True):
        for seed in range(JOBS if not every_fact else 2):
            job = maker.near(seed, asked(maker.base, question))
            if question not in mattering(maker.base, job):
                continue
            shapes = []
            for value in _fitting(question):
                shape = _shape({**job, fact: value}, fact, maker, every_fact=every_fact)
                shapes.append(shape)
                if any(other != shape for other in shapes[:-1]):
                    return True
    return False


def _fitting(question: Question) -> Iterator[Any]:
    """The values as a job file would hold them, without those that the question refuses."""
    for value in _values(question):
        with suppress(ValueError):
            yield checked(question, value)


def _values(question: Question) -> Iterator[Any]:
    """Answers as far apart as the question allows."""
    if question.kind in ("choice", "yes_no"):
        yield from choices(question)
    elif question.kind in ("number", "integer"):
        least, most = question.least or 0, question.most or 1000
        values = (least, most, (least + most) / 2, least + (most - least) / 10)
        yield from (int(v) if question.kind == "integer" else v for v in values)
    elif question.kind == "moment":
        yield from ("2027-03-01 08:30", "2027-03-05 10:00", "2031-03-05 10:00")
    elif question.kind == "text":
        yield from ("one name", "another name")
    elif question.fields:
        yield from ([], [_entry(question, 0)], [_entry(question, 1)])
    else:
        yield from ([1], [1, 7], [4.0] * 12)


def _entry(question: Question, end: int) -> dict[str, Any]:
    """An entry with each value at one end of what it may be."""
    values: dict[str, Any] = {}
    for one in question.fields:
        if one.kind in ("choice", "yes_no"):
            values[one.fact] = choices(one)[-end]
        elif one.kind in ("number", "integer"):
            ends = (one.least or 0, one.most or 1000)
            value = ends[0] + (ends[1] - ends[0]) * (1 + 3 * end) / 10
            values[one.fact] = int(value) if one.kind == "integer" else value
        else:
            values[one.fact] = "a thing"
    return values


def _shape(answers: Mapping[str, Any], fact: str, maker: Maker, *, every_fact: bool) -> Any:
    """Everything in a plan but the answer itself, or the message where there is no plan."""
    try:
        job = Job("sweep", answers)
        plan = make_plan(job, maker.base, every_fact=every_fact, memo=maker.memo)
    except (LidworkError, UnprovedOrderError) as error:
        return str(error)
    return _without(plan, fact)


def _without(plan: Plan, fact: str) -> Any:
    own = (fact, f"{fact}.low", f"{fact}.high")
    facts = {name: one.value for name, one in plan.facts.items() if name not in own}
    return (facts, plan.verdict.state, plan.decisions, plan.findings, plan.hazards, plan.texts,
            plan.timetable, plan.materials, plan.tools)  # fmt: skip
