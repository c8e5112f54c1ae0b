"""Cable sums and choices: what must hold, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from planner.engineering.cable_choice import (
    CableRun,
    choose_cable,
    choose_protected_run,
)
from planner.engineering.cables import (
    BunchingFactor,
    Conductor,
    accepted_drop_v,
    bunching_factor,
    capacity_a,
    loop_drop_v,
    resistance_ohm_per_km,
)
from planner.engineering.fuses import FuseNeed, FuseSeries
from planner.errors import OutOfRangeError

ROWS = (
    Conductor(4, "12", 5.09, 45),
    Conductor(6, "10", 3.39, 60),
    Conductor(10, "8", 1.95, 80),
    Conductor(16, "6", 1.24, 120),
)
BUNCHING = (BunchingFactor(2, 1.0), BunchingFactor(3, 0.7))
RUN = CableRun(
    length_m=2, current_a=20, system_v=14.4, drop_limit_percent=2, required_a=25, ambient_c=40
)
NEED = FuseNeed(20, 14.6, 5000, breaking_must_hold=True)
TERMINAL = FuseSeries("terminal", (30, 40, 50, 60), 58, 10000)
NAN = float("nan")


def changed(name: str, value: float) -> dict[str, Any]:
    """Return one changed field, for ``replace``."""
    return {name: value}


def test_every_section_is_shown_with_what_it_fails() -> None:
    """2 m, 20 A, 70 °C copper: 4 mm² drops 0.487 V, 3.4 %; 6 mm² 2.3 %; 10 mm² 1.3 %, by hand."""
    choice = choose_cable(run=RUN, conductors=ROWS, bunching=BUNCHING)
    assert [row.failed for row in choice.candidates] == [("drop",), ("drop",), (), ()]
    assert [round(row.drop_percent, 1) for row in choice.candidates] == [3.4, 2.3, 1.3, 0.8]
    assert choice.chosen == choice.candidates[2]
    assert choice.governed_by == ("drop",)
    assert choice.chosen is not None
    assert choice.chosen.loss_w == pytest.approx(20 * choice.chosen.drop_v)


def test_exactly_at_the_limits_passes() -> None:
    """A section that meets drop and capacity to the last digit is taken."""
    first = choose_cable(run=RUN, conductors=ROWS, bunching=BUNCHING).candidates[0]
    run = replace(RUN, drop_limit_percent=first.drop_percent, required_a=first.capacity_a)
    chosen = choose_cable(run=run, conductors=ROWS, bunching=BUNCHING).chosen
    assert chosen is not None
    assert chosen.section_mm2 == 4


def test_too_long_a_run_says_which_length_would_do() -> None:
    """The advice is tried: the printed length passes with the largest section."""
    run = replace(RUN, length_m=12)
    choice = choose_cable(run=run, conductors=ROWS, bunching=BUNCHING)
    assert choice.chosen is None
    assert choice.governed_by == ("drop",)
    assert "shorten the run to 4.8 m" in choice.cure
    assert choose_cable(run=replace(run, length_m=4.8), conductors=ROWS, bunching=BUNCHING).chosen


def test_too_much_current_says_so() -> None:
    """Capacity is named where the largest section cannot carry the current."""
    choice = choose_cable(run=replace(RUN, required_a=300), conductors=ROWS, bunching=BUNCHING)
    assert choice.governed_by == ("capacity",)
    assert "under the 300.0 A needed" in choice.cure


def test_terminals_and_least_sections() -> None:
    """The least section lifts the choice; terminals that are too small stop it."""
    lifted = choose_cable(
        run=replace(RUN, smallest_mm2=16), conductors=ROWS, bunching=BUNCHING
    )
    assert lifted.chosen is not None
    assert lifted.chosen.section_mm2 == 16
    stopped = choose_cable(run=replace(RUN, largest_mm2=6), conductors=ROWS, bunching=BUNCHING)
    assert stopped.chosen is None
    assert stopped.cure.startswith("The largest usable section, 6 mm²")
    nothing = choose_cable(run=replace(RUN, largest_mm2=1), conductors=ROWS, bunching=BUNCHING)
    assert nothing.governed_by == ("terminal",)
    small = choose_cable(
        run=replace(RUN, smallest_mm2=25, length_m=1), conductors=ROWS, bunching=BUNCHING
    )
    assert small.governed_by == ("smallest",)


def test_cable_grows_until_a_fuse_exists() -> None:
    """A fuse of 40 A at least moves the choice from 4 mm² (36 A at 60 °C) to 6 mm²."""
    run = replace(RUN, length_m=0.3, current_a=32, required_a=32, ambient_c=60)
    pair = choose_protected_run(
        run=run, conductors=ROWS, bunching=BUNCHING, need=replace(NEED, continuous_a=32),
        series=(TERMINAL,),
    )  # fmt: skip
    assert pair.cable.candidates[0].failed == ("fuse",)
    assert pair.cable.chosen is not None
    assert pair.cable.chosen.section_mm2 == 6
    assert pair.fuse.chosen is not None
    assert pair.fuse.chosen.rating_a == 40
    assert pair.cable.governed_by == ("fuse",)


def test_no_fuse_at_all_leaves_no_cable() -> None:
    """A kind that cannot break the short circuit stops the run, with the reason."""
    pair = choose_protected_run(
        run=RUN, conductors=ROWS, bunching=BUNCHING, need=NEED,
        series=(replace(TERMINAL, breaking_a=1000),),
    )  # fmt: skip
    assert pair.cable.chosen is None
    assert pair.cable.governed_by == ("fuse",)
    assert "cannot break the battery's 5000 A short circuit" in pair.cable.cure


def test_no_cable_still_shows_the_fuse() -> None:
    """Where the drop rules every section out, the fuse of the largest is still shown."""
    pair = choose_protected_run(
        run=replace(RUN, length_m=50), conductors=ROWS, bunching=BUNCHING, need=NEED,
        series=(TERMINAL,),
    )  # fmt: skip
    assert pair.cable.chosen is None
    assert pair.fuse.chosen is not None


@given(st.floats(0.1, 20), st.floats(1, 60), st.floats(-10, 85))
def test_what_is_chosen_passes_and_the_next_smaller_does_not(
    length_m: float, current_a: float, ambient_c: float
) -> None:
    """Whatever the run, the choice meets drop and capacity and is the smallest that does."""
    run = replace(
        RUN, length_m=length_m, current_a=current_a, required_a=current_a, ambient_c=ambient_c
    )
    choice = choose_cable(run=run, conductors=ROWS, bunching=BUNCHING)
    for row in choice.candidates:
        good = row.drop_percent <= 2 and row.capacity_a >= current_a
        assert good is (not row.failed)
    first = next((row for row in choice.candidates if not row.failed), None)
    assert choice.chosen == first
    assert bool(choice.cure) is (first is None)


@given(st.floats(31, 100), st.floats(0.5, 3))
def test_hotter_air_never_raises_the_capacity(ambient_c: float, step: float) -> None:
    """More heat around the cable, fewer amps through it; cold air earns nothing."""
    mild = capacity_a(table_a=60, insulation_c=105, ambient_c=ambient_c)
    hot = capacity_a(table_a=60, insulation_c=105, ambient_c=ambient_c + step)
    assert hot < mild < 60 == capacity_a(table_a=60, insulation_c=105, ambient_c=-20)


def test_test_limit_is_the_sum_and_fifty_millivolts() -> None:
    """5 m of 4 mm² at a measured 5 A: half of 0.609 V, and 0.05 V."""
    limit = accepted_drop_v(measured_a=5, length_m=5, ohm_per_km=6.09)
    assert limit == pytest.approx(0.3045 + 0.05)


@pytest.mark.parametrize(
    ("name", "value"),
    [("current_a", -1.0), ("current_a", NAN), ("length_m", 0.0), ("length_m", 200.1),
     ("length_m", NAN), ("ohm_per_km", 0.0), ("ohm_per_km", NAN)],
)  # fmt: skip
def test_drop_refuses(name: str, value: float) -> None:
    """Each argument of the drop is guarded by name."""
    good: dict[str, Any] = {"current_a": 10.0, "length_m": 5.0, "ohm_per_km": 5.0}
    with pytest.raises(OutOfRangeError, match=name):
        loop_drop_v(**good | {name: value})


@pytest.mark.parametrize(
    ("name", "value"),
    [("table_a", 0.0), ("table_a", NAN), ("insulation_c", 59.0), ("insulation_c", 106.0),
     ("ambient_c", 105.0), ("ambient_c", NAN), ("bunching", 0.0), ("bunching", 1.01),
     ("bunching", NAN)],
)  # fmt: skip
def test_capacity_refuses(name: str, value: float) -> None:
    """Each argument of the capacity is guarded by name."""
    good: dict[str, Any] = {
        "table_a": 60.0, "insulation_c": 105.0, "ambient_c": 40.0, "bunching": 1.0,
    }  # fmt: skip
    with pytest.raises(OutOfRangeError, match=name):
        capacity_a(**good | {name: value})


@pytest.mark.parametrize("copper_c", [-41.0, 121.0, NAN])
def test_resistance_refuses(copper_c: float) -> None:
    """The temperature of the copper is guarded."""
    with pytest.raises(OutOfRangeError, match="copper_c"):
        resistance_ohm_per_km(r20_ohm_per_km=5.09, copper_c=copper_c)


@pytest.mark.parametrize("count", [0, 4])
def test_bunching_outside_the_table(count: int) -> None:
    """Neither none nor more than the table knows."""
    with pytest.raises(OutOfRangeError, match="loaded_conductors"):
        bunching_factor(loaded_conductors=count, table=BUNCHING)


@pytest.mark.parametrize(
    "name", ["length_m", "current_a", "system_v", "drop_limit_percent", "required_a", "ambient_c"]
)
def test_run_refuses_nan(name: str) -> None:
    """Each number of the run is guarded by name."""
    with pytest.raises(OutOfRangeError, match=name):
        choose_cable(run=replace(RUN, **changed(name, NAN)), conductors=ROWS, bunching=BUNCHING)


def test_no_sections_is_refused() -> None:
    """An empty table is an error, not a run without cable."""
    with pytest.raises(OutOfRangeError, match="conductors"):
        choose_cable(run=RUN, conductors=(), bunching=BUNCHING)
