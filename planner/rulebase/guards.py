"""What a layer may not do: weaken a safety rule, or pull away what safety rules stand on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.rulebase import walk
from planner.rulebase.conditions import facts_read
from planner.rulebase.model import KINDS, ChangeRule, Rule, When, WithdrawnRule

#: Entries of a locked rule that may grow: more to do, to need, to check, to watch.
MAY_GROW = ("lines", "tools", "materials", "hazards", "after", "readings", "needs", "needs_if",
            "hold", "controls", "cases", "does")  # fmt: skip
#: Entries that no layer sets: names, what calculations count on, what the proof stands on.
FIRM: Mapping[str, tuple[str, ...]] = {
    "questions": ("kind", "unit", "when", "unknown", "fields", "options"),
    "facts": ("kind", "unit"),
    "values": ("kind", "unit"),
    "states": ("values", "initial_if", "changes", "nights"),
    "steps": ("does", "hazards", "leaves", "leaves_if", "enabling"),
    "tables": ("columns",),
}
NAMES = ("id", "fact", "gives")
ADD = "A layer may add to a locked rule, never weaken it: "

Refusal = tuple[str, str]


class Guards:
    """What the rules below a layer keep it from doing."""

    def __init__(self, rules: Mapping[str, Mapping[str, Rule]]) -> None:
        self._rules = rules
        self._leant_on = dict(_leant_on(rules))

    def withdrawing(self, withdrawn: WithdrawnRule, rule: Rule) -> Refusal | None:
        """Return why a rule cannot be withdrawn, with the cure; None if it can."""
        what = f"{withdrawn.target} is a safety rule and cannot be withdrawn"
        if getattr(rule, "locked", False):
            return f"{what}: {getattr(rule, 'because', '')}", f"{ADD}{', '.join(MAY_GROW)}."
        return self._held(withdrawn.id, f"{withdrawn.target} cannot be withdrawn")

    def changing(self, change: ChangeRule, rule: Rule) -> Refusal | None:
        """Return why a rule cannot be changed so, with the cure; None if it can."""
        if getattr(rule, "locked", False):
            return _locked(change, rule)
        firm = (*NAMES, *FIRM.get(change.of, ()))
        for entry in (*change.set, *change.add):
            if entry in firm and not (entry in change.add and _may_be_added(change.of, entry)):
                return f"'{entry}' of {change.target} cannot be changed", _instead(change.of, entry)
        if change.of in ("values", "flags"):
            what = f"{change.target} cannot be changed"
            return self._held(change.id, what) if _changes_meaning(change) else None
        return None

    def _held(self, name: str, what: str) -> Refusal | None:
        user = self._leant_on.get(name)
        if user is None:
            return None
        cure = "Leave it; where yours is stricter, add a finding or a check of your own."
        return f"{what}: the safety rule {user} stands on it", cure


def _locked(change: ChangeRule, rule: Rule) -> Refusal | None:
    grows = (*MAY_GROW, *(f"options.{option.id}.ruled_out" for option in _options(rule)))
    refused = [*change.set, *(entry for entry in change.add if entry not in grows)]
    if not refused:
        return None
    because = getattr(rule, "because", "")
    what = f"{change.target} is a safety rule; '{refused[0]}' of it cannot be changed: {because}"
    return what, f"{ADD}{', '.join(MAY_GROW)}."


def _options(rule: Rule) -> Any:
    return getattr(rule, "options", ())


def _may_be_added(kind: str, entry: str) -> bool:
    return (kind, entry) in (
        ("states", "values"),
        ("steps", "does"),
        ("steps", "hazards"),
        ("questions", "options"),
    )


def _instead(kind: str, entry: str) -> str:
    if entry in NAMES:
        return "Names are for good: withdraw the rule and add your own."
    if (kind, entry) == ("questions", "unknown"):
        return "Give your usual answer under 'answers:'."
    if _may_be_added(kind, entry):
        return f"Use 'add: {{{entry}: …}}'; single wordings go by their name, as '{entry}.NAME'."
    return "Other rules and calculations count on it."


def _changes_meaning(change: ChangeRule) -> bool:
    return bool({*change.set, *change.add} - {"label", "precision", "because", "source", "confirm"})


def _leant_on(rules: Mapping[str, Mapping[str, Rule]]) -> Iterator[tuple[str, str]]:
    """Yield each fact that a locked rule tests or names, with that rule, flags looked through."""
    waiting = [
        (f"{kind}/{name}", rule)
        for kind in KINDS
        for name, rule in rules[kind].items()
        if getattr(rule, "locked", False)
    ]
    seen: set[str] = set()
    while waiting:
        user, rule = waiting.pop()
        for fact in _facts(rule):
            if fact not in seen:
                seen.add(fact)
                yield fact, user
                if fact in rules["flags"]:
                    waiting.append((user, rules["flags"][fact]))


def _facts(rule: Rule) -> Iterator[str]:
    for part in walk.parts(rule):
        if isinstance(part, When):
            yield from facts_read(part.condition)
    yield from walk.named_numbers(rule)
