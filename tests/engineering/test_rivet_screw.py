"""Check by hand that the screw of a closed rivet nut never touches its closed end.

An M6 nut is 2 · 6 + 2 = 14 mm deep (common practice, no source; its drawing comes first). Washers
are 1.5 mm, the bed 1.5 mm, squeezed 0.5 mm, and screws come in steps of 5 mm to 30 mm.
"""

from __future__ import annotations

import pytest

from planner.engineering.bindings.mechanical_fixing import fixing
from planner.rulebase.base import RuleBase
from tests.engineering.test_mechanical_bindings import BONDED, ledger

RIVET = {**BONDED, "mount.retention": "tether", "fixing.kind": "rivet_nut"}


@pytest.mark.parametrize(
    ("foot_mm", "length_mm", "washers", "squeezed_mm"),
    [
        (2, 20, 2, 20 - 3 * 1.5 - 2 - 0.5),
        (2.5, 20, 1, 20 - 2 * 1.5 - 2.5 - 0.5),
        (3, 20, 1, 20 - 2 * 1.5 - 3 - 0.5),
        (5, 20, 0, 20 - 1.5 - 5 - 0.5),
        (6, 25, 2, 25 - 3 * 1.5 - 6 - 0.5),
    ],
)
def test_washers_keep_the_screw_off_the_closed_end(
    base: RuleBase, foot_mm: float, length_mm: float, washers: int, squeezed_mm: float
) -> None:
    """With the bed squeezed to 0.5 mm every reach is 14 mm at most; a washer less would be more."""
    facts = ledger(
        base, RIVET, roof__material="painted_steel", roof__thickness_mm=0.9,
        mount__foot_thickness_mm=foot_mm,
    )
    assert facts.get("fixing.bolt_length_mm") == length_mm
    assert facts.get("fixing.packing_washers") == washers
    assert facts.get("fixing.fits") is True
    assert squeezed_mm <= 14
    assert washers == 0 or squeezed_mm + 1.5 > 14
    named = [row["part"] for row in facts.get("fixing.stack")]
    assert named.count("packing washer") == washers


def test_the_limit_names_the_nut_and_no_plate(base: RuleBase) -> None:
    """A rivet nut has no plate below the sheet (common practice, no source)."""
    facts = ledger(base, RIVET, roof__material="painted_steel", roof__thickness_mm=0.9)
    assert facts.get("fixing.torque_limit") == "rivet nut in thin sheet"


def test_a_nut_too_shallow_gets_no_screw() -> None:
    """Three diameters of screw, 18 mm, do not go into 14 mm of nut: no screw is named."""
    rows = {
        "bolts": [{"size": "M6", "diameter_mm": 6}],
        "holes": [{"size": "M6", "hole_mm": 6.6}],
        "bolt_torques": [{"size": "M6", "torque_nm": 5}],
        "skin_torques": [],
        "washers": [{"size": "M6", "thickness_mm": 1.5}],
        "lengths": [{"length_mm": 20}],
        "rivet_nuts": [{"size": "M6", "hole_mm": 9}],
    }
    given = {
        "kind": "rivet_nut", "bolt_size": "M6", "material": "painted_steel", "plastic_mm": 1,
        "nut_factor": 0.15, "foot_mm": 3, "bed_mm": 1.5, "bed_least_mm": 0.5, "skin_high_mm": 0.9,
        "nut_end_mm": 2,
    }
    told = fixing(**rows, **given, nut_reach=3.0)
    assert told is not None
    assert told["length"] is None
    assert told["fits"] is False
    told = fixing(**rows, **given, nut_reach=1.9)
    assert told is not None
    assert told["length"] == 20
