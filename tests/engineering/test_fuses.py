"""Fuse choices: what must hold, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from planner.engineering.fuses import (
    FuseNeed,
    FuseSeries,
    battery_fuse,
    estimated_short_circuit_a,
    first_rating_between,
    string_fuse,
    string_fuse_volts_ok,
)
from planner.errors import OutOfRangeError

BLADE = FuseSeries("blade", (5, 10, 15, 20, 25, 30, 40), 32, 1000)
STRIP = FuseSeries("bolted_strip", (30, 40, 50, 60, 80, 100), 58, 2500)
NEED = FuseNeed(16, 14.6, 800, breaking_must_hold=True)
NAN = float("nan")


def changed(name: str, value: float) -> dict[str, Any]:
    """Return one changed field, for ``replace``."""
    return {name: value}


def test_first_kind_that_breaks_the_short_is_taken() -> None:
    """A blade serves a small battery; a large one moves the choice to a strip."""
    small = battery_fuse(need=NEED, cable_capacity_a=60, series=(BLADE, STRIP))
    assert small.chosen is not None
    assert (small.chosen.id, small.chosen.rating_a) == ("blade", 20)
    large = battery_fuse(
        need=replace(NEED, short_circuit_a=2500), cable_capacity_a=60, series=(BLADE, STRIP)
    )
    assert large.chosen is not None
    assert (large.chosen.id, large.chosen.rating_a) == ("bolted_strip", 30)


def test_lithium_with_a_blade_is_refused_and_lead_is_cautioned() -> None:
    """The same short circuit stops one battery and marks the other."""
    need = replace(NEED, short_circuit_a=2500)
    lithium = battery_fuse(need=need, cable_capacity_a=60, series=(BLADE,))
    assert lithium.chosen is None
    assert "cannot break the battery's 2500 A" in lithium.cure
    lead = battery_fuse(
        need=replace(need, breaking_must_hold=False), cable_capacity_a=60, series=(BLADE,)
    )
    assert lead.chosen is not None
    assert lead.chosen.breaking_short


def test_lead_still_takes_the_kind_that_holds_first() -> None:
    """With both at hand a lead battery gets the fuse that can break its short."""
    need = replace(NEED, short_circuit_a=2000, breaking_must_hold=False)
    choice = battery_fuse(need=need, cable_capacity_a=60, series=(BLADE, STRIP))
    assert choice.chosen is not None
    assert choice.chosen.id == "bolted_strip"


def test_empty_window_names_what_limits_it() -> None:
    """Cable or controller, whichever is smaller, is what to change."""
    cable = battery_fuse(need=NEED, cable_capacity_a=19, series=(BLADE,))
    assert "take a thicker cable" in cable.cure
    maker = battery_fuse(
        need=replace(NEED, controller_max_fuse_a=15), cable_capacity_a=60, series=(BLADE,)
    )
    assert "a controller that allows more" in maker.cure
    assert maker.highest_a == 15


def test_gap_between_ratings_and_short_volts_are_told_apart() -> None:
    """31 to 39 A holds no rating of a blade; 60 V is over its volts."""
    gap = battery_fuse(need=replace(NEED, continuous_a=25), cable_capacity_a=39, series=(BLADE,))
    assert gap.cure.startswith("No standard rating lies from 31.2 to 39.0 A")
    tall = replace(NEED, max_charge_v=58.4)
    volts = battery_fuse(need=tall, cable_capacity_a=60, series=(BLADE,))
    assert volts.tried[0].failed == ("volts",)
    assert "take one of higher volts" in volts.cure


def test_exactly_at_every_limit_passes() -> None:
    """1.25 x 16 = 20 A, cable 20 A, 32 V, 1000 A: all four are met to the digit."""
    need = replace(NEED, max_charge_v=32, short_circuit_a=1000, controller_max_fuse_a=20)
    choice = battery_fuse(need=need, cable_capacity_a=20, series=(BLADE,))
    assert choice.chosen is not None
    assert choice.chosen.rating_a == 20


def test_two_unlike_strings_get_no_exemption() -> None:
    """A string of 13 A can drive 16 A into one whose modules stand 10 A."""
    weak = string_fuse(isc_a=5, others_isc_a=[13], module_max_fuse_a=10, ratings_a=(8, 10, 12))
    assert weak.needed
    assert weak.rating_a == 8


def test_panel_side_volts() -> None:
    """A 32 V blade never stands on an array over 32 V."""
    assert string_fuse_volts_ok(rated_v=32, array_max_v=32)
    assert not string_fuse_volts_ok(rated_v=32, array_max_v=32.1)


@given(st.floats(1, 90), st.floats(1, 150))
def test_a_chosen_fuse_carries_the_current_and_protects_the_cable(
    continuous_a: float, cable_a: float
) -> None:
    """Whatever the run, 1.25 I <= In <= Iz, and no smaller rating would do."""
    need = replace(NEED, continuous_a=continuous_a)
    choice = battery_fuse(need=need, cable_capacity_a=cable_a, series=(BLADE, STRIP))
    if choice.chosen is None:
        assert choice.cure
        return
    rating = choice.chosen.rating_a
    assert rating is not None
    assert 1.25 * continuous_a <= rating <= cable_a


@pytest.mark.parametrize(
    "name", ["continuous_a", "max_charge_v", "short_circuit_a", "controller_max_fuse_a"]
)
@pytest.mark.parametrize("value", [0.0, -1.0, NAN])
def test_need_is_guarded(name: str, value: float) -> None:
    """Each number of the need is named."""
    with pytest.raises(OutOfRangeError, match=name):
        battery_fuse(
            need=replace(NEED, **changed(name, value)), cable_capacity_a=60, series=(BLADE,)
        )


def test_other_refusals() -> None:
    """Cable, list of kinds, string and estimate are guarded too."""
    with pytest.raises(OutOfRangeError, match="cable_capacity_a"):
        battery_fuse(need=NEED, cable_capacity_a=NAN, series=(BLADE,))
    with pytest.raises(OutOfRangeError, match="series"):
        battery_fuse(need=NEED, cable_capacity_a=60, series=())
    with pytest.raises(OutOfRangeError, match="others_isc_a"):
        string_fuse(isc_a=5, others_isc_a=[NAN], module_max_fuse_a=15, ratings_a=(8,))
    with pytest.raises(OutOfRangeError, match="amps_per_ah"):
        estimated_short_circuit_a(capacity_ah=100, amps_per_ah=NAN)
    with pytest.raises(OutOfRangeError, match="lowest_a"):
        first_rating_between(ratings_a=(5,), lowest_a=NAN, highest_a=10)
    with pytest.raises(OutOfRangeError, match="rated_v"):
        string_fuse_volts_ok(rated_v=NAN, array_max_v=20)
