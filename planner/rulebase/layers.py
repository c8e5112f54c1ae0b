"""Lay a shop's folder on top of a rule base: add, change, withdraw, fix answers.

Locked rules can be added to, never weakened or withdrawn. Every departure keeps its reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault, InputError, nearest
from planner.rulebase.base import Departure, LayerId, RuleBase
from planner.rulebase.gather import Rules, RuleT, gather
from planner.rulebase.load import digest_of, read_texts
from planner.rulebase.model import (
    KINDS,
    LAYER_KINDS,
    ChangeRule,
    Rule,
    ShopAnswer,
    Unknown,
    WithdrawnRule,
)
from planner.rulebase.values import checked

#: Entries of a locked rule that may grow: more to do, to need, to check, to watch.
MAY_GROW = ("lines", "tools", "materials", "hazards", "after", "readings", "needs", "needs_if",
            "hold", "controls", "cases", "does")  # fmt: skip


def lay(base: RuleBase, folder: Path) -> RuleBase:
    """Return the rule base with a layer on top.

    Raises:
        InputError: With every fault of the layer: unknown or locked rules, wrong entries.
    """
    texts = read_texts(folder)
    head, rules, places = gather(texts, {**KINDS, **LAYER_KINDS})
    layer = _Layer(base, head.name)
    for kind in KINDS:
        for name, rule in rules[kind].items():
            layer.add(kind, name, rule, places[kind, name])
    for name, change in rules["changes"].items():
        layer.change(_as(ChangeRule, change), places["changes", name])
    for name, withdrawn in rules["withdrawn"].items():
        layer.withdraw(_as(WithdrawnRule, withdrawn), places["withdrawn", name])
    for name, answer in rules["answers"].items():
        layer.answer(_as(ShopAnswer, answer), places["answers", name])
    if layer.faults:
        raise InputError(*layer.faults)
    new_places = {key: place for key, place in places.items() if key[0] in KINDS}
    return replace(
        base,
        **layer.rules,  # type: ignore[arg-type]
        places={**base.places, **new_places},
        layers=(*base.layers, LayerId(head.name, head.version, digest_of(texts))),
        fixed={**base.fixed, **layer.fixed},
        departures=(*base.departures, *layer.departures),
    )


def _as(model: type[RuleT], rule: Rule) -> RuleT:
    assert isinstance(rule, model)  # noqa: S101  - gathered under this model's key
    return rule


class _Layer:
    """The rules while a layer is being laid on them."""

    def __init__(self, base: RuleBase, name: str) -> None:
        self.name = name
        self.rules: Rules = {kind: dict(getattr(base, kind)) for kind in KINDS}
        self.fixed: dict[str, Any] = {}
        self.departures: list[Departure] = []
        self.faults: list[Fault] = []

    def add(self, kind: str, name: str, rule: Rule, where: str) -> None:
        """Add a new rule."""
        if name in self.rules[kind]:
            cure = "Change it under 'changes:', with a reason, or give yours another id."
            self._fault(where, f"{kind[:-1]} '{name}' exists in a layer below", cure)
            return
        self.rules[kind][name] = rule

    def change(self, change: ChangeRule, where: str) -> None:
        """Change a rule of a layer below."""
        rule = self._find(change, where)
        if rule is None:
            return
        if getattr(rule, "locked", False) and not self._may_grow(change, where):
            return
        raw = rule.model_dump(mode="json", exclude_unset=True)
        try:
            changed = type(rule).model_validate(_merged(raw, change))
        except (ValidationError, ValueError) as error:
            said = error.errors()[0]["msg"] if isinstance(error, ValidationError) else str(error)
            self._fault(where, f"the changed {change.target} does not fit: {said}", "Correct it.")
            return
        self.rules[change.of][change.id] = changed
        entries = ", ".join((*change.set, *(f"more {name}" for name in change.add)))
        self._depart(change.target, f"changed: {entries}", change.because)

    def withdraw(self, withdrawn: WithdrawnRule, where: str) -> None:
        """Take a rule of a layer below away."""
        rule = self._find(withdrawn, where)
        if rule is None:
            return
        if getattr(rule, "locked", False):
            why = getattr(rule, "because", "")
            what = f"{withdrawn.target} is a safety rule and cannot be withdrawn: {why}"
            self._fault(where, what, "A layer may add to a locked rule, never weaken it.")
            return
        del self.rules[withdrawn.of][withdrawn.id]
        self._depart(withdrawn.target, "withdrawn", withdrawn.because)

    def answer(self, answer: ShopAnswer, where: str) -> None:
        """Fix an answer for every job, or set what stands in until it is known."""
        question = self.rules["questions"].get(answer.fact)
        if question is None:
            cure = nearest(answer.fact, self.rules["questions"])
            self._fault(where, f"no question asks '{answer.fact}'", cure)
            return
        value = answer.fixed if answer.fixed is not None else answer.usual
        try:
            value = checked(question, value)  # type: ignore[arg-type]
        except ValueError as error:
            self._fault(where, str(error), "")
            return
        if answer.fixed is not None:
            self.fixed[answer.fact] = value
        else:
            stand_in = {"unknown": Unknown(assume=value)}
            self.rules["questions"][answer.fact] = question.model_copy(update=stand_in)

    def _find(self, change: ChangeRule | WithdrawnRule, where: str) -> Rule | None:
        if change.of not in KINDS:
            self._fault(where, f"unknown kind of rule '{change.of}'", nearest(change.of, KINDS))
            return None
        rule = self.rules[change.of].get(change.id)
        if rule is None:
            cure = nearest(change.id, self.rules[change.of])
            self._fault(where, f"no {change.of[:-1]} '{change.id}' in the layers below", cure)
        return rule

    def _may_grow(self, change: ChangeRule, where: str) -> bool:
        refused = [*change.set, *(entry for entry in change.add if entry not in MAY_GROW)]
        if refused:
            what = f"{change.target} is a safety rule; '{refused[0]}' of it cannot be changed"
            self._fault(where, what, f"A layer may add to: {', '.join(MAY_GROW)}.")
        return not refused

    def _depart(self, rule: str, what: str, because: str) -> None:
        self.departures.append(Departure(self.name, rule, what, because))

    def _fault(self, where: str, what: str, cure: str) -> None:
        self.faults.append(Fault(where, what, cure))


def _merged(raw: Mapping[str, Any], change: ChangeRule) -> dict[str, Any]:
    merged = {**raw, **change.set}
    for entry, more in change.add.items():
        merged[entry] = _grown(entry, merged.get(entry), more)
    return merged


def _grown(entry: str, present: Any, more: Any) -> Any:
    """Return an entry with more added; a need can only become narrower."""
    if entry == "needs":
        return {**(present or {}), **dict(_narrowed(present or {}, more))}
    if isinstance(present, Mapping):
        return {**present, **more}
    if isinstance(more, bool):
        if present and not more:
            raise ValueError(f"'{entry}' can be switched on, not off")
        return more
    more = more if isinstance(more, list) else [more]
    return [*(present or []), *more]


def _narrowed(present: Mapping[str, Any], more: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    for state, wanted in more.items():
        values = wanted if isinstance(wanted, list) else [wanted]
        wider = [value for value in values if state in present and value not in present[state]]
        if wider:
            raise ValueError(f"need '{state}' can be narrowed, not widened to '{wider[0]}'")
        yield state, values
