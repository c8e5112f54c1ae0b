"""Materials, tools, test sheet, hold points, basis of the figures, and the layers of rules."""

from __future__ import annotations

from collections.abc import Iterator

from planner.pack.blocks import Table
from planner.pack.parts.method import Measure, measure
from planner.pack.sequence import Entry, cited
from planner.pack.text import capital, figure, plain, words
from planner.plan.model import FactResult, Item, Plan

Numbers = dict[str, tuple[int, ...]]


def items(found: tuple[Item, ...], numbered: Numbers, caption: str) -> Table:
    """Return a list of materials or tools as a table; columns that hold nothing are left out."""
    head = ("What", "What it must be", "Quantity", "Mass [kg]", "Note", "Steps")
    rows = [
        (
            capital(plain(item.label)),
            plain(item.spec),
            quantity(item),
            figure(item.mass_kg) if item.mass_kg is not None else "",
            plain(item.note),
            cited(item.steps, numbered),
        )
        for item in found
    ]
    used = [i for i in range(len(head)) if i == 0 or any(row[i] for row in rows)]
    return Table(
        caption,
        tuple(head[i] for i in used),
        tuple(tuple(row[i] for i in used) for row in rows),
    )


def quantity(item: Item) -> str:
    """Return a quantity with its unit, empty where none is planned."""
    if item.quantity is None:
        return ""
    return f"{figure(item.quantity)} {plain(item.unit)}".strip()


def readings(steps: tuple[Entry, ...]) -> tuple[tuple[int, str, Measure], ...]:
    """Return every reading of the job: step number, step title, what to measure."""
    return tuple(
        (entry.number, entry.title, measure(reading, entry.number))
        for entry in steps
        if entry.text
        for reading in entry.text.readings
    )


def holds(steps: tuple[Entry, ...]) -> tuple[tuple[int, str, str, str], ...]:
    """Return every hold point: number, title, acceptance, who signs."""
    return tuple(
        (
            entry.number,
            entry.title,
            plain(entry.text.accept) if entry.text else "",
            plain(entry.text.sign) if entry.text else "",
        )
        for entry in steps
        if entry.task.hold
    )


def basis(plan: Plan) -> tuple[Table, ...]:
    """Return what the figures rest on: values with their sources, results with what they read."""
    assumed = _table(
        "Limits, factors and assumptions",
        ("What", "Value", "Source"),
        [(f, plain(f.source)) for f in _with_text(plan) if f.source and _is_read(f, plan)],
    )
    worked = _table(
        "Figures worked out",
        ("What", "Value", "From"),
        [(f, _reads(f, plan)) for f in _with_text(plan) if f.origin == "calculated"],
    )
    return (*assumed, *worked)


def answers(plan: Plan) -> tuple[Table, ...]:
    """Return the answers that the plan rests on."""
    origins = {"answered": "answered", "assumed": "assumed", "supposed": "supposed"}
    rows = [(f, origins[f.origin]) for f in _with_text(plan) if f.origin in origins]
    return _table("Answers", ("What", "Value", "How known"), rows)


def _with_text(plan: Plan) -> Iterator[FactResult]:
    for _, fact in sorted(plan.facts.items()):
        table = isinstance(fact.value, list | tuple)
        if fact.value is not None and fact.text not in {"", "—"} and not table:
            yield fact


def _is_read(fact: FactResult, plan: Plan) -> bool:
    """Whether any figure that applies to this job was worked out from it."""
    return any(
        fact.name in other.reads for other in plan.facts.values() if other.value is not None
    )


def _table(
    caption: str, head: tuple[str, ...], rows: list[tuple[FactResult, str]]
) -> tuple[Table, ...]:
    body = tuple(
        (capital(plain(fact.label)), plain(fact.text), last) for fact, last in rows
    )
    return (Table(caption, head, body),) if body else ()


def _reads(fact: FactResult, plan: Plan) -> str:
    names = (plan.facts[name].label if name in plan.facts else words(name) for name in fact.reads)
    found = list(dict.fromkeys(plain(name) for name in names))
    more = f" and {len(found) - 6} more" if len(found) > 6 else ""
    return "; ".join(found[:6]) + more


def layers(plan: Plan) -> Table:
    """Return the layers of rules that made the plan."""
    rows = tuple((plain(one.name), plain(one.version), one.digest) for one in plan.layers)
    return Table("Rules that made this plan, the lowest layer first",
                 ("Layer", "Version", "Digest"), rows)


def not_needed(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return the steps left out, each with its reason."""
    return tuple((plain(what), plain(why)) for what, why in plan.not_needed)
