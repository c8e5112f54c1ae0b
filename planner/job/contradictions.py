"""Answers that cannot all be true: each with the answer to look at and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.rulebase.base import RuleBase
from planner.rulebase.values import UNKNOWN

#: The fact to point at, what is wrong, and the cure.
Contradiction = tuple[str, str, str]


def contradictions(base: RuleBase, answers: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield every contradiction between answers that are both given."""
    known = {name: value for name, value in answers.items() if value != UNKNOWN}
    yield from _panel_on_roof(base, known)


def _panel_on_roof(base: RuleBase, known: Mapping[str, Any]) -> Iterator[Contradiction]:
    names = ("panel.length_mm", "panel.width_mm", "roof.length_mm", "roof.width_mm")
    if not all(name in known for name in names):
        return
    panel = sorted(known[name] for name in names[:2])
    roof = sorted(known[name] for name in names[2:])
    if panel[0] > roof[0] or panel[1] > roof[1]:
        size = " × ".join(base.text(name, known[name]) for name in names[:2])
        yield (
            "panel.length_mm",
            f"the panel ({size}) is larger than the roof, whichever way round it lies",
            "Check both sizes, in millimetres; otherwise choose a smaller panel.",
        )
