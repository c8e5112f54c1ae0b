"""Show rules to a person: listings for the command line."""

from __future__ import annotations

from collections.abc import Iterator

from planner.errors import InputError, nearest
from planner.rulebase.base import RuleBase
from planner.rulebase.model import KINDS


def listing(base: RuleBase, kind: str) -> Iterator[str]:
    """Yield one line a rule: id, label, unit where there is one, and place.

    ``facts`` lists every name that conditions and slots may use, whoever gives it.

    Raises:
        InputError: If there is no such kind of rule.
    """
    if kind == "facts":
        for name, shape in sorted(base.shapes.items()):
            unit = f" [{shape.unit}]" if shape.unit else f" ({shape.kind})"
            yield f"{name}{unit}: {shape.label}"
        return
    if kind not in KINDS:
        raise InputError.of(kind, "no such kind of rule", nearest(kind, KINDS) or ", ".join(KINDS))
    for name, rule in getattr(base, kind).items():
        label = (
            getattr(rule, "title", "") or getattr(rule, "label", "") or getattr(rule, "says", "")
        )
        yield f"{name}: {label}  ({base.places.get((kind, name), '')})"
