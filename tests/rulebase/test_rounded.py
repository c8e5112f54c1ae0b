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


@pytest.mark.parametrize(
    ("fact", "rounded"),
    [
        ("pv_cable.needed_a", "up"), ("pv_cable.capacity_a", "down"),
        ("battery_cable.needed_a", "up"), ("battery_cable.capacity_a", "down"),
        ("fuse.highest_a", "down"), ("array.string_fuse_high_a", "down"),
        ("bond.area_cm2", "up"), ("bond.laid_cm2", "down"), ("bond.thickness_mm", "up"),
        ("lift.corner_kg", "up"), ("lift.corner_limit_kg", "down"),
        ("mass.payload_left_kg", "down"), ("mount.gap_mm", "down"), ("mount.height_mm", "up"),
        ("holes.edge_mm", "down"), ("loop.radius_mm", "up"), ("offgrid.days_with_9in10", "down"),
    ],
)  # fmt: skip
def test_a_need_goes_up_and_what_meets_it_goes_down(
    base: RuleBase, fact: str, rounded: str
) -> None:
    """Of two figures that are compared neither is printed kinder than it is (by their meaning)."""
    assert base.facts[fact].rounded == rounded
