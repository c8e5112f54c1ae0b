"""Collect what the selected steps call for: hazards with controls, materials, tools."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from planner.ledger import NA, Ledger
from planner.plan.model import Control, HazardResult, Item
from planner.rulebase.base import RuleBase, fill
from planner.rulebase.conditions import holds
from planner.rulebase.model import HazardRule, MaterialRule

LEVELS = ("eliminate", "substitute", "engineer", "organise", "protect")
#: Units of what is bought by the piece.
WHOLE = ("", "pcs", "pairs", "set", "sets", "pack", "roll", "rolls", "bottle", "can", "cartridges")
#: Who names what: rule id -> the steps of this job that use it, in order of work.
Users = Mapping[str, tuple[str, ...]]


def users(order: Iterable[str], base: RuleBase, kind: str) -> Users:
    """Return for each hazard, material or tool (``kind``) the steps that name it, in order."""
    found: dict[str, dict[str, None]] = {}
    for step in order:
        for name in getattr(base.steps[step], kind):
            found.setdefault(name, {})[step] = None
    return {name: tuple(steps) for name, steps in found.items()}


def hazards(order: Iterable[str], ledger: Ledger, base: RuleBase) -> tuple[HazardResult, ...]:
    """Return the hazards of this job in the order of the rules, each with its live controls."""
    used = users(order, base, "hazards")
    return tuple(
        _hazard(rule, used[rule.id], ledger, base)
        for rule in base.hazards.values()
        if rule.id in used and holds(rule.when.condition, ledger)
    )


def _hazard(
    rule: HazardRule, steps: tuple[str, ...], ledger: Ledger, base: RuleBase
) -> HazardResult:
    controls = [
        Control(control.level, fill(control.says, ledger.get, base))
        for control in rule.controls
        if holds(control.when.condition, ledger)
    ]
    return HazardResult(
        id=rule.id,
        title=rule.title,
        harm=rule.harm,
        who=rule.who,
        before=(rule.before.likelihood, rule.before.severity),
        after=(rule.after.likelihood, rule.after.severity),
        controls=tuple(sorted(controls, key=lambda control: LEVELS.index(control.level))),
        steps=steps,
        because=rule.because,
        source=base.cite(rule.source),
    )


def materials(order: Iterable[str], ledger: Ledger, base: RuleBase) -> tuple[Item, ...]:
    """Return the materials of this job with quantities, spare included."""
    used = users(order, base, "materials")
    return tuple(_material(rule, used[rule.id], ledger, base) for rule in _live(used, ledger, base))


def _live(used: Users, ledger: Ledger, base: RuleBase) -> Iterator[MaterialRule]:
    for rule in base.materials.values():
        if rule.id in used and holds(rule.when.condition, ledger):
            yield rule


def _material(rule: MaterialRule, steps: tuple[str, ...], ledger: Ledger, base: RuleBase) -> Item:
    quantity = _number(rule.quantity, ledger)
    if quantity is not None:
        quantity = _with_spare(quantity, rule.spare_percent, whole=rule.unit in WHOLE)
    return Item(
        id=rule.id,
        label=rule.label,
        spec=fill(rule.spec, ledger.get, base),
        quantity=quantity,
        unit=rule.unit,
        steps=steps,
        note=fill(rule.note, ledger.get, base),
        mass_kg=_number(rule.mass_kg, ledger),
        part_number=rule.part_number,
        price=rule.price,
        cost=None if rule.price is None or quantity is None else round(rule.price * quantity, 2),
    )


def _with_spare(quantity: float, spare_percent: float, *, whole: bool) -> float:
    """A quantity with its spare, rounded up: to a piece, or to half a metre."""
    more = round(quantity * (1 + spare_percent / 100), 2)
    return float(math.ceil(more)) if whole else math.ceil(2 * more) / 2


def _number(value: float | str | None, ledger: Ledger) -> float | None:
    found = ledger.get(value) if isinstance(value, str) else value
    return None if found is None or found is NA else float(found)


def tools(order: Iterable[str], base: RuleBase) -> tuple[Item, ...]:
    """Return the tools that the steps of this job name, in the order of the rules."""
    used = users(order, base, "tools")
    return tuple(
        Item(rule.id, rule.label, rule.note, None, "", used[rule.id])
        for rule in base.tools.values()
        if rule.id in used
    )
