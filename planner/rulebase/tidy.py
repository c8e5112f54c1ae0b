"""Find what stands in the rules for nothing: names that nobody names, and tables with gaps."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.errors import Fault
from planner.ledger import Binding
from planner.rulebase import walk
from planner.rulebase.base import RuleBase
from planner.rulebase.model import Published, TableRule

_KINDS = (
    "values", "tables", "questions", "decisions", "findings", "invariants", "steps", "hazards",
)  # fmt: skip


def idle(base: RuleBase, bindings: Iterable[Binding]) -> Iterator[Fault]:
    """Yield a fault for each rule that no other rule names.

    Under a layer only what layers added is looked at: a shop that withdraws a step need not
    clear up after it. Our own sources and tables are read outside the rules too.
    """
    for kind, named in _named(base, bindings).items():
        for name in getattr(base, kind):
            is_alone = len(base.layers) == 1 and kind not in ("sources", "tables")
            if (is_alone or (kind, name) in base.added) and name not in named:
                what = f"no rule uses this {kind[:-1]}"
                yield Fault(base.place(kind, name), what, "Use it where it belongs, or drop it.")


def _named(base: RuleBase, bindings: Iterable[Binding]) -> dict[str, set[str]]:
    steps = base.steps.values()
    taken = {name for binding in bindings for name in binding.takes.values()}
    return {
        "tools": {name for step in steps for name in step.tools},
        "materials": {name for step in steps for name in step.materials},
        "hazards": {name for step in steps for name in step.hazards},
        "phases": {step.phase for step in steps},
        "sections": {question.section for question in base.questions.values()},
        "states": _states(base),
        "sources": _cited(base),
        "tables": {name.removeprefix("table.") for name in taken if name.startswith("table.")},
    }


def _states(base: RuleBase) -> set[str]:
    named = {state for rule in base.invariants.values() for state in rule.never.states}
    for step in base.steps.values():
        named.update(step.needs)
        named.update(state for more in step.needs_if for state in more.states)
    return named


def _cited(base: RuleBase) -> set[str]:
    return {
        part.id
        for kind in _KINDS
        for rule in getattr(base, kind).values()
        for part in walk.parts(rule)
        if isinstance(part, Published)
    }


def gaps(base: RuleBase) -> Iterator[Fault]:
    """Yield a fault for each cell that a table leaves out, each row given twice, each lost option.

    A table that says which fact it ``covers`` must have a row for each of its options.
    """
    for name, table in base.tables.items():
        where = base.place("tables", name)
        for number, row in enumerate(table.rows, 1):
            for column in table.columns:
                if row.get(column) is None:
                    yield Fault(where, f"row {number} has no '{column}'", "Fill the gap.")
            if row in table.rows[: number - 1]:
                yield Fault(where, f"row {number} stands there twice", "Keep one.")
        yield from _mixed(table, where)
        yield from _uncovered(table, where, base)


def _mixed(table: TableRule, where: str) -> Iterator[Fault]:
    for column in table.columns:
        values = [row[column] for row in table.rows if row.get(column) is not None]
        kinds = {isinstance(value, int | float) for value in values}
        if len(kinds) > 1:
            what = f"column '{column}' holds both numbers and words"
            yield Fault(where, what, "Keep to one of them.")


def _uncovered(table: TableRule, where: str, base: RuleBase) -> Iterator[Fault]:
    for column, fact in table.covers.items():
        shape = base.shapes.get(fact)
        if column not in table.columns or shape is None or not shape.options:
            what = f"'covers' must name a column and a fact with options, not {column}: {fact}"
            yield Fault(where, what, "Correct it.")
            continue
        held = {row.get(column) for row in table.rows}
        for option in shape.options:
            if option not in held:
                what = f"no row for '{option}', an option of '{fact}'"
                yield Fault(where, what, "Add the row.")
