"""Walk the parts of a rule: conditions, cited sources and texts, wherever they stand in it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from planner.rulebase.model import Published, When


def parts(rule: Any) -> Iterator[When | Published | str]:
    """Yield every condition, citation and text of a rule, in reading order."""
    if isinstance(rule, When | Published | str):
        yield rule
    else:
        for inner in _inner(rule):
            yield from parts(inner)


def _inner(rule: Any) -> Iterable[Any]:
    if isinstance(rule, BaseModel):
        return [getattr(rule, field) for field in type(rule).model_fields]
    if isinstance(rule, Mapping):
        return list(rule.values())
    return rule if isinstance(rule, tuple | list) else ()


def whens(rule: Any, path: str = "") -> Iterator[tuple[str, When]]:
    """Yield every condition of a rule with the path of its entry, such as ``lines.2.when``."""
    if isinstance(rule, When):
        yield path, rule
    elif isinstance(rule, BaseModel):
        for field in type(rule).model_fields:
            yield from whens(getattr(rule, field), f"{path}.{field}" if path else field)
    elif isinstance(rule, tuple):
        for number, inner in enumerate(rule, 1):
            yield from whens(inner, f"{path}.{getattr(inner, 'id', number)}")


def named_numbers(rule: Any) -> Iterator[str]:
    """Yield the facts named where a number could stand: minutes, bands, quantities, hours."""
    if isinstance(rule, BaseModel):
        for field in type(rule).model_fields:
            value = getattr(rule, field)
            if field in ("of", "low", "high", "quantity", "mass_kg", "after_h") and value:
                yield str(value)
            yield from named_numbers(value)
    elif isinstance(rule, tuple):
        for inner in rule:
            yield from named_numbers(inner)
