"""The static check: what each step needs must rule out every invariant on what it does.

This sees a broken rule before any job does: a drilling step that forgets to need the roof propped
is found here, even if the steps before it happen to leave the roof so. A step that brings about
one half of a forbidden combination must keep the other half away itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from planner.errors import Fault
from planner.rulebase.base import RuleBase
from planner.rulebase.model import ActRule, InvariantRule, StepRule

Needs = Mapping[str, frozenset[str]]
#: Entries of conditions that are known to hold.
Terms = Sequence[tuple[str, Any]]


def unimplied(base: RuleBase) -> Iterator[Fault]:
    """Yield a fault for each step whose needs leave room for something that must never be."""
    for step in base.steps.values():
        for rule in base.invariants.values():
            if _may_break(step, rule):
                yield _fault(step, rule, base)


def _may_break(step: StepRule, rule: InvariantRule) -> bool:
    if not rule.never.does:
        return any(_may_combine(step, rule, *left) for left in _leaves(step))
    return any(
        _speaks_of(rule, act)
        and not _excluded(rule, _needs(step, (*_terms(rule.when.raw), *_terms(act.when.raw))))
        for act in step.does
    )


def _speaks_of(rule: InvariantRule, act: ActRule) -> bool:
    return rule.never.does == act.act and rule.never.of in ("", act.of)


def _leaves(step: StepRule) -> Iterator[tuple[Mapping[str, str], Terms]]:
    """What the step may leave, and under which further terms."""
    yield step.leaves, ()
    for more in step.leaves_if:
        given = {name: values[0] for name, values in more.states.items()}
        yield {**step.leaves, **given}, _terms(more.when.raw)


def _may_combine(
    step: StepRule, rule: InvariantRule, leaves: Mapping[str, str], terms: Terms
) -> bool:
    """Whether the step may bring about a combination of states that must never be."""
    bad = {name: frozenset(values) for name, values in rule.never.states.items()}
    if not any(leaves.get(name) in values for name, values in bad.items()):
        return False
    needs = _needs(step, (*_terms(rule.when.raw), *terms))
    ends = {**needs, **{name: frozenset((value,)) for name, value in leaves.items()}}
    return all(ends.get(name, values) & values for name, values in bad.items())


def _needs(step: StepRule, terms: Terms) -> Needs:
    """The needs that bind whenever the step is done and these terms hold."""
    needs = {name: frozenset(values) for name, values in step.needs.items()}
    certain = [*_terms(step.when.raw), *terms]
    for more in step.needs_if:
        if all(term in certain for term in _terms(more.when.raw)):
            for name, values in more.states.items():
                needs[name] = needs.get(name, frozenset(values)) & frozenset(values)
    return needs


def _terms(raw: Any) -> Terms:
    return list(raw.items()) if isinstance(raw, Mapping) else []


def _excluded(rule: InvariantRule, needs: Needs) -> bool:
    """Whether some need keeps at least one of the forbidden states away."""
    return any(
        name in needs and not needs[name] & frozenset(bad)
        for name, bad in rule.never.states.items()
    )


def _fault(step: StepRule, rule: InvariantRule, base: RuleBase) -> Fault:
    states = " and ".join(f"{name} {' or '.join(bad)}" for name, bad in rule.never.states.items())
    of = f" of {rule.never.of}" if rule.never.of else ""
    acts = f"never '{rule.never.does}'{of} with {states}" if rule.never.does else f"never {states}"
    return Fault(
        base.place("steps", step.id),
        f"its needs do not rule out '{rule.id}': {acts}",
        "Need one of these states to be otherwise.",
    )
