"""Lay a shop's folders on top of a rule base: add, change, withdraw, give answers.

Locked rules can be added to, never weakened or withdrawn. Every departure keeps its reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace
from pydantic import ValidationError

from planner.errors import Fault, InputError, nearest
from planner.rulebase.base import Departure, LayerId, RuleBase
from planner.rulebase.gather import Places, Rules, RuleT, collect
from planner.rulebase.guards import Guards
from planner.rulebase.house import assets, furnish
from planner.rulebase.load import digest_of, read_files, texts_of
from planner.rulebase.merge import merged
from planner.rulebase.misfit import explanations
from planner.rulebase.model import (
    KINDS,
    LAYER_KINDS,
    BaseRule,
    ChangeRule,
    Question,
    Rule,
    ShopAnswer,
    Unknown,
    WithdrawnRule,
)
from planner.rulebase.values import checked

#: Lists in which rules name one another; a withdrawn rule is taken off them.
NAMED_IN = {"steps": "after", "tools": "tools", "materials": "materials", "hazards": "hazards"}


class Laid(Struct, frozen=True):
    """A rule base under its layers, and what was wrong with them.

    ``lost`` names the rules that could not be read at all.
    """

    base: RuleBase
    faults: tuple[Fault, ...] = ()
    lost: frozenset[str] = field(default_factory=frozenset)


def stack(base: RuleBase, folders: Iterable[Path]) -> RuleBase:
    """Return the rule base with layers on top, the first given lowest.

    Raises:
        InputError: With every fault of every layer.
    """
    laid = lay_all(base, folders)
    if laid.faults:
        raise InputError(*laid.faults)
    return laid.base


def lay_all(base: RuleBase, folders: Iterable[Path]) -> Laid:
    """Lay each folder on those before it, whatever is wrong with them."""
    laid = Laid(base)
    for folder in folders:
        one = lay(laid.base, folder)
        laid = Laid(one.base, (*laid.faults, *one.faults), laid.lost | one.lost)
    return laid


def lay(base: RuleBase, folder: Path) -> Laid:
    """Lay one folder on the rules below it.

    Raises:
        InputError: If there is no such folder, or nothing to read in it.
    """
    files = read_files(folder)
    gathered = collect(texts_of(files), {**KINDS, **LAYER_KINDS})
    head = gathered.head or BaseRule.model_construct(name=folder.name, version="?", date="?")
    layer = _Layer(base, head.name, gathered.places, gathered.lost)
    layer.faults.extend(gathered.faults)
    layer.take(gathered.rules)
    own = furnish(replace(base.house, templates={}), head, folder, layer.faults)
    digest = digest_of({**files, **assets(own)})
    named = LayerId(head.name, head.version, digest, head.date, head.approved_by)
    if named.name in {one.name for one in base.layers}:
        what = f"a layer below is called '{head.name}' too"
        layer.faults.append(Fault(f"{folder.name}/base", what, "Give each layer its own name."))
    laid = replace(
        base,
        **layer.rules,
        places={**base.places, **layer.new_places, **layer.changed_places},
        layers=(*base.layers, named),
        fixed={**base.fixed, **layer.fixed},
        departures=(*base.departures, *layer.departures, *_worded(head.name, own.templates)),
        added={**base.added, **dict.fromkeys(layer.new_places, head.name)},
        house=replace(own, templates={**base.house.templates, **own.templates}),
    )
    return Laid(laid, tuple(layer.faults), frozenset(gathered.lost))


def _worded(layer: str, templates: Iterable[str]) -> Iterator[Departure]:
    """Yield a departure for each section of the pack that the layer words itself."""
    for name in templates:
        section = name.rpartition("/")[2].partition(".")[0]
        because = "Its own text stands in place of the built-in one."
        yield Departure(layer, f"sections/{section}", "worded by this layer", because)


def _as(model: type[RuleT], rule: Rule) -> RuleT:
    assert isinstance(rule, model)  # noqa: S101  - gathered under this model's key
    return rule


class _Layer:
    """The rules while a layer is being laid on them."""

    def __init__(self, base: RuleBase, name: str, places: Places, lost: set[str]) -> None:
        self.name, self._places, self._lost = name, places, lost
        self.rules: Rules = {kind: dict(getattr(base, kind)) for kind in KINDS}
        self._base = base
        self._guards = Guards(self.rules)
        self.new_places: Places = {}
        self.changed_places: Places = {}
        self.fixed: dict[str, Any] = {}
        self.departures: list[Departure] = []
        self.faults: list[Fault] = []

    def take(self, given: Rules) -> None:
        """Take everything of the layer: what is new, then changed, withdrawn and answered."""
        for kind in KINDS:
            for name, rule in given[kind].items():
                self._add(kind, name, rule)
        for change in given["changes"].values():
            self._change(_as(ChangeRule, change))
        for withdrawn in given["withdrawn"].values():
            self._withdraw(_as(WithdrawnRule, withdrawn))
        for answer in given["answers"].values():
            self._answer(_as(ShopAnswer, answer))

    def _add(self, kind: str, name: str, rule: Rule) -> None:
        where = self._places[kind, name]
        if name in self.rules[kind]:
            cure = "Change it under 'changes:', with a reason, or give yours another id."
            self._fault(f"{where}: {name}", f"{kind[:-1]} '{name}' exists in a layer below", cure)
            return
        self.rules[kind][name] = rule
        self.new_places[kind, name] = where

    def _change(self, change: ChangeRule) -> None:
        where = self._where("changes", change.target)
        rule = self._find(change, where)
        if rule is None:
            return
        refused = self._guards.changing(change, rule)
        if refused:
            self._fault(where, *refused)
            return
        changed = self._changed(rule, change, where)
        if changed is not None:
            self.rules[change.of][change.id] = changed
            self._changed_at(change)
            said = ", ".join((*change.set, *(f"more {name}" for name in change.add)))
            entries = (name.partition(".")[0] for name in (*change.set, *change.add))
            self._depart(change.target, f"changed: {said}", change.because, *entries)

    def _changed_at(self, change: ChangeRule) -> None:
        """What is wrong with a rule from now on is looked for where it was changed last."""
        key = change.of, change.id
        first = (self.new_places.get(key) or self._base.places.get(key, "")).split(", changing ")[0]
        self.changed_places[key] = f"{self._places['changes', change.target]}, changing {first}"

    def _changed(self, rule: Rule, change: ChangeRule, where: str) -> Rule | None:
        raw = rule.model_dump(mode="json", exclude_unset=True)
        item: Any = raw
        try:
            item = merged(raw, change)
            return type(rule).model_validate(item)
        except ValidationError as error:
            for _, what, cure in explanations(error, type(rule), item):
                self._fault(where, f"changed so, it does not fit: {what}", cure)
        except ValueError as error:
            self._fault(where, str(error), "")
        return None

    def _withdraw(self, withdrawn: WithdrawnRule) -> None:
        where = self._where("withdrawn", withdrawn.target)
        rule = self._find(withdrawn, where)
        if rule is None:
            return
        refused = self._guards.withdrawing(withdrawn, rule)
        if refused:
            self._fault(where, *refused)
            return
        del self.rules[withdrawn.of][withdrawn.id]
        self._take_off_lists(withdrawn, rule)
        self._depart(withdrawn.target, "withdrawn", withdrawn.because)

    def _take_off_lists(self, withdrawn: WithdrawnRule, rule: Rule) -> None:
        """Steps no longer name it; what came after a withdrawn step comes after those before it."""
        entry = NAMED_IN.get(withdrawn.of)
        if entry is None:
            return
        instead = getattr(rule, "after", ()) if entry == "after" else ()
        for name, step in self.rules["steps"].items():
            named = getattr(step, entry)
            if withdrawn.id in named:
                kept = [one for one in named if one != withdrawn.id]
                new = tuple(dict.fromkeys((*kept, *(one for one in instead if one != name))))
                self.rules["steps"][name] = step.model_copy(update={entry: new})

    def _answer(self, answer: ShopAnswer) -> None:
        where = self._where("answers", answer.fact)
        question = self.rules["questions"].get(answer.fact)
        if question is None:
            cure = nearest(answer.fact, self.rules["questions"])
            self._fault(where, "no question asks this", cure)
            return
        asked = _as(Question, question)
        try:
            given = _given(asked, answer)
        except ValueError as error:
            self._fault(where, str(error), "")
            return
        if answer.fixed is not None:
            self.fixed[answer.fact] = given
        else:
            self.rules["questions"][answer.fact] = asked.model_copy(
                update={"unknown": _standing_in(asked, given)}
            )
        how = "fixed" if answer.fixed is not None else "usual"
        said = self._base.text(answer.fact, given) if not isinstance(given, dict) else _span(given)
        self._depart(f"answers/{answer.fact}", f"{how}: {said}", answer.because)

    def _find(self, change: ChangeRule | WithdrawnRule, where: str) -> Rule | None:
        if change.of not in KINDS:
            cure = nearest(change.of, KINDS) or f"Kinds: {', '.join(KINDS)}."
            self._fault(where, f"unknown kind of rule '{change.of}'", cure)
            return None
        rule = self.rules[change.of].get(change.id)
        if rule is None and change.id not in self._lost:
            cure = nearest(change.id, self.rules[change.of]) or self._elsewhere(change.id)
            self._fault(where, f"no {change.of[:-1]} '{change.id}' in the layers below", cure)
        return rule

    def _elsewhere(self, name: str) -> str:
        kind = next((kind for kind in KINDS if name in self.rules[kind]), "")
        return f"It is one of the {kind}." if kind else "See: lidwork rules list"

    def _where(self, kind: str, name: str) -> str:
        return f"{self._places[kind, name]}: {name}"

    def _depart(self, rule: str, what: str, because: str, *entries: str) -> None:
        self.departures.append(Departure(self.name, rule, what, because, entries))

    def _fault(self, where: str, what: str, cure: str) -> None:
        self.faults.append(Fault(where, what, cure))


def _given(question: Question, answer: ShopAnswer) -> Any:
    """Return the checked answer; a usual one may be a range where both ends can hurt.

    Raises:
        ValueError: If it does not fit the question.
    """
    value = answer.fixed if answer.fixed is not None else answer.usual
    is_span = question.unknown.span and isinstance(value, dict) and set(value) == {"low", "high"}
    if answer.fixed is None and is_span:
        low, high = checked(question, value["low"]), checked(question, value["high"])
        if low > high:
            raise ValueError(f"the low end {low:g} is above the high end {high:g}")
        return {"low": low, "high": high}
    return checked(question, value)


def _standing_in(question: Question, value: Any) -> Unknown:
    """What stands in keeps its standing: a usual answer does not replace a measurement."""
    if question.unknown.suppose is not None:
        return Unknown(suppose=value)
    if question.unknown.span and not isinstance(value, dict):
        return Unknown(assume={"low": value, "high": value})
    return Unknown(assume=value)


def _span(ends: dict[str, float]) -> str:
    return f"{ends['low']:g} to {ends['high']:g}"
