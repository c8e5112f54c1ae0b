"""What a name given to ``why`` can stand for: facts, rules, and options of decisions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.errors import nearest
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


def near_name(base: RuleBase, kinds: Iterable[str], name: str) -> str:
    """Return ``Did you mean 'x'?`` for a name that nothing has, or an empty text.

    After a kind of rule or a decision, such as ``hazards/fall``, only what belongs to it is near.
    """
    kinds = tuple(kinds)
    kind, _, rest = name.partition("/")
    within = getattr(base, kind) if kind in kinds else option_ids(base, kind)
    if not rest or not within:
        return nearest(name, known_names(base, kinds))
    return nearest(f"{kind}/{rest}", (f"{kind}/{one}" for one in within))
