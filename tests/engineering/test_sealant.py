"""Refusals of the sealant quantities."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from planner.engineering import sealant
from planner.errors import OutOfRangeError

SEAL = sealant.HoleSeal(6, 6.6, 4, 1, 3600, 1.5, 240, 4)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: sealant.bead_area_mm2(width_mm=0, height_mm=1, shape="round"), "width_mm"),
        (lambda: sealant.bead_area_mm2(width_mm=1, height_mm=1, shape="star"), "shape"),
        (lambda: sealant.bead_length_m(cartridge_ml=310, area_mm2=0), "area_mm2"),
        (lambda: sealant.hole_volume_ml(seal=replace(SEAL, hole_mm=5)), "hole_mm"),
        (lambda: sealant.hole_volume_ml(seal=replace(SEAL, bed_mm=-1)), "bed_mm"),
        (lambda: sealant.hole_volume_ml(seal=replace(SEAL, depth_mm=math.nan)), "depth_mm"),
        (
            lambda: sealant.box_volume_ml(
                length_mm=20, width_mm=100, flange_mm=15, bed_mm=1, fillet_mm=0
            ),
            "length_mm",
        ),
        (lambda: sealant.cartridges(volume_ml=-1, cartridge_ml=290), "volume_ml"),
        (lambda: sealant.cartridges(volume_ml=1, cartridge_ml=0), "cartridge_ml"),
        (
            lambda: sealant.cartridges(volume_ml=1, cartridge_ml=290, waste_pct=math.nan),
            "waste_pct",
        ),
    ],
)
def test_bad_quantity_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()


def test_a_bigger_hole_takes_more() -> None:
    """Opening the hole adds a ring of sealant."""
    bigger = sealant.hole_volume_ml(seal=replace(SEAL, hole_mm=8))
    assert bigger > sealant.hole_volume_ml(seal=SEAL)
