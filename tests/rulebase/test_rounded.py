"""A least rating is never printed below what was worked out, nor a most above it."""

from __future__ import annotations

import pytest

from planner.rulebase.base import RuleBase, worded
from planner.rulebase.model import FactShape


@pytest.mark.parametrize(
    ("rounded", "precision", "value", "printed"),
    [
        ("nearest", 0, 148.27, "148"),
        ("up", 0, 148.27, "149"),
        ("up", 1, 11.94, "12.0"),
        ("up", 1, 26.34, "26.4"),
        ("up", 1, 11.9, "11.9"),
        ("up", 1, 0.1 + 0.2, "0.3"),
        ("down", 1, 11.98, "11.9"),
        ("up", 0, -2.5, "−2"),
    ],
)
def test_figures_are_rounded_to_the_safe_side(
    rounded: str, precision: int, value: float, printed: str
) -> None:
    """By hand."""
    shape = FactShape.model_validate(
        {"fact": "a.b", "label": "x", "kind": "number", "precision": precision, "rounded": rounded}
    )
    assert worded(shape, value) == printed


def test_whatever_is_labelled_at_least_is_rounded_up(base: RuleBase) -> None:
    """By the label, so that a new figure of this kind is not forgotten; limits are exact."""
    loose = [
        name
        for name, rule in base.facts.items()
        if rule.kind == "number" and "at least" in rule.label and rule.rounded != "up"
    ]
    assert not loose
