"""The search leaves things out to be quick: none of what it leaves out could have been cheaper.

Small random jobs are compared with an exhaustive search in ``test_order.py``. Here whole jobs are:
too large for that, but each shortcut can be taken away in turn, down to the plainest search that
still ends.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from planner import paths
from planner.job.file import read_job
from planner.plan.bound import Bound
from planner.plan.choices import Choices
from planner.plan.encode import Job, encode
from planner.plan.facts import ledger_of
from planner.plan.search import Found, _Search, find
from planner.plan.select import select
from planner.plan.work import MAKE_SAFE, RESUME
from planner.rulebase.base import RuleBase

from .roofjob import Scenario, roof_job

DEMOS = [path.stem for path in sorted(paths.DEMOS.glob("*.yaml"))]


def _encoded(job: Scenario) -> Job:
    tasks = sorted(job.tasks.values(), key=lambda task: (task.phase, task.rank, task.id))
    return encode(tasks, [job.variables[name] for name in sorted(job.variables)])


def _no_bound(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(Bound, "of", lambda *_: 0)


def _no_choices(patch: pytest.MonkeyPatch) -> None:
    def everything(self: Choices, waiting: int, _: int) -> int:
        ready = (i for i, action in enumerate(self.actions) if not action.before & waiting)
        return sum(1 << i for i in ready if (waiting | self.changes) >> i & 1)

    patch.setattr(Choices, "of", everything)


def _nothing_at_once(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(_Search, "_run_at_once", lambda *_: None)


LESS = {
    "without the bound": (_no_bound,),
    "trying everything": (_no_choices,),
    "nothing at once": (_nothing_at_once,),
    "trying everything, without the bound": (_no_choices, _no_bound),
    "trying everything, nothing at once": (_no_choices, _nothing_at_once),
}


def _less(job: Job, take_away: tuple[Callable[[pytest.MonkeyPatch], None], ...]) -> Found:
    with pytest.MonkeyPatch.context() as patch:
        for shortcut in take_away:
            shortcut(patch)
        return find(job)


@pytest.mark.parametrize("less", LESS)
@pytest.mark.parametrize("flags", ["BRL", "DRLT", "XL", "SR"])
def test_no_shortcut_costs_anything(flags: str, less: str) -> None:
    """Whole jobs: the search without one or two of its shortcuts finds the same least cost."""
    job = _encoded(roof_job(flags))
    quick, plain = find(job), _less(job, LESS[less])
    assert quick.complete
    assert plain.complete
    assert plain.nodes >= quick.nodes
    assert quick.cost == plain.cost


@pytest.mark.parametrize("name", DEMOS)
def test_no_shortcut_costs_anything_on_the_demos(name: str, base: RuleBase) -> None:
    """The demos: a uniform-cost search that tries everything, led by nothing, agrees."""
    job = read_job(paths.DEMOS / f"{name}.yaml", base)
    chosen = select(ledger_of(base, job.answers), base)
    tasks = {k: task for k, task in chosen.tasks.items() if k not in (MAKE_SAFE, RESUME)}
    encoded = _encoded(Scenario(tasks, chosen.variables, chosen.invariants))
    plain = _less(encoded, LESS["trying everything, without the bound"])
    assert plain.complete
    assert find(encoded).cost == plain.cost
