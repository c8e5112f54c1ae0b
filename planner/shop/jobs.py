"""Make up jobs for a sweep: random ones, every pair of choices, every boundary of every number.

A job is made from few plain values, so that the same seed always gives the same job.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Mapping
from graphlib import TopologicalSorter
from typing import Any

from planner import paths
from planner.job.contradictions import contradictions
from planner.job.file import read_job
from planner.ledger import NA
from planner.plan.memo import Memo
from planner.rulebase import walk
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import COMPARISONS, Test, facts_read, holds, tests
from planner.rulebase.load import built_in
from planner.rulebase.model import FactShape, Question, When
from planner.rulebase.values import NOT_KNOWN, UNKNOWN, checked

Answers = dict[str, Any]
#: How often a question stays open, so that what stands in for it is exercised too.
OPEN_SHARE = 0.2
#: How often a number lies near what stands in for it, and how often within half and twice of it.
NEAR, WIDE = 0.6, 0.9
#: How many answers of a demo job are made otherwise, at most.
MOST_CHANGED = 6


class Maker:
    """Makes jobs for one rule base; everything that does not change with the job is kept."""

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        self.memo = Memo()
        self.tests = _tests(base)
        names = {name: set(facts_read(q.when.condition)) for name, q in base.questions.items()}
        asked = {name: reads & set(base.questions) for name, reads in names.items()}
        self.order = [base.questions[name] for name in TopologicalSorter(asked).static_order()]
        self.texts = {q.fact: self._texts(q) for q in self.order if q.kind == "text"}
        self.demos = [self._usable(job) for job in _demos()]

    def _texts(self, question: Question) -> list[str]:
        """Texts that some rule or table knows; any text where none does."""
        known = {
            str(value)
            for test in self.tests.get(question.fact, ())
            if test.op == "is"
            for value in test.operand
        }
        table = self.base.tables.get(f"{question.fact.rpartition('.')[2]}s")
        if table and "name" in table.columns:
            known |= {str(row["name"]) for row in table.rows[::40]}
        return sorted(known - {"by_values"}) or ["a name"]

    def _usable(self, job: Answers) -> Answers:
        """The answers of a demo job that these rules still ask for."""
        asked_for = {name for name in self.base.questions if name not in self.base.fixed}
        return {name: value for name, value in job.items() if name in asked_for}

    def scattered(self, seed: int, wanted: Mapping[str, Any]) -> Answers:
        """Return a job with the wanted answers where they matter, and random ones for the rest."""
        rng = random.Random(seed)  # noqa: S311  - a sweep must be repeatable, not secret
        return self._job(wanted, lambda question: self._drawn(question, rng))

    def near(self, seed: int, wanted: Mapping[str, Any], *, changed: int = MOST_CHANGED) -> Answers:
        """Return a demo job with the wanted answers, and a few others made otherwise.

        What a demo job does not answer is left to what stands in for it.
        """
        rng = random.Random(seed)  # noqa: S311  - a sweep must be repeatable, not secret
        demo = self.demos[seed % len(self.demos)]
        count = min(rng.randint(0, changed), len(self.order))
        others = {question.fact for question in rng.sample(self.order, count)}

        def given(question: Question) -> Any:
            if question.fact in others:
                return self._drawn(question, rng)
            return demo.get(question.fact, UNKNOWN)

        return self._job(wanted, given)

    def _job(self, wanted: Mapping[str, Any], given: Callable[[Question], Any]) -> Answers:
        """Answer the questions that matter, each after those that it depends on."""
        answers: Answers = {}
        facts = _Facts(answers, self.base)
        for question in self.order:
            if not holds(question.when.condition, facts):
                facts.never(question)
                continue
            value = wanted[question.fact] if question.fact in wanted else given(question)
            if value != UNKNOWN and question.fact not in self.base.fixed:
                answers[question.fact] = value
        return _consistent(self.base, answers, wanted)

    def _drawn(self, question: Question, rng: random.Random) -> Any:
        return self._answer(question, rng) if rng.random() > OPEN_SHARE else UNKNOWN

    def _answer(self, question: Question, rng: random.Random) -> Any:
        if question.kind == "list":
            return _entries(question, rng)
        if question.kind == "text":
            return rng.choice(self.texts[question.fact])
        return _plain(question, rng)


def _demos() -> list[Answers]:
    built = built_in()
    return [dict(read_job(path, built).answers) for path in sorted(paths.DEMOS.glob("*.yaml"))]


class _Facts:
    """The answers made so far, and what stands in for the others, as conditions read them."""

    def __init__(self, answers: Answers, base: RuleBase) -> None:
        self._answers, self._base = answers, base
        self._never: set[str] = set()

    def never(self, question: Question) -> None:
        """Note that a question does not matter in this job."""
        self._never.add(question.fact)

    def get(self, name: str) -> Any:
        """Return an answer or what stands in for it, or NA."""
        if name in self._never or name not in self._base.questions:
            return NA
        if name in self._base.fixed:
            return self._base.fixed[name]
        if name in self._answers:
            return self._answers[name]
        unknown = self._base.questions[name].unknown
        value = unknown.suppose if unknown.suppose is not None else unknown.assume
        return NA if value == NOT_KNOWN else value


def _consistent(base: RuleBase, answers: Answers, wanted: Mapping[str, Any]) -> Answers:
    """Leave out what contradicts the rest; a wanted answer stays as long as it can."""
    for _ in range(3):
        found = [fact for fact, _, _ in contradictions(base, answers)]
        if not found:
            return answers
        for fact in found:
            section = fact.partition(".")[0]
            for name in [one for one in answers if one.partition(".")[0] == section]:
                if name == fact or (name not in wanted and _is_number(base, name)):
                    answers.pop(name, None)
    return answers


def _is_number(base: RuleBase, name: str) -> bool:
    return base.questions[name].kind in ("number", "integer")


def _plain(shape: FactShape, rng: random.Random) -> Any:
    if shape.kind in ("choice", "yes_no"):
        return rng.choice(choices(shape))
    if shape.kind in ("number", "integer"):
        return _number(shape, rng)
    if shape.kind == "moment":
        return f"2027-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d} 08:30"
    return "a name"


def choices(shape: FactShape) -> list[Any]:
    """Return everything that a choice or a yes-or-no question can be answered."""
    return list(shape.options) or [True, False]


def _number(shape: FactShape, rng: random.Random) -> float:
    """Mostly near what stands in, where real jobs are; sometimes anywhere in the range."""
    least = shape.least if shape.least is not None else 0.0
    most = shape.most if shape.most is not None else least + 1000
    usual, luck = _usual(shape), rng.random()
    if usual is None or luck > WIDE:
        value = rng.uniform(least, most)
    else:
        spread = (0.9, 1.1) if luck < NEAR else (0.5, 2.0)
        value = min(max(usual * rng.uniform(*spread), least), most)
    if shape.multiple_of:
        value = shape.multiple_of * round(value / shape.multiple_of)
    return round(value) if shape.kind == "integer" else round(value, shape.precision)


def _usual(shape: FactShape) -> float | None:
    if not isinstance(shape, Question):
        return None
    unknown = shape.unknown
    value = unknown.suppose if unknown.suppose is not None else unknown.assume
    if unknown.span:
        value = sum(unknown.span) / 2
    return float(value) if isinstance(value, int | float) else None


def _entries(question: Question, rng: random.Random) -> list[Any]:
    least = int(question.least or 0)
    if not question.fields:
        return sorted(rng.sample(range(1, 13), max(least, rng.randint(1, 6))))
    count = rng.randint(least, max(least, 2))
    return [_entry(question, rng, number) for number in range(count)]


def _entry(question: Question, rng: random.Random, number: int) -> dict[str, Any]:
    return {
        one.fact: _plain(one, rng) if one.kind != "text" else f"entry {number + 1}"
        for one in question.fields
    }


def paired(base: RuleBase) -> list[Answers]:
    """Return choices by which every pair of choices is wanted together, by a covering array."""
    from allpairspy import AllPairs  # noqa: PLC0415  - only a sweep needs it

    chosen = sorted(
        (q for q in base.questions.values() if q.kind in ("choice", "yes_no")),
        key=lambda q: (-len(choices(q)), q.fact),
    )
    chosen = [question for question in chosen if question.fact not in base.fixed]
    rows = AllPairs([choices(question) for question in chosen])
    return [dict(zip((q.fact for q in chosen), row, strict=True)) for row in rows]


def boundaries(base: RuleBase) -> list[Answers]:
    """Return for every number that is asked its ends, and each limit in the rules from both sides.

    What the number must be asked at all is wanted with it: its own condition, where it is plain.
    """
    found: list[Answers] = []
    known = _tests(base)
    for question in base.questions.values():
        if question.kind in ("number", "integer") and question.fact not in base.fixed:
            needed, limits = asked(base, question), _limits(base, question.fact, known)
            edges = sorted(_edges(question, limits))
            found.extend({**needed, question.fact: value} for value in edges)
    return found


def _edges(question: Question, limits: Iterable[float]) -> set[float]:
    """The ends of the range, and each limit with the nearest values that can be answered."""
    smallest = 1 if question.kind == "integer" else 10**-question.precision
    edges = {end for end in (question.least, question.most) if end is not None}
    for limit in limits:
        edges |= {limit - smallest, limit, limit + smallest}
    values = (round(edge, question.precision) for edge in edges)
    return {value for value in (_accepted(question, v) for v in values) if value is not None}


def _accepted(question: Question, value: float) -> float | None:
    try:
        found: float = checked(question, int(value) if question.kind == "integer" else value)
    except ValueError:
        return None
    return found


def _limits(
    base: RuleBase, fact: str, known: Mapping[str, Iterable[Test]]
) -> Iterator[float]:
    for test in (one for end in ("", ".low", ".high") for one in known.get(f"{fact}{end}", ())):
        if test.op in COMPARISONS:
            operand = test.operand
            if isinstance(operand, str):
                operand = base.values[operand].value if operand in base.values else None
            if isinstance(operand, int | float):
                yield float(operand)


def asked(base: RuleBase, question: Question) -> Answers:
    """Return answers under which a question is asked, as far as its condition is plain."""
    wanted: Answers = {}
    for test in tests(question.when.condition):
        asking = base.questions.get(test.fact)
        if asking is None:
            continue
        wanted.update(asked(base, asking))
        if test.op == "is":
            wanted[test.fact] = test.operand[0]
        elif test.op in ("above", "at_least") and isinstance(test.operand, int | float):
            more = _accepted(asking, max(asking.least or 0, test.operand) + 2)
            wanted.update({test.fact: more} if more is not None else {})
    return wanted


def _tests(base: RuleBase) -> dict[str, list[Test]]:
    """Every test that some rule makes, by the fact that it tests."""
    found: dict[str, list[Test]] = {}
    for kind in ("questions", "flags", "decisions", "findings", "steps", "hazards", "materials"):
        for rule in getattr(base, kind).values():
            for part in walk.parts(rule):
                if isinstance(part, When):
                    for test in tests(part.condition):
                        found.setdefault(test.fact, []).append(test)
    return found
