"""The chain behind each decision, compactly: what it was taken from, down to answers and limits."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from planner.pack.text import capital, plain
from planner.plan.model import FactResult, Plan

#: Facts that rest on others; all else is an answer, a limit or a table.
MADE = ("calculated", "decided")
TABLE = "table."


class Chain(Struct, frozen=True):
    """One decision, and each figure behind it with what it was worked out from."""

    title: str
    rows: tuple[tuple[str, str], ...]


def chains(plan: Plan) -> tuple[Chain, ...]:
    """Return a chain for each decision; a figure is told once, where it is first met."""
    told: set[str] = set()
    found = (
        Chain(_said(plan.facts[one.gives]), tuple(_rows(one.gives, plan, told)))
        for one in plan.decisions
        if one.gives in plan.facts
    )
    return tuple(chain for chain in found if chain.rows)


def _rows(name: str, plan: Plan, told: set[str]) -> Iterator[tuple[str, str]]:
    fact = plan.facts.get(name)
    if fact is None or fact.origin not in MADE or name in told:
        return
    told.add(name)
    behind = [text for read in fact.reads if (text := _named(read, plan))]
    if behind:
        yield _said(fact), "; ".join(behind)
    for read in fact.reads:
        yield from _rows(read, plan, told)


def _named(name: str, plan: Plan) -> str:
    """Return a fact with its value; empty where it does not apply."""
    if name.startswith(TABLE):
        return f"table of {name.removeprefix(TABLE).replace('_', ' ')}"
    fact = plan.facts.get(name)
    if fact is None or fact.value is None:
        return ""
    return f"{plain(fact.label)}: {plain(fact.text)}"


def _said(fact: FactResult) -> str:
    return f"{capital(plain(fact.label))}: {plain(fact.text)}"
