"""Read the facts of a finished plan for documents; what does not apply reads as empty."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from planner.pack.blocks import Pair, Table
from planner.pack.imperial import alone
from planner.pack.text import capital, figure, heading, plain, unit_of, words
from planner.plan.model import DecisionResult, FactResult, OptionResult

DASH = "—"


class Facts:
    """The facts of one plan, by name; an absent fact and one that does not apply are alike."""

    def __init__(
        self, facts: Mapping[str, FactResult], decisions: Sequence[DecisionResult] = ()
    ) -> None:
        self._facts = facts
        self._decisions = {decision.id: decision for decision in decisions}
        self._both = self.value("job.units") == "both"

    def value(self, name: str) -> Any:
        """Return the value, or None."""
        found = self._facts.get(name)
        return found.value if found else None

    def text(self, name: str) -> str:
        """Return the value as it is printed, with its unit; empty where there is none."""
        found = self._facts.get(name)
        if found is None or found.value is None or found.text == DASH:
            return ""
        return plain(found.text)

    def options(self, decision: str) -> tuple[OptionResult, ...]:
        """Return every option of a decision with its verdict; none where it was not to be made."""
        found = self._decisions.get(decision)
        return found.options if found else ()

    def number(self, name: str, default: float = 0.0) -> float:
        """Return a number, or the default."""
        value = self.value(name)
        if isinstance(value, bool) or not isinstance(value, int | float):
            return default
        return float(value)

    def has(self, *names: str) -> bool:
        """Whether all these facts have a value."""
        return all(self.value(name) is not None for name in names)

    def rows(self, name: str) -> list[Mapping[str, Any]]:
        """Return the rows of a ``rows`` or list fact, or none."""
        value = self.value(name)
        if not isinstance(value, Sequence) or isinstance(value, str):
            return []
        return [row for row in value if isinstance(row, Mapping)]

    def pairs(self, *names: str) -> tuple[Pair, ...]:
        """Return label and text of each fact that applies; notes say where it was assumed."""
        found = (self._facts[name] for name in names if self.text(name))
        return tuple(
            Pair(capital(plain(fact.label)), plain(fact.text), _mark(fact)) for fact in found
        )

    def table(
        self,
        name: str,
        caption: str,
        columns: Sequence[str] = (),
        names: Mapping[str, str] | None = None,
        worded: Collection[str] = (),
    ) -> tuple[Table, ...]:
        """Return the rows of a fact as a table, or nothing where it has none.

        Args:
            name: The fact.
            caption: Caption of the table.
            columns: Keys to show, in order; those that no row has are left out. Empty shows all.
            names: Headings that differ from what the key says.
            worded: Keys whose values are identifiers, printed in words.
        """
        rows = self.rows(name)
        keys = [key for key in (columns or _keys(rows)) if any(key in row for row in rows)]
        if not rows or not keys:
            return ()
        head = tuple((names or {}).get(key) or heading(key) for key in keys)
        body = tuple(tuple(self._cell(row, key, key in worded) for key in keys) for row in rows)
        return (Table(caption, head, body),)

    def _cell(self, row: Mapping[str, Any], key: str, worded: bool) -> str:
        value = row.get(key)
        text = figure(value)
        if worded:
            return words(text)
        if not self._both or isinstance(value, bool) or not isinstance(value, int | float):
            return text
        other = "" if "_per_" in key else alone(value, unit_of(key))
        return f"{text} ({other})" if other else text


def _keys(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    return list(dict.fromkeys(key for row in rows for key in row))


def _mark(fact: FactResult) -> str:
    return {"assumed": "assumed, measure it", "supposed": "supposed, not known"}.get(
        fact.origin, ""
    )
