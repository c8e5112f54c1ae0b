"""Keep what was worked out for one job, for the next job with the same figures.

Only a saving: calculations and the search are pure, so the same input gives the same result. One
memo serves one rule base.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import replace
from functools import cached_property
from typing import Any, TypeVar

from planner.engineering.bindings import BINDINGS
from planner.ledger import Binding, Provider, calculation
from planner.plan.select import Selection

Result = TypeVar("Result")
#: So many results are kept; then it begins again.
MOST_KEPT = 50_000


class Memo:
    """Results by what they were worked out from."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, Any] = {}

    def once(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Return the result kept under a key, or work it out; a failure is not kept."""
        try:
            found: Result = self._kept[key]
        except KeyError:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            found = self._kept[key] = work()
        return found

    @cached_property
    def providers(self) -> tuple[Provider, ...]:
        """All calculations, each worked out once for the same arguments."""
        return tuple(
            calculation(replace(binding, call=self._calling(number, binding)))
            for number, binding in enumerate(BINDINGS)
        )

    def _calling(self, number: int, binding: Binding) -> Callable[..., Any]:
        plain = [name for name, fact in binding.takes.items() if not fact.startswith("table.")]

        def call(**arguments: Any) -> Any:
            values = tuple(arguments[name] for name in plain)
            return self.once((number, _hashable(values)), lambda: binding.call(**arguments))

        return call


def _hashable(values: tuple[Any, ...]) -> Hashable:
    """Return values as a key; lists and mappings go by how they are written."""
    key = tuple((value.__class__, value) for value in values)  # 1, 1.0 and True are equal
    try:
        hash(key)
    except TypeError:
        return repr(values)
    return key


def key_of(chosen: Selection) -> Hashable:
    """Return all that order, timetable and proof read of a selection, as a key."""
    tasks = tuple(
        (task.id, task.after, tuple(task.needs.items()), tuple(task.leaves.items()), task.acts,
         task.minutes, task.people)
        for task in chosen.tasks.values()
    )  # fmt: skip
    states = tuple((v.id, v.initial, v.clocks) for v in chosen.variables.values())
    never = tuple((i.id, i.does, i.of, tuple(i.states.items())) for i in chosen.invariants.values())
    return tasks, states, never
