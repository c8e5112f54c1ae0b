"""Lay a change over the entries of one rule: put values in place, or let lists and needs grow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from planner.errors import nearest
from planner.rulebase.model import ChangeRule


def merged(raw: Mapping[str, Any], change: ChangeRule) -> dict[str, Any]:
    """Return a rule's entries with a change laid over them.

    A name may lead into a rule: ``options.bolted_brackets.points``, ``rows.3.factor``,
    ``lines.2``; items of a list go by their id, or by their number from 1.

    Raises:
        ValueError: If a name leads nowhere, or a need would become wider.
    """
    data = deepcopy(dict(raw))
    for name, value in change.set.items():
        _put(data, name.split("."), value, name)
    for name, more in change.add.items():
        held, key = _led(data, name.split("."), name)
        _store(held, key, _grown(name, _present(held, key), more))
    return data


def _put(data: dict[str, Any], way: list[str], value: Any, name: str) -> None:
    held, key = _led(data, way, name)
    _store(held, key, value)


def _store(held: Any, key: str | int, value: Any) -> None:
    held[key] = value


def _present(held: Any, key: str | int) -> Any:
    return held.get(key) if isinstance(held, dict) else held[key]


def _led(data: Any, way: list[str], name: str) -> tuple[Any, str | int]:
    """Follow a name to the mapping or list that holds its last part, and that part's key there."""
    while True:
        key, used = _step(data, way, name)
        if used == len(way):
            return data, key
        data = _present(data, key)
        way = way[used:]


def _step(held: Any, way: list[str], name: str) -> tuple[str | int, int]:
    """Return the key that the next part of the way stands for, and how many words it takes."""
    if isinstance(held, list):
        return _place(held, way[0], name), 1
    if not isinstance(held, dict):
        raise ValueError(f"'{name}' leads nowhere: '{way[0]}' would stand inside {held!r}")
    for used in range(len(way), 0, -1):  # names of facts hold full stops themselves
        if ".".join(way[:used]) in held:
            return ".".join(way[:used]), used
    if len(way) == 1:
        return way[0], 1
    hint = nearest(way[0], held)
    raise ValueError(f"'{name}' leads nowhere: no '{way[0]}' there. {hint}".strip())


def _place(items: list[Any], word: str, name: str) -> int:
    ids = [item.get("id", item.get("fact")) if isinstance(item, dict) else None for item in items]
    if word in ids:
        return ids.index(word)
    if word.isdigit() and 1 <= int(word) <= len(items):
        return int(word) - 1
    known = [str(one) for one in ids if one is not None]
    hint = nearest(word, known) or f"Give an id, or a number from 1 to {len(items)}."
    raise ValueError(f"'{name}' leads nowhere: no '{word}' there. {hint}")


def _grown(name: str, present: Any, more: Any) -> Any:
    """Return an entry with more added; a need can only become narrower."""
    if name == "needs":
        return {**(present or {}), **dict(_narrowed(present or {}, more))}
    if isinstance(more, bool):
        if present and not more:
            raise ValueError(f"'{name}' can be switched on, not off")
        return more
    if isinstance(present, Mapping) or (present is None and isinstance(more, Mapping)):
        return {**(present or {}), **dict(_new(name, present or {}, more))}
    return [*([] if present is None else _listed(present)), *_listed(more)]


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _new(name: str, present: Mapping[str, Any], more: Any) -> Iterator[tuple[str, Any]]:
    if not isinstance(more, Mapping):
        raise ValueError(f"'{name}' holds named entries; add them as 'name: value'")
    for key, value in more.items():
        if key in present:
            raise ValueError(f"'{name}' has '{key}' already; change it under 'set:'")
        yield key, value


def _narrowed(present: Mapping[str, Any], more: Any) -> Iterator[tuple[str, Any]]:
    for state, wanted in more.items():
        values = _listed(wanted)
        held = _listed(present.get(state, values))
        wider = [value for value in values if value not in held]
        if wider:
            raise ValueError(f"need '{state}' can be narrowed, not widened to '{wider[0]}'")
        yield state, values
