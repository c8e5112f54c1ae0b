"""The static check: what each step needs must rule out every invariant on what it does.

This sees a broken rule before any job does: a drilling step that forgets to need the roof propped
is found here, even if the steps before it happen to leave the roof so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.errors import Fault
from planner.rulebase.base import RuleBase
from planner.rulebase.model import ActRule, InvariantRule, StepRule

Needs = Mapping[str, frozenset[str]]


def unimplied(base: RuleBase) -> Iterator[Fault]:
    """Yield a fault for each step whose needs leave room for something that must never be."""
    for step in base.steps.values():
        for act in step.does:
            for rule in base.invariants.values():
                if _speaks_of(rule, act) and not _excluded(rule, _needs(step, rule, act)):
                    yield _fault(step, rule, base)


def _speaks_of(rule: InvariantRule, act: ActRule) -> bool:
    return rule.never.does == act.act and rule.never.of in ("", act.of)


def _needs(step: StepRule, rule: InvariantRule, act: ActRule) -> Needs:
    """The needs that bind whenever the step does this act and the invariant holds."""
    needs = {name: frozenset(values) for name, values in step.needs.items()}
    certain = [*_terms(step.when.raw), *_terms(rule.when.raw), *_terms(act.when.raw)]
    for more in step.needs_if:
        if all(term in certain for term in _terms(more.when.raw)):
            for name, values in more.states.items():
                needs[name] = needs.get(name, frozenset(values)) & frozenset(values)
    return needs


def _terms(raw: Any) -> list[tuple[str, Any]]:
    return list(raw.items()) if isinstance(raw, Mapping) else []


def _excluded(rule: InvariantRule, needs: Needs) -> bool:
    """Whether some need keeps at least one of the forbidden states away."""
    return any(
        name in needs and not needs[name] & frozenset(bad)
        for name, bad in rule.never.states.items()
    )


def _fault(step: StepRule, rule: InvariantRule, base: RuleBase) -> Fault:
    states = ", ".join(f"{name} {' or '.join(bad)}" for name, bad in rule.never.states.items())
    of = f" of {rule.never.of}" if rule.never.of else ""
    return Fault(
        base.place("steps", step.id),
        f"its needs do not rule out '{rule.id}': never '{rule.never.does}'{of} with {states}",
        "Need one of these states to be otherwise.",
    )
