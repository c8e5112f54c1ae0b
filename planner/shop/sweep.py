"""Plan across the whole space of answers: what breaks, what is refused, what is never used."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import combinations
from typing import Any

from msgspec import Struct, field

from planner.rulebase.base import RuleBase
from planner.shop.influence import changes_something
from planner.shop.jobs import MOST_CHANGED, Maker, boundaries, paired
from planner.shop.shrink import shrink
from planner.shop.trial import FAULTS, Answers, Outcome, gist, try_on, try_out

#: So many new objects pass before a worker looks for garbage.
RARELY = 5_000_000
#: Kinds of rule whose use is counted.
COUNTED = ("steps", "findings", "hazards", "materials", "tools")
PAIRS, EDGES, NEAR, RANDOM = (
    "pairs of choices",
    "boundaries of numbers",
    "demo jobs made otherwise",
    "random answers",
)


class Trial(Struct, frozen=True):
    """One job to be made and planned: where it comes from, its seed, and what is wanted in it."""

    family: str
    seed: int
    wanted: Answers = field(default_factory=dict)


class Fault(Struct, frozen=True):
    """One distinct fault with the smallest job found that shows it."""

    kind: str
    detail: str
    job: Answers
    count: int


class Report(Struct):
    """What the sweep found.

    Attributes:
        kinds: How many jobs ended in each outcome.
        families: How many jobs of each family were planned.
        stops: How many jobs each finding stopped.
        refused: How often each kind of answer was refused, by message without numbers.
        used: Rules that some plan used.
        pairs: Pairs of choices that some job answered together.
        faults: The distinct faults.
        idle: Questions whose answers changed no plan.
    """

    kinds: Counter[str] = field(default_factory=Counter)
    families: Counter[str] = field(default_factory=Counter)
    stops: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    used: set[str] = field(default_factory=set)
    pairs: set[Any] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)
    idle: list[str] = field(default_factory=list)

    @property
    def jobs(self) -> int:
        """How many jobs were planned."""
        return self.kinds.total()


def trials(base: RuleBase, *, seed: int, count: int) -> list[Trial]:
    """Return what is to be tried: every pair of choices, every boundary, and random jobs."""
    pairs = [Trial(PAIRS, seed + n, row) for n, row in enumerate(paired(base))]
    edges = [Trial(EDGES, seed + n, wanted) for n, wanted in enumerate(boundaries(base))]
    drawn = [Trial(RANDOM if n % 4 == 0 else NEAR, seed + n) for n in range(count)]
    return [*pairs, *edges, *drawn]


def never_used(report: Report, base: RuleBase) -> list[str]:
    """Return the rules that no job of the sweep used."""
    rules = [f"{kind}/{name}" for kind in COUNTED for name in getattr(base, kind)]
    rules += [
        f"decisions/{name}: {option.id}"
        for name, rule in base.decisions.items()
        for option in rule.options
    ]
    return [rule for rule in rules if rule not in report.used]


_MAKER: Maker | None = None


def _set_up(base: RuleBase) -> None:
    global _MAKER  # noqa: PLW0603  - made once in each worker process, not with every job
    _MAKER = Maker(base)
    gc.freeze()  # plans leave no rings behind, and looking for some costs a fifth of the time
    gc.set_threshold(RARELY)


def _maker() -> Maker:
    assert _MAKER is not None  # noqa: S101  - set when the worker starts
    return _MAKER


def _try(trial: Trial) -> tuple[Trial, Answers, Outcome]:
    maker = _maker()
    answers, outcome = try_on(made(trial, maker), maker.base, maker.memo)
    return trial, answers, outcome


def made(trial: Trial, maker: Maker) -> Answers:
    """Return the job of a trial."""
    if trial.family in (PAIRS, RANDOM):
        return maker.scattered(trial.seed, trial.wanted)
    changed = 0 if trial.family == EDGES else MOST_CHANGED
    return maker.near(trial.seed, trial.wanted, changed=changed)


def _is_idle(fact: str) -> tuple[str, bool]:
    return fact, not changes_something(fact, _maker())


def _shrunk(found: tuple[str, Answers, Outcome, int]) -> Fault:
    kind, answers, outcome, count = found
    base, memo = _maker().base, _maker().memo
    same = (outcome.kind, gist(outcome))

    def shows(job: Answers) -> bool:
        tried = try_out(job, base, memo)
        return (tried.kind, gist(tried)) == same

    job = shrink(answers, base, shows)
    return Fault(kind, try_out(job, base).detail, job, count)


def sweep(
    base: RuleBase,
    todo: Iterable[Trial],
    *,
    workers: int,
    questions: Iterable[str] = (),
    progress: Callable[[], None] = lambda: None,
) -> Report:
    """Plan every job, in parallel, and return the report; faulty jobs are made small.

    Args:
        base: The rules.
        todo: What to try.
        workers: How many processes share the work.
        questions: Questions to be looked at for whether they change anything.
        progress: Told after each job and each question.
    """
    report = Report()
    faulty: dict[tuple[str, str], tuple[str, Answers, Outcome, int]] = {}
    with ProcessPoolExecutor(workers, initializer=_set_up, initargs=(base,)) as pool:
        for trial, answers, outcome in pool.map(_try, todo, chunksize=8):
            _count(report, trial, answers, outcome)
            if outcome.kind in FAULTS:
                key = (outcome.kind, gist(outcome))
                _, first, shown, count = faulty.get(key, ("", answers, outcome, 0))
                faulty[key] = (outcome.kind, first, shown, count + 1)
            progress()
        for fact, is_idle in pool.map(_is_idle, questions):
            report.idle.extend([fact] if is_idle else [])
            progress()
        report.faults.extend(pool.map(_shrunk, faulty.values()))
    return report


def _count(report: Report, trial: Trial, answers: Answers, outcome: Outcome) -> None:
    report.kinds[outcome.kind] += 1
    report.families[trial.family] += 1
    report.stops.update(outcome.stops)
    report.refused.update(gist(Outcome("refused", text)) for text in outcome.refused)
    report.used |= outcome.used
    if trial.family == PAIRS:
        report.pairs.update(_pairs(answers, trial))


def _pairs(answers: Answers, trial: Trial) -> Iterator[Any]:
    given = [(name, answers[name]) for name in trial.wanted if name in answers]
    return combinations(sorted(given, key=str), 2)
