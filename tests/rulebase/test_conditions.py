"""Conditions as data: what they mean, and how they are said back."""

from __future__ import annotations

from typing import Any

import pytest

from planner.ledger import NA
from planner.rulebase.conditions import facts_read, holds, parse, say


class Facts(dict[str, Any]):
    """Plain facts; what is not given does not apply."""

    def __missing__(self, name: str) -> Any:
        """Return NA for a fact that is not given."""
        return NA

    def get(self, name: str, _default: Any = None) -> Any:
        """Return a fact or NA."""
        return self[name]


class Words:
    """Wording for the tests: names as labels, numbers with a unit."""

    def label(self, name: str) -> str:
        """Return the name without its section."""
        return name.rpartition(".")[2]

    def text(self, name: str, value: Any) -> str:
        """Return the value with kilograms where the name ends so."""
        return f"{value} kg" if name.endswith("_kg") else str(value)


@pytest.mark.parametrize(
    ("raw", "facts", "expected"),
    [
        ({"roof.moves": True}, {"roof.moves": True}, True),
        ({"roof.moves": True}, {"roof.moves": False}, False),
        ({"mount.method": ["a", "b"]}, {"mount.method": "b"}, True),
        ({"mount.method": {"is_not": ["a", "b"]}}, {"mount.method": "c"}, True),
        ({"panel.mass_kg": {"above": 10}}, {"panel.mass_kg": 10}, False),
        ({"panel.mass_kg": {"at_least": 10}}, {"panel.mass_kg": 10}, True),
        ({"panel.mass_kg": {"below": "limit.kg"}}, {"panel.mass_kg": 9, "limit.kg": 10}, True),
        ({"panel.mass_kg": {"above": 5, "at_most": 9}}, {"panel.mass_kg": 9}, True),
        ({"use.months": {"includes": 12}}, {"use.months": [11, 12]}, True),
        ({"roof.obstacles": {"empty": True}}, {"roof.obstacles": []}, True),
        ({"any": [{"a.x": 1}, {"a.y": 2}]}, {"a.x": 0, "a.y": 2}, True),
        ({"none": [{"a.x": 1}, {"a.y": 2}]}, {"a.x": 0, "a.y": 2}, False),
        ({"a.x": 1, "any": [{"a.y": 2}, {"a.y": 3}]}, {"a.x": 1, "a.y": 3}, True),
        (None, {}, True),
    ],
)
def test_a_condition_holds(raw: Any, facts: dict[str, Any], expected: bool) -> None:
    """Each form of condition means what the rule writer reads in it."""
    assert holds(parse(raw), Facts(facts)) is expected


@pytest.mark.parametrize(
    "raw",
    [
        {"lift.hinge": "front"},
        {"lift.hinge": {"is_not": "front"}},
        {"lift.kg": {"above": 1}},
        {"lift.kg": {"below": 1}},
        {"a.kg": {"below": "lift.kg"}},
        {"lift.list": {"includes": 1}},
        {"lift.list": {"empty": True}},
    ],
)
def test_a_fact_that_does_not_apply_fails_every_test(raw: Any) -> None:
    """A lifting-roof rule never fires on a fixed roof, whichever way it is worded."""
    assert holds(parse(raw), Facts({"a.kg": 0})) is False


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        ({"a.x": {"abov": 1}}, "unknown test 'abov' of a.x"),
        ({"a.x": {"above": True}}, "'above' of a.x needs a number or the name of a fact"),
        ({"a.x": {"above": [1]}}, "'above' of a.x needs a number or the name of a fact"),
        ("roof.moves", "a condition is a mapping of facts to values"),
        ({"any": ["roof.moves"]}, "a condition is a mapping of facts to values"),
    ],
)
def test_what_is_no_condition_is_refused(raw: Any, message: str) -> None:
    """A mistake in a condition is refused when it is loaded, in words."""
    with pytest.raises(ValueError, match=message):
        parse(raw)


def test_a_condition_is_said_back_in_english() -> None:
    """The pack prints why a rule applies, from the data itself."""
    raw = {"roof.moves": True, "any": [{"panel.mass_kg": {"above": 10}}, {"roof.skin": ["a", "b"]}]}
    said = "“moves” is True and (mass_kg is over 10 kg or skin is a or b)"
    assert say(parse(raw), Words()) == said


def test_the_facts_a_condition_reads_are_listed_once() -> None:
    """Operands that name facts count as read."""
    raw = {"a.x": {"above": "limit.x"}, "any": [{"a.x": 1}, {"b.y": 2}]}
    assert facts_read(parse(raw)) == ["a.x", "limit.x", "b.y"]
