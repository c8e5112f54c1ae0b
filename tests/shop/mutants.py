"""Break the safety rules one entry at a time, and see who notices.

The safety rules are all invariants, the locked steps, and the steps that do what some invariant
speaks of. A mutant drops or flips one need, one ``after`` or one invariant of these.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import sys
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.bindings import BINDINGS
from planner.errors import InputError, LidworkError
from planner.ledger import Ledger
from planner.plan import memo
from planner.plan.facts import ledger_of
from planner.plan.make import _days
from planner.plan.memo import Memo, key_of
from planner.plan.select import Selection, select
from planner.plan.work import UnprovedOrderError, proved, refuse_unproved
from planner.rulebase import load
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check
from planner.rulebase.implied import unimplied
from planner.rulebase.model import InvariantRule, StepRule
from planner.shop.jobs import Maker
from planner.shop.sweep import trials
from tests.plan.pool import POOL
from tests.plan.vans import answers

#: Tests that know the trade, not the rules: they must notice what the static check cannot.
TESTS = (
    "shop/test_while.py",
    "plan/test_demos.py",
    "plan/test_practice.py",
    "plan/test_scenarios.py",
)
#: Jobs of a sweep beside the pool in which every rule is used.
SWEPT = 30


class Mutant(Struct, frozen=True):
    """One broken entry of one rule."""

    kind: str
    rule: str
    what: str
    base: RuleBase


def mutants(base: RuleBase) -> Iterator[Mutant]:
    """Yield every mutant of the safety rules."""
    for name, step in safety_steps(base).items():
        for what, broken in _steps(step, base):
            steps = {**base.steps, name: broken}
            yield Mutant("steps", name, what, replace(base, steps=steps))
    for name, rule in base.invariants.items():
        rest = {key: one for key, one in base.invariants.items() if key != name}
        yield Mutant("invariants", name, "dropped", replace(base, invariants=rest))
        for what, changed in _invariants(rule, base):
            invariants = {**base.invariants, name: changed}
            yield Mutant("invariants", name, what, replace(base, invariants=invariants))


def safety_steps(base: RuleBase) -> Mapping[str, StepRule]:
    """Return the locked steps, and those that do what some invariant speaks of."""
    spoken = {(rule.never.does, rule.never.of) for rule in base.invariants.values()}
    return {
        name: step
        for name, step in base.steps.items()
        if step.locked
        or any((act.act, act.of) in spoken or (act.act, "") in spoken for act in step.does)
    }


def _steps(step: StepRule, base: RuleBase) -> Iterator[tuple[str, StepRule]]:
    for name in step.after:
        rest = tuple(one for one in step.after if one != name)
        yield f"after {name} dropped", step.model_copy(update={"after": rest})
    for state, values in step.needs.items():
        rest_of = {key: one for key, one in step.needs.items() if key != state}
        yield f"need {state} dropped", step.model_copy(update={"needs": rest_of})
        other = tuple(value for value in base.states[state].values if value not in values)
        if other:
            needs = {**step.needs, state: other}
            yield f"need {state} flipped", step.model_copy(update={"needs": needs})
    for number, more in enumerate(step.needs_if):
        rest_if = tuple(one for one in step.needs_if if one is not more)
        what = f"needs_if {number + 1} ({', '.join(more.states)}) dropped"
        yield what, step.model_copy(update={"needs_if": rest_if})


def _invariants(rule: InvariantRule, base: RuleBase) -> Iterator[tuple[str, InvariantRule]]:
    for state, bad in rule.never.states.items():
        other = tuple(value for value in base.states[state].values if value not in bad)
        if other:
            states = {**rule.never.states, state: other}
            never = rule.never.model_copy(update={"states": states})
            yield f"{state} flipped", rule.model_copy(update={"never": never})


def sampled(total: int, count: int) -> list[int]:
    """Return the numbers of a sample of mutants; always the same ones."""
    return random.Random(1).sample(range(total), count)  # noqa: S311  - repeatable, not secret


class Verdict(Struct, frozen=True):
    """Who noticed: ``static``, ``sweep``, ``tests``; else ``survived`` or ``equivalent``.

    ``detail`` says what was noticed, or why nothing could be.
    """

    by: str
    detail: str = ""


class Judge:
    """Judges mutants of one rule base, remembering what the sound rules give.

    ``quick`` plans the pool alone, in which every rule is used. Steps and invariants are all that
    differs between the bases, so the facts of a job are worked out once for all of them.
    """

    def __init__(self, base: RuleBase, *, quick: bool = False) -> None:
        self._memo = Memo()
        self._sound = list(self._distinct(base, len(POOL) if quick else None))

    def judge(self, mutant: Mutant) -> Verdict:
        """Return who notices the mutant."""
        faults = [*unimplied(mutant.base)] or check(mutant.base, BINDINGS)
        if faults:
            return Verdict("static", faults[0].what)
        changed = 0
        concerned = [one for one in self._sound if one.concerns(mutant)]
        for sound in concerned:
            found = self._planned(sound.ledger, mutant.base)
            if found.outcome != sound.outcome and found.outcome[0] == "fault":
                return Verdict("sweep", str(found.outcome[1]))
            changed += found.outcome != sound.outcome
        if not changed:
            return Verdict("equivalent", reason(mutant))
        if _in_process(lambda: _tests_fail(mutant.base, self._memo)):
            return Verdict("tests")
        return Verdict("survived", f"changes {changed} of {len(self._sound)} plans")

    def _distinct(self, base: RuleBase, count: int | None) -> Iterator[_Planned]:
        """The jobs with the sound rules; of those with the same work, one."""
        seen = set()
        for job in islice(_jobs(base), count):
            sound = self._planned(ledger_of(base, job, self._memo), base)
            key = key_of(sound.chosen) if sound.chosen else None
            if key is not None and key not in seen:
                seen.add(key)
                yield sound

    def _planned(self, ledger: Ledger, base: RuleBase) -> _Planned:
        """The order and the timetable of a job, or the message where there is none."""
        chosen = None
        try:
            chosen, days = select(ledger, base), _days(ledger)
            # What must never be does not lead the order, so the order need not be found again.
            key = key_of(replace(chosen, invariants={}))
            slots = self._memo.once((key, days), lambda: proved(chosen, days, self._memo)).slots
            refuse_unproved(slots, chosen)
        except UnprovedOrderError as error:
            outcome: tuple[str, Any] = ("fault", str(error))
        except InputError as error:
            is_order = any(fault.where.startswith("order of work") for fault in error.faults)
            outcome = ("fault" if is_order else "refused", str(error))
        except LidworkError as error:
            outcome = ("fault", str(error))
        else:
            outcome = ("plan", tuple((s.move, s.start_min, s.end_min) for s in slots))
        return _Planned(ledger, chosen, outcome)


class _Planned(Struct, frozen=True):
    """A job's facts, the work selected for it, and what came of planning it."""

    ledger: Ledger
    chosen: Selection | None
    outcome: tuple[str, Any]

    def concerns(self, mutant: Mutant) -> bool:
        """Whether the broken rule plays a part in this job."""
        if self.chosen is None or mutant.what.startswith("after"):
            return True  # what comes after a step passes through those that are not selected
        part = self.chosen.tasks if mutant.kind == "steps" else self.chosen.invariants
        return mutant.rule in part


def _jobs(base: RuleBase) -> Iterator[Mapping[str, Any]]:
    """The pool in which every rule is used, and part of a sweep."""
    for _, demo, changes in POOL:
        made = {fact.replace("__", "."): value for fact, value in changes.items()}
        yield answers(demo, made, base)
    maker = Maker(base)
    for trial in trials(base, seed=7, count=SWEPT)[-SWEPT:]:
        yield maker.near(trial.seed, {})


def reason(mutant: Mutant) -> str:
    """Return why a mutant that changes no plan is equivalent, as far as the rules show it."""
    if mutant.kind == "invariants":
        return "needs alone keep it; the invariant guards against later edits of the needs"
    step = mutant.base.steps[mutant.rule]
    what, name, *_ = mutant.what.split()
    if what == "after":
        is_linked = name in _before(mutant)
        return "kept by other links" if is_linked else "kept by states or the natural order"
    if name in step.needs and what == "need":
        return "the flipped need is met by no other way of working"
    return "steps before it, or its other needs, leave the state so in every job"


def _before(mutant: Mutant) -> set[str]:
    """Everything that comes before the step by its remaining links."""
    found: set[str] = set()
    waiting = [mutant.rule]
    while waiting:
        for name in mutant.base.steps[waiting.pop()].after:
            if name not in found and name in mutant.base.steps:
                found.add(name)
                waiting.append(name)
    return found


def _in_process(work: Callable[[], bool]) -> bool:
    """Run a check in a process of its own, so that nothing of it stays behind."""
    context = multiprocessing.get_context("fork")
    process = context.Process(target=lambda: os._exit(1 if work() else 0))
    process.start()
    process.join()
    return process.exitcode != 0


def _tests_fail(base: RuleBase, kept: Memo) -> bool:
    """Run the tests that know the trade against broken rules."""
    load.built_in = cache(lambda: base)  # what the tests' own fixture then hands out
    memo.Memo = lambda: kept  # type: ignore[assignment,misc]  # facts are the same: half the time
    for name in [one for one in sys.modules if one.startswith("tests.") or one == "conftest"]:
        del sys.modules[name]
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    files = [str(Path(__file__).parents[1] / name) for name in TESTS]
    code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-n", "0", *files])
    return code == pytest.ExitCode.TESTS_FAILED
