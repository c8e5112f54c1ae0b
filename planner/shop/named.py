"""What a name given to ``why`` can stand for: facts, rules, and options of decisions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.rulebase.base import RuleBase


def option_ids(base: RuleBase, decision: str) -> tuple[str, ...]:
    """Return the options of a decision; none if there is no such decision."""
    rule = base.decisions.get(decision)
    return tuple(option.id for option in rule.options) if rule else ()


def known_names(base: RuleBase, kinds: Iterable[str]) -> Iterator[str]:
    """Yield every name: facts, rules of these kinds, options."""
    yield from base.shapes
    for kind in kinds:
        yield from getattr(base, kind)
    for decision in base.decisions:
        yield from option_ids(base, decision)
