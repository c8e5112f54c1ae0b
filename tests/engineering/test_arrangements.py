"""Rows for series, parallel and two by two: circuit laws, refusals, odd panels."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from planner.engineering.arrangements import Arrangement, ArrayLimits, arrangements
from planner.engineering.strings import Module
from planner.errors import OutOfRangeError

PANEL = Module(120, 22.5, 18.5, 7.0, 6.5, 15, -0.30)
LIMITS = ArrayLimits(
    coldest_c=-20,
    hottest_cell_c=70,
    limit_v=60,
    needed_vmp_v=14.4,
    string_ratings_a=(8, 10, 12, 15, 20),
)
NAN = float("nan")


def changed(name: str, value: float) -> dict[str, Any]:
    """Return one changed field, for ``replace``."""
    return {name: value}


def rows(*modules: Module, limits: ArrayLimits = LIMITS) -> dict[str, Arrangement]:
    """Return the rows by their id."""
    found = arrangements(modules=modules, limits=limits, table=())
    return {row.id: row for row in found}


def test_ways_for_each_number_of_panels() -> None:
    """One way for one panel, two for two, three or five, three for four, six and eight."""
    assert list(rows(PANEL)) == ["single"]
    assert list(rows(PANEL, PANEL)) == ["series", "parallel"]
    assert list(rows(*[PANEL] * 3)) == ["series", "parallel"]
    for even in (4, 6, 8):
        found = rows(*[PANEL] * even)
        assert list(found) == ["series", "parallel", "two_by_two"]
        assert [len(string) for string in found["two_by_two"].strings] == [2] * (even // 2)
    assert list(rows(*[PANEL] * 5)) == ["series", "parallel"]


def test_circuit_laws_for_two_like_panels() -> None:
    """Series doubles volts, parallel doubles amps; watts are the same.

    By hand: 2 x 22.5 x (1 + 0.003 x 45) = 51.075 V, 85 % of 60 V.
    """
    found = rows(PANEL, PANEL)
    series, parallel = found["series"], found["parallel"]
    assert (series.cold_v, series.isc_a) == pytest.approx((51.075, 7.0))
    assert (parallel.cold_v, parallel.isc_a) == pytest.approx((25.5375, 14.0))
    assert series.share_of_limit_percent == pytest.approx(85.125)
    assert series.watts == parallel.watts == pytest.approx(240)
    assert series.refused == parallel.refused == ()


def test_series_over_the_limit_is_refused_with_both_volts() -> None:
    """51.1 V against 50 V is refused; exactly at the limit is not."""
    tight = rows(PANEL, PANEL, limits=replace(LIMITS, limit_v=50))["series"]
    assert tight.refused == (
        "51.1 V at -20 °C is over the limit of 50.0 V: it can destroy the controller",
    )
    at_limit = rows(PANEL, PANEL, limits=replace(LIMITS, limit_v=2 * 22.5 * 1.135))["series"]
    assert at_limit.refused == ()


def test_a_refusal_never_reads_as_if_the_limit_were_kept() -> None:
    """22.5 x 1.135 = 25.54 V over 25.51 V is not 25.5 over 25.5: common practice, no source."""
    tight = rows(PANEL, limits=replace(LIMITS, limit_v=25.51))["single"]
    assert tight.refused[0].startswith("25.6 V at -20 °C is over the limit of 25.5 V")


def test_unlike_currents_are_refused_in_series_and_hold_watts_back() -> None:
    """A panel of 3.25 A halves what one of 6.5 A gives in the same string."""
    small = replace(PANEL, rated_w=60, isc_a=3.5, imp_a=3.25)
    found = rows(PANEL, small)
    assert "currents in one string differ by 50 %" in found["series"].refused[0]
    assert found["series"].watts == pytest.approx(60 + 60)
    assert found["parallel"].refused == ()
    assert found["parallel"].watts == pytest.approx(180)


def test_five_percent_is_allowed_and_a_little_more_is_not() -> None:
    """The share is of the larger current; the limit itself passes."""
    at_limit = replace(PANEL, imp_a=6.5 * 0.95)
    beyond = replace(PANEL, imp_a=6.5 * 0.949)
    limits = replace(LIMITS, mismatch_percent=5.0 + 1e-9)
    assert rows(PANEL, at_limit, limits=limits)["series"].refused == ()
    assert rows(PANEL, beyond, limits=limits)["series"].refused != ()


def test_unlike_volts_are_refused_in_parallel() -> None:
    """A panel of twice the volts does not share a pair of terminals with another."""
    tall = replace(PANEL, voc_v=45.0, vmp_v=37.0)
    assert "volts in parallel differ by 50 %" in rows(PANEL, tall)["parallel"].refused[0]


def test_two_by_two_pairs_like_currents() -> None:
    """Panels of like current share a string, wherever they stand in the list."""
    small = replace(PANEL, rated_w=60, isc_a=3.5, imp_a=3.25)
    row = rows(PANEL, small, PANEL, small)["two_by_two"]
    assert row.strings == ((1, 3), (2, 4))
    assert row.refused == ()
    assert row.watts == pytest.approx(360)


def test_three_strings_with_a_small_module_limit_need_fuses_that_do_not_exist() -> None:
    """2 x 1.25 x 7 = 17.5 A over 10 A, and the window 10.5 to 10 A is empty."""
    weak = replace(PANEL, max_series_fuse_a=10)
    row = rows(weak, weak, weak)["parallel"]
    assert row.string_fuse.needed
    assert row.string_fuse.rating_a is None
    assert "asks for 10.5 A or more and the panels bear 10.0 A at most" in row.refused[0]


def test_hot_panel_under_the_needed_volts_is_refused() -> None:
    """By hand: 18.5 - 1.2 x 0.003 x 22.5 x 45 = 14.855 V against 20 V, printed downwards."""
    row = rows(PANEL, limits=replace(LIMITS, needed_vmp_v=20))["single"]
    assert row.hot_vmp_v == pytest.approx(14.855)
    assert row.refused[0].startswith("14.8 V with hot cells is under the 20.0 V")


def test_current_over_the_input_of_the_controller_is_refused() -> None:
    """1.25 x 14 A = 17.5 A: refused over 15 A, allowed at 17.5 A exactly."""
    tight = rows(PANEL, PANEL, limits=replace(LIMITS, input_limit_a=15))
    assert tight["parallel"].refused == (
        "1.25 x 14.0 A short-circuit current is 17.5 A, over the 15.0 A that the controller takes",
    )
    assert tight["series"].refused == ()
    at_limit = rows(PANEL, PANEL, limits=replace(LIMITS, input_limit_a=17.5))
    assert at_limit["parallel"].refused == ()


@given(st.lists(st.floats(1, 12), min_size=1, max_size=8))
def test_no_arrangement_makes_watts_from_nothing(currents: list[float]) -> None:
    """Whatever the panels, no row gives more than their rated watts together."""
    modules = [replace(PANEL, imp_a=amps, isc_a=1.08 * amps) for amps in currents]
    for row in arrangements(modules=modules, limits=LIMITS, table=()):
        assert 0 < row.watts <= sum(module.rated_w for module in modules) * (1 + 1e-9)
        assert sorted(place for string in row.strings for place in string) == list(
            range(1, len(modules) + 1)
        )


@pytest.mark.parametrize("count", [0, 9])
def test_number_of_panels_is_limited(count: int) -> None:
    """None, or more than four, is refused with the number."""
    with pytest.raises(OutOfRangeError, match=f"modules is {count}"):
        arrangements(modules=[PANEL] * count, limits=LIMITS, table=())


@pytest.mark.parametrize("name", ["rated_w", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a"])
@pytest.mark.parametrize("value", [0.0, NAN])
def test_label_figures_are_guarded(name: str, value: float) -> None:
    """A label figure of 0 or NaN is named."""
    with pytest.raises(OutOfRangeError, match=name):
        rows(replace(PANEL, **changed(name, value)))


@pytest.mark.parametrize(
    "name", ["limit_v", "needed_vmp_v", "mismatch_percent", "coldest_c", "input_limit_a"]
)
def test_limits_are_guarded(name: str) -> None:
    """A limit that is NaN is named."""
    with pytest.raises(OutOfRangeError, match=name):
        rows(PANEL, limits=replace(LIMITS, **changed(name, NAN)))
