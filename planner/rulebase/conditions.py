"""Conditions as data: parse them, test them against the ledger, and say them back in English."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Protocol

from msgspec import Struct

from planner.ledger import NA


class Reads(Protocol):
    """What a condition needs of the ledger."""

    def get(self, name: str) -> Any:
        """Return a fact's value, or ``NA``."""


class Wording(Protocol):
    """What a condition needs to speak: labels of facts and values with their units."""

    def label(self, name: str) -> str:
        """Return a fact's label."""

    def text(self, name: str, value: Any) -> str:
        """Return a value as it is printed."""


class Test(Struct, frozen=True):
    """One fact against one operand; a fact that does not apply fails every test.

    ``operand`` is a tuple of values for ``is`` and ``is_not``, a number or a fact's name for the
    comparisons, a value for ``includes`` and a bool for ``empty``.
    """

    fact: str
    op: str
    operand: Any


class Group(Struct, frozen=True):
    """Several conditions: ``all`` of them, ``any`` of them, or ``none`` of them."""

    kind: str
    parts: tuple[Test | Group, ...]


Condition = Test | Group
ALWAYS = Group("all", ())
COMPARISONS: Mapping[str, tuple[Callable[[Any, Any], bool], str]] = {
    "above": (lambda a, b: a > b, "over"),
    "at_least": (lambda a, b: a >= b, "at least"),
    "below": (lambda a, b: a < b, "under"),
    "at_most": (lambda a, b: a <= b, "at most"),
}
OPERATIONS = (*COMPARISONS, "is", "is_not", "includes", "empty")
GROUPS = ("all", "any", "none")


def parse(raw: Any) -> Condition:
    """Return the condition written as data.

    A mapping means all of its entries. A scalar means equality, a list means any of its values;
    ``{above: 10}`` compares with a number or with another fact's value.

    Raises:
        ValueError: If the data is not a condition; the text says what is wrong.
    """
    if raw is None:
        return ALWAYS
    if not isinstance(raw, Mapping):
        raise ValueError(f"a condition is a mapping of facts to values, not {raw!r}")
    parts = tuple(part for key, value in raw.items() for part in _entry(str(key), value))
    return parts[0] if len(parts) == 1 else Group("all", parts)


def _entry(key: str, value: Any) -> Iterator[Condition]:
    if key in GROUPS:
        items = value if isinstance(value, list) else [value]
        yield Group(key, tuple(parse(item) for item in items))
    elif isinstance(value, Mapping):
        for op, operand in value.items():
            if op not in OPERATIONS:
                raise ValueError(
                    f"unknown test '{op}' of {key}; use one of {', '.join(OPERATIONS)}"
                )
            yield Test(key, op, _operand(key, op, operand))
    else:
        yield Test(key, "is", _values(value))


def _operand(key: str, op: str, operand: Any) -> Any:
    if op in ("is", "is_not"):
        return _values(operand)
    if op in COMPARISONS and (
        isinstance(operand, bool) or not isinstance(operand, int | float | str)
    ):
        raise ValueError(f"'{op}' of {key} needs a number or the name of a fact, not {operand!r}")
    return operand


def _values(value: Any) -> tuple[Any, ...]:
    return tuple(value) if isinstance(value, list | tuple) else (value,)


def holds(condition: Condition, facts: Reads) -> bool:
    """Return whether the condition holds; reads are recorded by the ledger behind ``facts``."""
    if isinstance(condition, Test):
        return _test(condition, facts)
    wanted = condition.kind != "all"  # one part of this outcome settles the group
    for part in condition.parts:
        if holds(part, facts) is wanted:
            return condition.kind == "any"
    return condition.kind != "any"


def _test(test: Test, facts: Reads) -> bool:
    value = facts.get(test.fact)
    if value is NA:
        return False
    if test.op == "is":
        return bool(value in test.operand)
    if test.op == "is_not":
        return bool(value not in test.operand)
    if test.op == "includes":
        return bool(test.operand in value)
    if test.op == "empty":
        return bool((not value) == test.operand)
    bound = facts.get(test.operand) if isinstance(test.operand, str) else test.operand
    return bound is not NA and bool(COMPARISONS[test.op][0](value, bound))


def tests(condition: Condition) -> Iterator[Test]:
    """Yield every test in the condition, in reading order."""
    if isinstance(condition, Test):
        yield condition
    else:
        for part in condition.parts:
            yield from tests(part)


def facts_read(condition: Condition) -> list[str]:
    """Return the names of all facts that the condition may read, each once, in order."""
    names: dict[str, None] = {}
    for test in tests(condition):
        names[test.fact] = None
        if test.op in COMPARISONS and isinstance(test.operand, str):
            names[test.operand] = None
    return list(names)


def say(condition: Condition, words: Wording) -> str:
    """Return the condition in plain English, such as ``panel mass is over 10 kg``."""
    if isinstance(condition, Test):
        return _say_test(condition, words)
    if not condition.parts:
        return "always"
    joiner = " and " if condition.kind == "all" else " or "
    said = joiner.join(_nested(part, words) for part in condition.parts)
    return f"not ({said})" if condition.kind == "none" else said


def _nested(part: Condition, words: Wording) -> str:
    said = say(part, words)
    return f"({said})" if isinstance(part, Group) and len(part.parts) > 1 else said


def _say_test(test: Test, words: Wording) -> str:
    label = words.label(test.fact)
    if test.op in ("is", "is_not"):
        values = " or ".join(words.text(test.fact, value) for value in test.operand)
        if all(isinstance(value, bool) for value in test.operand):
            label = f"“{label}”"  # the label is a statement: no grammar joins it to yes or no
        return f"{label} is {values}" if test.op == "is" else f"{label} is not {values}"
    if test.op == "includes":
        return f"{label} includes {test.operand}"
    if test.op == "empty":
        return f"{label} is {'' if test.operand else 'not '}empty"
    bound = (
        words.label(test.operand)
        if isinstance(test.operand, str)
        else words.text(test.fact, test.operand)
    )
    return f"{label} is {COMPARISONS[test.op][1]} {bound}"
