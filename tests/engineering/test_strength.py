"""Refusals of the strength calculations."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.engineering import strength
from planner.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: strength.stress_area_mm2(diameter_mm=0, pitch_mm=1), "diameter_mm"),
        (lambda: strength.stress_area_mm2(diameter_mm=6, pitch_mm=4), "pitch_mm"),
        (lambda: strength.proof_load_n(area_mm2=-1, proof_n_mm2=450), "area_mm2"),
        (lambda: strength.proof_load_n(area_mm2=1, proof_n_mm2=math.nan), "proof_n_mm2"),
        (lambda: strength.bolt_shear_n(area_mm2=1, tensile_n_mm2=0), "tensile_n_mm2"),
        (
            lambda: strength.pull_through_n(outline_mm=94, skin_mm=-3, shear_n_mm2=17),
            "skin_mm",
        ),
        (lambda: strength.pull_through_n(outline_mm=94, skin_mm=3, shear_n_mm2=0), "shear_n_mm2"),
        (lambda: strength.bearing_n(diameter_mm=6, skin_mm=0, bearing_n_mm2=80), "skin_mm"),
        (
            lambda: strength.bearing_n(diameter_mm=6, skin_mm=3, bearing_n_mm2=math.inf),
            "bearing_n_mm2",
        ),
        (lambda: strength.core_load_n(area_mm2=600, crush_n_mm2=0), "crush_n_mm2"),
        (lambda: strength.laminate_shear_n_mm2(glass_fraction=0.9), "glass_fraction"),
        (lambda: strength.washer_outline_mm(diameter_mm=0), "diameter_mm"),
        (lambda: strength.washer_area_mm2(diameter_mm=6, hole_mm=6.4), "diameter_mm"),
        (
            lambda: strength.bracket_stress_n_mm2(
                load_n=1, arm_mm=25, width_mm=6, hole_mm=6.6, thickness_mm=4
            ),
            "width_mm",
        ),
        (
            lambda: strength.bracket_stress_n_mm2(
                load_n=1, arm_mm=25, width_mm=60, hole_mm=6.6, thickness_mm=-4
            ),
            "thickness_mm",
        ),
    ],
)
def test_bad_part_is_refused_by_name(call: Callable[[], float], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
