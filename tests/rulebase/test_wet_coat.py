"""Check two rules of the trade that a plan may not soften (common practice, no source)."""

from __future__ import annotations

from planner.rulebase.base import RuleBase


def test_no_tape_goes_on_a_wet_coat(base: RuleBase) -> None:
    """Tape pulls a drying coat off the cut edge: raw or dry edges only."""
    needs = {state: set(values) for state, values in base.steps["tape-holes"].needs.items()}
    assert needs["edges"] == {"raw", "sealed"}


def test_a_mount_on_the_shoulder_of_a_rib_stops_the_plan(base: RuleBase) -> None:
    """A foot on a shoulder bears on a line and cracks the skin: no caution is enough."""
    assert base.findings["place-ignores-ribs"].severity == "stop"
