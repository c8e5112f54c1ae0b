"""The static check of safety: each step alone must keep away what must never be."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from planner.rulebase.base import RuleBase
from planner.rulebase.implied import unimplied
from planner.rulebase.model import StepRule


def faults(base: RuleBase, step: StepRule) -> list[str]:
    """Return what the check says of the shipped rules with one step made otherwise."""
    changed = replace(base, steps={**base.steps, step.id: step})
    return [fault.what for fault in unimplied(changed)]


def without(step: StepRule, state: str) -> StepRule:
    """Return a step that forgets one need."""
    needs = {name: values for name, values in step.needs.items() if name != state}
    return step.model_copy(update={"needs": needs})


def test_the_shipped_steps_keep_away_what_must_never_be(base: RuleBase) -> None:
    """Not one of them relies on what happens to be so."""
    assert list(unimplied(base)) == []


@pytest.mark.parametrize(
    ("step", "need", "never"),
    [
        ("raise-bare", "panel", "never-a-loose-panel-on-a-raised-roof"),
        ("raise-with-panel", "panel", "never-a-loose-panel-on-a-raised-roof"),
        ("panel-up", "roof", "never-a-loose-panel-on-a-raised-roof"),
        ("lower-bare", "gap", "never-a-shut-roof-on-people-or-tools"),
        ("lower-with-panel", "gap", "never-a-shut-roof-on-people-or-tools"),
        ("switch-on", "fuse", "never-the-array-without-the-battery"),
    ],
)
def test_whoever_brings_half_of_a_combination_keeps_the_other_half_away(
    base: RuleBase, step: str, need: str, never: str
) -> None:
    """Common practice, no source: a loose load is never lifted, nobody lowers onto a hand."""
    found = faults(base, without(base.steps[step], need))
    assert any(f"do not rule out '{never}'" in what for what in found)


@pytest.mark.parametrize("step", ["set-down", "panel-on-edge"])
def test_a_need_that_holds_only_on_lifting_roofs_counts_where_the_rule_does(
    base: RuleBase, step: str
) -> None:
    """The invariant and the need stand under the same condition; without the need it is open."""
    rule = base.steps[step]
    kept = tuple(more for more in rule.needs_if if "roof" not in more.states)
    found = faults(base, rule.model_copy(update={"needs_if": kept}))
    assert any("never-a-loose-panel-on-a-raised-roof" in what for what in found)


def test_drilling_a_shut_shell_is_seen(base: RuleBase) -> None:
    """The act itself, wherever the step stands in the order."""
    found = faults(base, without(base.steps["drill-pilots"], "roof"))
    assert any("never 'drills' of shell" in what for what in found)
