"""Keep what was worked out for one job, for the next job with the same figures.

Only a saving: calculations and the search are pure, so the same input gives the same result. One
memo serves one rule base.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from planner.plan.select import Selection
from planner.recall import Recall

Result = TypeVar("Result")
#: So many results are kept; then it begins again.
MOST_KEPT = 50_000


class Memo:
    """Results by what they were worked out from."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, Any] = {}
        self._about: dict[int, tuple[Any, Any]] = {}
        self.recall = Recall()

    def once(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Return the result kept under a key, or work it out; a failure is not kept."""
        try:
            found: Result = self._kept[key]
        except KeyError:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            found = self._kept[key] = work()
        return found

    def about(self, what: Any, work: Callable[[Any], Result]) -> Result:
        """Return what work makes of an object that nobody changes.

        Work is the same for every object of that kind.

        What is recalled is the same object for every job, so looking at what is in it, as
        ``once`` does, would be lost time.
        """
        entry = self._about.get(id(what))
        if entry is None:
            if len(self._about) >= MOST_KEPT:
                self._about.clear()
            entry = self._about[id(what)] = what, work(what)  # held, so that its id stays its own
        found: Result = entry[1]
        return found


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
