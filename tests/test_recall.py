"""What is recalled is what would have been worked out, down to every figure and every read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

import pytest

from planner import recall
from planner.job.file import Job
from planner.ledger import NA, Ledger, Origin, Provider
from planner.plan.make import make_plan
from planner.plan.memo import Memo
from planner.recall import Recall
from planner.rulebase.base import RuleBase
from tests.plan.pool import POOL
from tests.plan.vans import answers


def made(base: RuleBase) -> Iterator[Job]:
    """Yield a job for every third entry of the pool, where all rules are used."""
    for name, demo, changes in POOL[::3]:
        wanted = {fact.replace("__", "."): value for fact, value in changes.items()}
        yield Job(name, answers(demo, wanted, base))


def test_plans_are_the_same_whatever_was_planned_before(base: RuleBase) -> None:
    """Facts with origins and reads, texts, order, times: all of the plan, there and back again."""
    jobs = list(made(base))
    alone = [make_plan(job, base, every_fact=True) for job in jobs]
    memo = Memo()
    for job, plan in [*zip(jobs, alone, strict=True), *zip(jobs[::-1], alone[::-1], strict=True)]:
        assert make_plan(job, base, every_fact=True, memo=memo) == plan


class Counted:
    """A job of three answers in which ``sum`` reads ``b`` only if ``a`` is above 0."""

    def __init__(self, recall: Recall) -> None:
        self.worked = 0
        self.recall = recall

    def ledger(self, given: Mapping[str, Any]) -> Ledger:
        """Return the ledger of a job with these answers."""
        answer = Provider(tuple(given), Origin.ANSWERED, lambda _: given)
        total = Provider(("sum",), Origin.CALCULATED, self.work, self)
        return Ledger([answer, total], {}, recall=self.recall)

    def work(self, ledger: Ledger) -> Mapping[str, Any]:
        """Read no more than is needed."""
        self.worked += 1
        a = ledger.get("a")
        return {"sum": a + ledger.get("b") if a is not NA and a > 0 else None}


@pytest.fixture
def counted() -> Counted:
    """Return a job in which work is counted."""
    return Counted(Recall())


def test_work_is_done_again_only_where_something_that_it_read_differs(counted: Counted) -> None:
    """What it never read may change as it likes."""
    assert counted.ledger({"a": 1, "b": 2}).get("sum") == 3
    assert counted.ledger({"a": 1, "b": 2, "c": 9}).get("sum") == 3
    assert counted.worked == 1
    assert counted.ledger({"a": 1, "b": 3}).get("sum") == 4
    assert counted.ledger({"a": 0, "b": 2}).get("sum") is NA
    assert counted.worked == 3
    assert counted.ledger({"a": 0, "b": 5}).get("sum") is NA  # b was not read
    assert counted.worked == 3


def test_equal_values_of_another_kind_are_not_the_same(counted: Counted) -> None:
    """1 and 1.0 print differently, and so do lists of them."""
    whole, broken = counted.ledger({"a": 1, "b": 2}), counted.ledger({"a": 1.0, "b": 2})
    assert (repr(whole.get("sum")), repr(broken.get("sum"))) == ("3", "3.0")
    recall = counted.recall
    assert recall.token([1], "") != recall.token([1.0], "")
    assert recall.token(True, "") != recall.token(1, "")
    assert recall.token("x", Origin.ASSUMED) != recall.token("x", Origin.ANSWERED)


def test_reads_are_told_to_whoever_asked(counted: Counted) -> None:
    """Recalled or not, a fact has the reads of its work, and so has whoever asked for it."""
    for _ in range(2):
        ledger = counted.ledger({"a": 1, "b": 2})
        assert ledger.fact("sum").reads == ("a", "b")
        work = partial(ledger.once, "asking", counted, partial(ledger.get, "sum"))
        assert ledger.reading(work) == (3, ("sum",))
    assert counted.worked == 1


def test_a_failure_is_not_kept(counted: Counted) -> None:
    """The next job, or the same one mended, is worked out afresh."""
    with pytest.raises(TypeError):
        counted.ledger({"a": 1, "b": "two"}).get("sum")
    assert counted.ledger({"a": 1, "b": 2}).get("sum") == 3


def test_beginning_again_changes_nothing(
    base: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where so little is kept that it is thrown away within each job, plans stay the same."""
    monkeypatch.setattr(recall, "MOST_KEPT", 7)
    memo = Memo()
    for job in list(made(base))[:3]:
        alone = make_plan(job, base, every_fact=True)
        assert make_plan(job, base, every_fact=True, memo=memo) == alone
        assert make_plan(job, base, every_fact=True, memo=memo) == alone
