"""Plan one made-up job and say what became of it, whatever happens."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from planner.errors import CycleError, InputError, LidworkError
from planner.job.file import Job
from planner.plan.make import make_plan
from planner.plan.memo import Memo
from planner.plan.model import Plan
from planner.plan.work import UnprovedOrderError
from planner.rulebase.base import RuleBase

Answers = dict[str, Any]
#: Outcomes that are faults of the rules or of the planner, whatever the answers.
FAULTS = ("crash", "unproved", "no_order")
#: Where the planner says that no order exists.
ORDER = "order of work"
#: So often a job that is refused for one answer is tried without it.
TRIES = 4


class Outcome(Struct, frozen=True):
    """What became of one job.

    Attributes:
        kind: The verdict, or ``refused``, ``no_order``, ``unproved`` or ``crash``.
        detail: The message, where it is no verdict.
        used: The rules that the plan used, as ``kind/id``.
        stops: The findings that stop it.
        refused: Messages about answers that were left out, so that the rest could be planned.
    """

    kind: str
    detail: str = ""
    used: frozenset[str] = frozenset()
    stops: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()


def try_out(
    answers: Mapping[str, Any], base: RuleBase, memo: Memo | None = None
) -> Outcome:
    """Plan one job and say what became of it."""
    try:
        plan = make_plan(Job("sweep", answers), base, memo=memo)
    except UnprovedOrderError as error:
        return Outcome("unproved", str(error))
    except LidworkError as error:
        return Outcome("no_order" if _is_order(error) else "refused", str(error))
    except Exception as error:  # noqa: BLE001  - finding crashes is what a sweep is for
        return Outcome("crash", f"{type(error).__name__}: {error}")
    stops = tuple(one.id for one in plan.findings if one.severity == "stop")
    return Outcome(plan.verdict.state, used=frozenset(_used(plan)), stops=stops)


def _is_order(error: LidworkError) -> bool:
    if isinstance(error, CycleError):
        return True
    faults = error.faults if isinstance(error, InputError) else ()
    return any(fault.where.startswith(ORDER) for fault in faults)


def _used(plan: Plan) -> Iterator[str]:
    yield from (f"steps/{name}" for name in plan.texts)
    for kind in ("findings", "hazards", "materials", "tools"):
        yield from (f"{kind}/{one.id}" for one in getattr(plan, kind))
    yield from (f"decisions/{one.id}: {one.chosen}" for one in plan.decisions)


def try_on(
    answers: Answers, base: RuleBase, memo: Memo | None
) -> tuple[Answers, Outcome]:
    """Plan one job; where one answer is refused, plan on without it.

    Refusing an answer is right, but it must not keep the rest of the job from being tried.
    """
    refused: list[str] = []
    outcome = try_out(answers, base, memo)
    while outcome.kind == "refused" and len(refused) < TRIES:
        name = outcome.detail.partition(":")[0]
        refused.append(outcome.detail)
        fewer = {fact: value for fact, value in answers.items() if not _is_part(fact, name)}
        if len(fewer) == len(answers):
            break
        answers = fewer
        outcome = try_out(answers, base, memo)
    kept = Outcome(outcome.kind, outcome.detail, outcome.used, outcome.stops, tuple(refused))
    return answers, kept


def _is_part(fact: str, name: str) -> bool:
    """Whether an answer is the refused one, or one of a refused figure's own section."""
    section, _, last = name.partition(".")
    return fact == name or (bool(last) and fact.partition(".")[0] == section)


def gist(outcome: Outcome) -> str:
    """What makes two faults the same: the message without its numbers."""
    text = outcome.detail.split(";")[0].split("\n")[0]
    return "".join(char for char in text if not char.isdigit())[:160]
