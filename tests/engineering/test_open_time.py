"""Check that the open time of a bead shrinks in the heat.

About 10 min at 20 °C and half of it at 35 °C (common practice, no source; the sheet comes first).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import holds
from tests.engineering.test_mechanical_bindings import BOLTED, ledger


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


@pytest.mark.parametrize(
    ("decided", "surface_c", "alone", "shared", "in_time"),
    [
        (BOLTED, 20, 5, 4, True),
        (BOLTED, 35, 5, 4, True),
        (BOLTED, 40, 5, 4, False),
        ({"mount.method": "full_bond"}, 20, 15, 9, False),
        ({"mount.method": "bonded_rails"}, 20, 3, 2, True),
        ({"mount.method": "bonded_corners"}, 20, 2, 2, True),
    ],
)
def test_the_bead_is_closed_while_it_is_open_or_the_plan_says_so(
    base: RuleBase,
    decided: Mapping[str, Any],
    surface_c: float,
    alone: int,
    shared: int,
    in_time: bool,
) -> None:
    """Worked by hand from the planning assumptions: 1.5 m and two rings a minute, 2 min to lower.

    Six feet: 6 · 0.5 + 2 = 5, with two guns 3.5. Whole face of 1480 × 670 mm: 13 ribbons of
    1.42 m are 18.5 m, 18.5 / 1.5 + 2 = 14.3, with two 8.2. One rail: two ribbons of 1.48 m are
    2.96 m, 2.96 / 1.5 + 1 = 2.97, with two 1.99. One corner: 0.7 / 1.5 + 1 = 1.47.
    Open time 10 min at 20 °C, 5 at 35, 3 at 40.
    """
    facts = ledger(base, decided, site__surface_c=surface_c)
    assert (facts.get("bead.window_min"), facts.get("bead.shared_min")) == (alone, shared)
    assert facts.get("bead.in_time") is in_time


def test_what_skins_before_it_is_closed_is_found(base: RuleBase) -> None:
    """A slower pair of hands, factor 1.6: 22.9 and 13.1 min for the whole face, 10 are allowed.

    So nothing short of a cooler hour or another product helps where adhesive carries: a stop.
    """
    facts = ledger(base, {"mount.method": "full_bond"}, work__pace=1.6)
    assert (facts.get("bead.window_min"), facts.get("bead.shared_min")) == (23, 14)
    assert holds(base.findings["bond-cannot-be-closed-in-time"].when.condition, facts)
    assert not holds(base.findings["bead-outlasts-open-time"].when.condition, facts)


def test_the_timetable_gives_the_bead_the_minutes_that_were_counted(base: RuleBase) -> None:
    """One figure, two places: what the steps take is what is held against the open time."""
    laying, lowering = base.steps["lay-bead"].minutes, base.steps["set-down"].minutes
    assert (laying.base, laying.each) == (0, base.values["limit.ring_min"].value)
    assert (lowering.base, lowering.each) == (0, base.values["limit.set_panel_min"].value)
