"""Checks of a bolted foot: the weakest part is named, and bad input is refused."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from planner.engineering.brackets import (
    Bolt,
    Bracket,
    Check,
    Load,
    Skin,
    bolt_tension_n,
    check_foot,
    front_foot_load_n,
)
from planner.engineering.wind import inertia
from planner.errors import OutOfRangeError

LOAD = Load(uplift_n=2277, inertia=inertia(mass_kg=13), height_mm=60, rows_apart_mm=670)
BRACKET = Bracket(25, 15, width_mm=60, thickness_mm=4, yield_n_mm2=140)
BOLT = Bolt(6, 1.0, 6.6, proof_n_mm2=450, tensile_n_mm2=700)
SKIN = Skin(3, shear_n_mm2=17.25, bearing_n_mm2=80, outline_mm=94.2, spread_area_mm2=672)
FACTORS = {"bolt": 1.5, "bracket": 1.1, "skin": 3.0, "core": 2.0}


def checks(skin: Skin = SKIN, bracket: Bracket = BRACKET, load: Load = LOAD) -> dict[str, Check]:
    """Return the checks of six feet by part."""
    found = check_foot(
        load=load, feet=6, bracket=bracket, bolt=BOLT, skin=skin, factors=FACTORS
    )
    return {check.part: check for check in found}


def test_every_way_of_failing_is_looked_at() -> None:
    """A single skin has bolt, bracket and two skin checks; a core that bears the clamp adds one."""
    assert set(checks()) == {
        "bolt in tension",
        "bolt in shear",
        "bolt in tension and shear together",
        "bracket bending",
        "washer or plate pulling through the skin",
        "bolt bearing on the skin",
    }
    assert "core crushed under the washer" in checks(replace(SKIN, core_crush_n_mm2=1.4))


def test_an_untested_estimate_says_so_until_a_coupon_replaces_it() -> None:
    """The coupon's own load is used in place of the estimate."""
    part = "washer or plate pulling through the skin"
    assert checks()[part].basis == "estimate, untested"
    tested = checks(replace(SKIN, coupon_n=6000))[part]
    assert tested.basis == "coupon tested by the shop"
    assert tested.capacity == 6000


def test_utilisation_is_one_when_the_factor_is_just_reached() -> None:
    """Utilisation and the factor reached say the same thing."""
    check = Check("part", load=100, capacity=300, unit="N", factor=3, basis="")
    assert check.utilisation == 1
    assert check.reached == 3
    assert Check("part", 0, 300, "N", 3, "").reached == float("inf")


def test_braking_adds_to_the_gust() -> None:
    """The same gust with a heavier panel pulls harder on the bolt and pushes it sideways."""
    heavier = replace(LOAD, inertia=inertia(mass_kg=26))
    assert checks(load=heavier)["bolt in tension"].load > checks()["bolt in tension"].load
    shear = checks(load=heavier)["bolt in shear"].load
    assert shear == pytest.approx(2 * checks()["bolt in shear"].load)


@pytest.mark.parametrize("name", ["thickness_mm", "width_mm", "yield_n_mm2", "bolt_to_toe_mm"])
def test_a_bracket_without_substance_is_refused(name: str) -> None:
    """A zero dimension or strength is named."""
    with pytest.raises(OutOfRangeError, match=name):
        checks(bracket=replace(BRACKET, **{name: 0.0}))


@pytest.mark.parametrize(
    ("load", "name"),
    [
        (replace(LOAD, height_mm=-1), "height_mm"),
        (replace(LOAD, rows_apart_mm=-1), "rows_apart_mm"),
        (replace(LOAD, uplift_n=-1), "uplift_n"),
    ],
)
def test_a_negative_load_is_refused(load: Load, name: str) -> None:
    """A negative height, spacing or uplift is named."""
    with pytest.raises(OutOfRangeError, match=name):
        checks(load=load)


def test_a_single_foot_is_refused() -> None:
    """No panel stands on one foot."""
    with pytest.raises(OutOfRangeError, match="feet is 1"):
        front_foot_load_n(uplift_n=100, feet=1)
    with pytest.raises(OutOfRangeError, match="front_share is 0"):
        front_foot_load_n(uplift_n=100, feet=4, front_share=0)
    with pytest.raises(OutOfRangeError, match="frame_to_bolt_mm"):
        bolt_tension_n(foot_load_n=100, frame_to_bolt_mm=-1, bolt_to_toe_mm=15)
