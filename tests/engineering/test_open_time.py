"""Check that the open time of a bead shrinks in the heat.

About 10 min at 20 °C and half of it at 35 °C (common practice, no source; the sheet comes first).
"""

from __future__ import annotations

import pytest

from planner.rulebase.base import RuleBase
from tests.engineering.test_mechanical_bindings import ledger


@pytest.mark.parametrize(
    ("air_c", "surface_c", "minutes"), [(20, 20, 10), (35, 35, 5), (20, 35, 5), (5, 5, 10)]
)
def test_heat_halves_the_open_time(
    base: RuleBase, air_c: float, surface_c: float, minutes: int
) -> None:
    """The warmer of air and surface counts, and the table of joints prints the same minutes."""
    facts = ledger(base, site__air_c=air_c, site__surface_c=surface_c)
    assert facts.get("cure.open_min") == minutes
    assert {row["open_min"] for row in facts.get("sealant.joints")} == {minutes}
