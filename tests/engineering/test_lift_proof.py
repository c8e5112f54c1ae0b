"""Refusals and properties of the lift proof."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import lift_proof
from planner.errors import OutOfRangeError


@given(
    added=st.floats(1, 50),
    extra=st.floats(0, 30),
    limit=st.floats(1, 100),
)
def test_dummy_load_and_rest_make_up_the_whole(added: float, extra: float, limit: float) -> None:
    """Nothing is lost between what is strapped on and what is calculated."""
    found = lift_proof.dummy_load(added_kg=added, cold_extra_kg=extra, limit_kg=limit)
    assert found.load_kg <= limit
    assert found.load_kg + found.calculated_kg == pytest.approx(added + extra)


def test_a_limit_of_nothing_allows_no_test_load() -> None:
    """A maker who allows no added mass is not taken for one who has not answered."""
    found = lift_proof.dummy_load(added_kg=13, cold_extra_kg=2, limit_kg=0)
    assert (found.load_kg, found.calculated_kg, found.limited) == (0, 15, True)
    assert lift_proof.lift_needs(ratio=0.1, added_kg=1, limit_kg=0) == "written agreement"


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (
            lambda: lift_proof.cold_extra_kg_m(total_kg_m=0, test_c=20, coldest_c=0),
            "total_kg_m",
        ),
        (
            lambda: lift_proof.cold_extra_kg_m(total_kg_m=1, test_c=0, coldest_c=20),
            "coldest_c",
        ),
        (
            lambda: lift_proof.cold_extra_kg_m(total_kg_m=1, test_c=math.nan, coldest_c=0),
            "test_c",
        ),
        (
            lambda: lift_proof.cold_extra_kg(
                added_kg=1, added_arm_mm=0, roof_kg=1, roof_arm_mm=1, test_c=20, coldest_c=0
            ),
            "added_arm_mm",
        ),
        (lambda: lift_proof.prop_rating_kg(roof_kg=0, added_kg=1), "roof_kg"),
        (lambda: lift_proof.prop_rating_kg(roof_kg=1, added_kg=1, factor=0.5), "factor"),
        (
            lambda: lift_proof.cold_extra_kg_m(
                total_kg_m=1, test_c=20, coldest_c=0, loss_per_k=0.01
            ),
            "loss_per_k",
        ),
        (
            lambda: lift_proof.dummy_load(added_kg=1, cold_extra_kg=-1, limit_kg=None),
            "cold_extra_kg",
        ),
        (lambda: lift_proof.dummy_load(added_kg=1, cold_extra_kg=0, limit_kg=-1), "limit_kg"),
        (lambda: lift_proof.lift_needs(ratio=0.1, added_kg=1, limit_kg=-5), "limit_kg"),
        (lambda: lift_proof.lift_needs(ratio=math.nan, added_kg=1, limit_kg=5), "ratio"),
    ],
)
def test_bad_proof_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
