"""Plan across the whole space of answers: what breaks, what is refused, what is never used."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from typing import Any

from planner.errors import LidworkError
from planner.job.contradictions import contradictions
from planner.job.file import Job
from planner.plan.make import UnprovedOrderError, make_plan
from planner.rulebase.base import RuleBase
from planner.rulebase.model import Question
from planner.survey import flow

Answers = dict[str, Any]
#: How often a random job leaves a question open, to exercise what stands in for it.
OPEN_SHARE = 0.15


@dataclass(frozen=True)
class Outcome:
    """What became of one job."""

    kind: str
    detail: str = ""
    used: frozenset[str] = frozenset()


@dataclass
class Report:
    """What the sweep found.

    ``kinds`` counts the outcomes; ``faults`` holds one smallest job for each distinct fault.
    """

    kinds: Counter[str] = field(default_factory=Counter)
    used: set[str] = field(default_factory=set)
    faults: dict[str, Answers] = field(default_factory=dict)


def try_out(answers: Answers, base: RuleBase) -> Outcome:
    """Plan one job and say what became of it, whatever happens."""
    try:
        plan = make_plan(Job("sweep", answers), base)
    except UnprovedOrderError as error:
        return Outcome("unproved", str(error))
    except LidworkError as error:
        return Outcome("refused", str(error))
    except Exception as error:  # noqa: BLE001  - finding crashes is what a sweep is for
        return Outcome("crash", f"{type(error).__name__}: {error}")
    used = {f"steps/{name}" for name in plan.texts}
    used |= {f"findings/{one.id}" for one in plan.findings}
    used |= {f"hazards/{one.id}" for one in plan.hazards}
    used |= {f"decisions/{one.id}/{one.chosen}" for one in plan.decisions}
    return Outcome(plan.verdict.state, used=frozenset(used))


def random_jobs(base: RuleBase, seed: int, count: int) -> Iterator[Answers]:
    """Yield jobs with random answers to the questions that matter; same seed, same jobs."""
    rng = random.Random(seed)  # noqa: S311  - a sweep must be repeatable, not secret
    for _ in range(count):
        yield _job(base, rng, {})


def paired_jobs(base: RuleBase, seed: int) -> Iterator[Answers]:
    """Yield jobs in which every pair of choices occurs, by a covering array."""
    from allpairspy import AllPairs  # noqa: PLC0415  - only a sweep needs it

    rng = random.Random(seed)  # noqa: S311
    chosen = [q for q in base.questions.values() if q.kind in ("choice", "yes_no")]
    for row in AllPairs([_choices(question) for question in chosen]):
        wanted = {question.fact: value for question, value in zip(chosen, row, strict=True)}
        yield _job(base, rng, wanted)


def boundary_jobs(base: RuleBase, seed: int) -> Iterator[Answers]:
    """Yield for every number one job at its least and one at its most."""
    rng = random.Random(seed)  # noqa: S311
    for question in base.questions.values():
        if question.kind in ("number", "integer"):
            for value in (question.least, question.most):
                if value is not None:
                    plain = int(value) if question.kind == "integer" else value
                    yield _job(base, rng, {question.fact: plain})


def _job(base: RuleBase, rng: random.Random, wanted: Mapping[str, Any]) -> Answers:
    """Answer in the order of the flow, so that only questions that matter are answered."""
    answers: Answers = {}
    passed: set[str] = set()
    while waiting := [
        q for q in flow.to_ask(base, answers, first_pass=False) if q.fact not in passed
    ]:
        for question in waiting:
            passed.add(question.fact)
            if question.fact in wanted:
                answers[question.fact] = wanted[question.fact]
            elif rng.random() > OPEN_SHARE:
                answers[question.fact] = _answer(question, rng)
        for fact in flow.pointless(base, answers):
            del answers[fact]
    for fact, _, _ in contradictions(base, answers):
        answers.pop(fact, None)
    return answers


def _choices(question: Question) -> list[Any]:
    return list(question.options) or [True, False]


def _answer(question: Question, rng: random.Random) -> Any:
    if question.kind in ("choice", "yes_no"):
        return rng.choice(_choices(question))
    if question.kind in ("number", "integer"):
        return _number(question, rng)
    if question.kind == "moment":
        return f"2027-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d} 08:30"
    if question.kind == "list":
        return _entries(question, rng)
    return "a name"


def _number(question: Any, rng: random.Random) -> float:
    """Mostly near what stands in, where real jobs are; sometimes anywhere in the range."""
    least = question.least if question.least is not None else 0.0
    most = question.most if question.most is not None else least + 1000
    usual = _usual(question)
    if usual is not None and rng.random() < 0.8:
        value = min(max(usual * rng.uniform(0.6, 1.5), least), most)
    else:
        value = rng.uniform(least, most)
    return round(value) if question.kind == "integer" else round(value, question.precision)


def _usual(question: Any) -> float | None:
    unknown = getattr(question, "unknown", None)
    if unknown is None:
        return None
    value = unknown.suppose if unknown.suppose is not None else unknown.assume
    if unknown.span:
        value = sum(unknown.span) / 2
    return float(value) if isinstance(value, int | float) else None


def _entries(question: Question, rng: random.Random) -> list[Any]:
    least = int(question.least or 0)
    if not question.fields:
        whole = range(1, 13)
        return sorted(rng.sample(whole, max(least, rng.randint(1, 6))))
    count = rng.randint(least, max(least, 3))
    return [_entry(question, rng, number) for number in range(count)]


def _entry(question: Question, rng: random.Random, number: int) -> dict[str, Any]:
    entry: dict[str, Any] = {}
    for one in question.fields:
        if one.kind in ("choice", "yes_no"):
            entry[one.fact] = rng.choice(list(one.options) or [True, False])
        elif one.kind in ("number", "integer"):
            entry[one.fact] = _number(one, rng)
        else:
            entry[one.fact] = f"entry {number + 1}"
    return entry


def shrink(answers: Answers, base: RuleBase, outcome: Outcome) -> Answers:
    """Return the smallest job that still shows a fault: answers are left out while it stays."""
    kept = dict(answers)
    for fact in list(answers):
        fewer = {name: value for name, value in kept.items() if name != fact}
        for gone in flow.pointless(base, fewer):
            del fewer[gone]
        if _same(try_out(fewer, base), outcome):
            kept = fewer
    return kept


def _same(one: Outcome, other: Outcome) -> bool:
    return one.kind == other.kind and _gist(one) == _gist(other)


def _gist(outcome: Outcome) -> str:
    """What makes two faults the same: the message without its numbers."""
    return "".join(char for char in outcome.detail.split(";")[0] if not char.isdigit())[:120]


_BASE: RuleBase | None = None


def _set_up(base: RuleBase) -> None:
    global _BASE  # noqa: PLW0603  - handed once to each worker process, not with every job
    _BASE = base


def _work(answers: Answers) -> tuple[Answers, Outcome]:
    assert _BASE is not None  # noqa: S101  - set when the worker starts
    return answers, try_out(answers, _BASE)


def sweep(
    base: RuleBase,
    jobs: Iterable[Answers],
    *,
    workers: int,
    progress: Callable[[], None] = lambda: None,
) -> Report:
    """Plan every job, in parallel, and gather the report; faulty jobs are shrunk."""
    report = Report()
    faulty: dict[str, tuple[Answers, Outcome]] = {}
    with ProcessPoolExecutor(workers, initializer=_set_up, initargs=(base,)) as pool:
        for answers, outcome in pool.map(_work, jobs, chunksize=16):
            report.kinds[outcome.kind] += 1
            report.used |= outcome.used
            if outcome.kind in ("crash", "unproved"):
                faulty.setdefault(f"{outcome.kind}: {_gist(outcome)}", (answers, outcome))
            progress()
    for name, (answers, outcome) in faulty.items():
        report.faults[name] = shrink(answers, base, outcome)
    return report
