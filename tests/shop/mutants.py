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
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from planner.engineering.bindings import BINDINGS
from planner.errors import InputError, LidworkError
from planner.job.file import Job
from planner.plan.make import UnprovedOrderError, make_plan
from planner.plan.memo import Memo
from planner.rulebase import load
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check
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
SWEPT = 60


@dataclass(frozen=True)
class Mutant:
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


@dataclass(frozen=True)
class Verdict:
    """Who noticed: ``static``, ``sweep``, ``tests``; else ``survived`` or ``equivalent``.

    ``detail`` says what was noticed, or why nothing could be.
    """

    by: str
    detail: str = ""


class Judge:
    """Judges mutants of one rule base, remembering what the sound rules give.

    ``quick`` plans the pool alone, in which every rule is used.
    """

    def __init__(self, base: RuleBase, *, quick: bool = False) -> None:
        self._memo = Memo()
        self._jobs = tuple(_jobs(base))[: len(POOL) if quick else None]
        self._sound = [self._plan(job, base) for job in self._jobs]

    def judge(self, mutant: Mutant) -> Verdict:
        """Return who notices the mutant."""
        faults = check(mutant.base, BINDINGS)
        if faults:
            return Verdict("static", faults[0].what)
        changed = 0
        for job, sound in zip(self._jobs, self._sound, strict=True):
            plan = self._plan(job, mutant.base)
            if plan != sound and plan[0] == "fault":
                return Verdict("sweep", str(plan[1]))
            changed += plan != sound
        if not changed:
            return Verdict("equivalent", reason(mutant))
        if _in_process(lambda: _tests_fail(mutant.base)):
            return Verdict("tests")
        return Verdict("survived", f"changes {changed} of {len(self._jobs)} plans")

    def _plan(self, job: Mapping[str, Any], base: RuleBase) -> tuple[str, Any]:
        """The order of a job, or the message where there is none."""
        try:
            plan = make_plan(Job("mutant", job), base, memo=self._memo)
        except UnprovedOrderError as error:
            return "fault", str(error)
        except InputError as error:
            is_order = any(fault.where.startswith("order of work") for fault in error.faults)
            return "fault" if is_order else "refused", str(error)
        except LidworkError as error:
            return "fault", str(error)
        return "plan", tuple((slot.move, slot.start_min, slot.end_min) for slot in plan.timetable)


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


def _tests_fail(base: RuleBase) -> bool:
    """Run the tests that know the trade against broken rules."""
    load.built_in = cache(lambda: base)  # what the tests' own fixture then hands out
    for name in [one for one in sys.modules if one.startswith("tests.") or one == "conftest"]:
        del sys.modules[name]
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    files = [str(Path(__file__).parents[1] / name) for name in TESTS]
    code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", *files])
    return code == pytest.ExitCode.TESTS_FAILED
