"""The shipped tables of bolts, holes, nuts and washers against the standards that they restate.

Status of each value: restated on a secondary page, or from memory where so marked.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from planner.rulebase.base import RuleBase

SIZES = ("M4", "M5", "M6", "M8", "M10")
#: EN ISO 898-1, stress areas of the coarse series [mm²] (restated).
ISO_898_1_MM2 = dict(zip(SIZES, (8.78, 14.2, 20.1, 36.6, 58.0), strict=True))
#: ISO 273, clearance holes, medium series [mm] (restated).
ISO_273_MM = dict(zip(SIZES, (4.5, 5.5, 6.6, 9.0, 11.0), strict=True))
#: ISO 7040, tallest locking nut [mm] (from memory).
ISO_7040_MM = dict(zip(SIZES, (6.0, 6.8, 8.0, 9.5, 11.9), strict=True))
#: ISO 7089, plain washers, outer diameter [mm] (restated).
ISO_7089_MM = dict(zip(SIZES, (9, 10, 12, 16, 20), strict=True))
#: ISO 7093-1, large washers, outer diameter and thickness [mm] (from memory).
ISO_7093_MM = dict(zip(SIZES, ((12, 1.0), (15, 1.0), (18, 1.6), (24, 2.0), (30, 2.5)), strict=True))


def by_size(base: RuleBase, table: str) -> dict[str, dict[str, Any]]:
    """Return the rows of a shipped table by the size of the bolt."""
    return {row["size"]: dict(row) for row in base.tables[table].rows}


@pytest.mark.parametrize("size", SIZES)
def test_diameter_and_pitch_give_the_stress_areas_of_iso_898_1(base: RuleBase, size: str) -> None:
    """As = π/4 (d - 0.9382 P)², clause 9.1.6.1; the standard rounds to three figures."""
    row = by_size(base, "bolts")[size]
    area = math.pi / 4 * (row["diameter_mm"] - 0.9382 * row["pitch_mm"]) ** 2
    assert area == pytest.approx(ISO_898_1_MM2[size], rel=0.002)


@pytest.mark.parametrize("size", SIZES)
def test_holes_are_the_medium_series_of_iso_273(base: RuleBase, size: str) -> None:
    """The table is the standard's, to the tenth."""
    assert by_size(base, "clearance_holes")[size]["hole_mm"] == ISO_273_MM[size]


@pytest.mark.parametrize("size", SIZES)
def test_nuts_are_as_tall_as_iso_7040_lets_them_be(base: RuleBase, size: str) -> None:
    """A lower figure would choose a bolt too short for the nut in the bag."""
    assert by_size(base, "locking_nuts")[size]["height_mm"] >= ISO_7040_MM[size]


@pytest.mark.parametrize("size", SIZES)
def test_washers_spread_at_least_as_wide_as_iso_7093_1(base: RuleBase, size: str) -> None:
    """Wider than a plain washer of ISO 7089 by a third, and no narrower than a large one.

    Repair washers are sold thinner than ISO 7093-1 from M6 on (common practice): at most 0.5 mm.
    """
    row = by_size(base, "washers")[size]
    outer, thickness = ISO_7093_MM[size]
    assert row["outer_mm"] >= outer
    assert row["outer_mm"] >= 1.33 * ISO_7089_MM[size]
    assert row["thickness_mm"] >= thickness - 0.5
