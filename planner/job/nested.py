"""Plain data inside plain data: look up, set and remove by a path of names, changing nothing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Names = tuple[str, ...]


def path_of(fact: str) -> Names:
    """Return the path of a fact's name in a job file."""
    return tuple(fact.split("."))


def has(data: Any, path: Names) -> bool:
    """Return whether something stands at the path."""
    for key in path:
        if not isinstance(data, Mapping) or key not in data:
            return False
        data = data[key]
    return True


def at(data: Any, path: Names) -> Any:
    """Return what stands at the path."""
    for key in path:
        data = data[key]
    return data


def put(data: Any, path: Names, value: Any) -> dict[str, Any]:
    """Return the data with a value at the path; what is in the way there is replaced."""
    head, *rest = path
    held = data if isinstance(data, Mapping) else {}
    return {**held, head: put(held.get(head), tuple(rest), value) if rest else value}


def without(data: Any, path: Names) -> Any:
    """Return the data with nothing at the path."""
    if not has(data, path):
        return data
    head, *rest = path
    if rest:
        return {**data, head: without(data[head], tuple(rest))}
    return {key: value for key, value in data.items() if key != head}
