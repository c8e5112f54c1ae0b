"""Reasoning about conditions agrees with trying every value there is."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.ledger import NA
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import holds, parse
from planner.rulebase.load import load_rules
from planner.rulebase.logic import Logic

RULES = """\
base: {name: invented, version: 1.0.0, date: "2026-01-01"}
sections: [{id: a, title: A}]
questions:
  - {fact: a.moves, section: a, label: moves, kind: yes_no, ask: x, why: x, unknown: {assume: true}}
  - {fact: a.kind, section: a, label: kind, kind: choice, options: {x: x, y: y, z: z}, ask: x,
     why: x, unknown: {assume: x}}
  - {fact: a.count, section: a, label: count, kind: integer, least: 0, most: 4, ask: x, why: x,
     unknown: {assume: 1}}
  - {fact: a.hinge, section: a, label: hinge, kind: choice, options: {front: f, rear: r}, ask: x,
     why: x, when: {a.moves: true}, unknown: {assume: rear}}
"""
VALUES: Mapping[str, list[Any]] = {
    "a.moves": [True, False],
    "a.kind": ["x", "y", "z"],
    "a.count": [0, 1, 2, 3, 4],
    "a.hinge": ["front", "rear"],
}


@pytest.fixture(scope="module")
def rules(tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    """Return a few invented questions."""
    folder = tmp_path_factory.mktemp("r") / "rules"
    folder.mkdir()
    (folder / "all.yaml").write_text(RULES)
    return load_rules(folder)


class Facts:
    """One combination of answers; the hinge does not apply where nothing moves."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self._values = values

    def get(self, name: str) -> Any:
        """Return a value, or NA."""
        if name == "a.hinge" and not self._values["a.moves"]:
            return NA
        return self._values[name]


EVERY = [Facts(dict(zip(VALUES, row, strict=True))) for row in product(*VALUES.values())]

one_test = st.sampled_from(
    [{name: value} for name, values in VALUES.items() for value in values]
    + [{"a.count": {op: n}} for op in ("above", "at_least", "below", "at_most") for n in (0, 2, 4)]
    + [{"a.kind": {"is_not": value}} for value in VALUES["a.kind"]]
    + [{"a.kind": ["x", "y"]}, {"a.hinge": {"is_not": "rear"}}]
)
conditions = st.recursive(
    one_test,
    lambda inner: st.builds(
        lambda kind, parts: {kind: parts},
        st.sampled_from(["all", "any", "none"]),
        st.lists(inner, min_size=1, max_size=3),
    ),
    max_leaves=6,
)


@given(raw=conditions)
def test_what_is_said_never_to_hold_never_does(rules: RuleBase, raw: Any) -> None:
    """Compared with trying all 60 combinations; silence is always allowed, a false word never."""
    condition = parse(raw)
    if Logic(rules).never(condition):
        assert not any(holds(condition, facts) for facts in EVERY)
    if Logic(rules).always(condition):
        assert all(holds(condition, facts) for facts in EVERY)


@pytest.mark.parametrize(
    ("raw", "fact"),
    [
        ({"a.count": {"above": 4}}, "a.count"),
        ({"a.count": {"above": 2, "below": 2}}, "a.count"),
        ({"a.hinge": "front", "a.moves": False}, "a.moves"),
        ({"a.kind": ["x", "y"], "all": [{"a.kind": "z"}]}, "a.kind"),
        ({"any": [{"a.count": {"above": 4}}, {"a.count": {"below": 0}}]}, "a.count"),
        ({"a.count": {"at_least": 2, "at_most": 2}}, ""),
        ({"none": [{"a.hinge": "front"}], "a.moves": False}, ""),
    ],
)  # fmt: skip
def test_the_fact_that_leaves_nothing_is_named(rules: RuleBase, raw: Any, fact: str) -> None:
    """Ranges, options, and questions that are asked only when others are answered so."""
    assert Logic(rules).never(parse(raw)) == fact


@pytest.mark.parametrize(
    ("raw", "always"),
    [
        ({}, True),
        ({"a.count": {"at_least": 0}}, True),
        ({"any": [{"a.kind": ["x", "y"]}, {"a.kind": "z"}]}, True),
        ({"none": [{"a.count": {"above": 4}}]}, True),
        ({"a.hinge": ["front", "rear"]}, False),
        ({"a.count": {"above": 0}}, False),
    ],
)
def test_what_always_holds_is_told(rules: RuleBase, raw: Any, always: bool) -> None:
    """A test that any hinge passes still fails where there is none."""
    assert Logic(rules).always(parse(raw)) is always
