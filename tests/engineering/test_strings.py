"""Cold volts, the voltage limit and hot volts: what must hold, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.strings import (
    ColdFactor,
    Module,
    cold_factor,
    cold_voc_v,
    hot_vmp_v,
    voltage_limit,
)
from planner.errors import OutOfRangeError

TABLE = (ColdFactor(20, 1.02), ColdFactor(-10, 1.14), ColdFactor(-20, 1.18))
PANEL = Module(120, 22.5, 18.5, 7.0, 6.5, 15, -0.30)
NAN = float("nan")


@given(st.floats(-60, 24.9), st.floats(0.1, 30))
def test_colder_is_never_lower(coldest_c: float, step: float) -> None:
    """A colder morning never gives fewer volts."""
    colder = max(-60.0, coldest_c - step)
    warm = cold_factor(coldest_c=coldest_c, voc_pct_per_c=-0.3, table=())
    cold = cold_factor(coldest_c=colder, voc_pct_per_c=-0.3, table=())
    assert cold >= warm >= 1


@given(st.floats(-20, 25))
def test_between_two_bands_the_colder_one_holds(coldest_c: float) -> None:
    """By the table no temperature gets a factor made for a warmer one."""
    factor = cold_factor(coldest_c=coldest_c, voc_pct_per_c=None, table=TABLE)
    safe = [row.factor for row in TABLE if row.down_to_c <= coldest_c]
    assert factor == (1.0 if coldest_c == 25 else min(safe))


def test_two_panels_at_minus_twenty() -> None:
    """2 x 22.5 V, -0.30 % per °C, -20 °C: 45 x 1.135 = 51.1 V, by hand."""
    one = cold_voc_v(module=PANEL, coldest_c=-20, table=())
    assert 2 * one == pytest.approx(51.075)


def test_the_smaller_of_two_limits_governs() -> None:
    """Lowest battery volts plus the stated difference may lie under the absolute limit."""
    both = voltage_limit(controller_max_pv_v=75, battery_v=10.5, stated_difference_v=50)
    assert (both.limit_v, both.governed_by) == (60.5, "battery volts + stated difference")
    one = voltage_limit(controller_max_pv_v=55, battery_v=10.5, stated_difference_v=50)
    assert (one.limit_v, one.governed_by) == (55, "the controller's absolute limit")
    none = voltage_limit(controller_max_pv_v=55, battery_v=10.5, stated_difference_v=None)
    assert none.limit_v == 55


def test_hot_volts_without_a_coefficient_use_the_steepest() -> None:
    """A panel with unknown coefficient is promised less than one with a gentle one."""
    unknown = Module(120, 22.5, 18.5, 7.0, 6.5, 15, None)
    assert hot_vmp_v(module=unknown, cell_c=70) < hot_vmp_v(module=PANEL, cell_c=70) < 18.5


@pytest.mark.parametrize("coldest_c", [-60.1, 25.1, NAN])
def test_temperature_out_of_range_is_named(coldest_c: float) -> None:
    """The message names the argument."""
    with pytest.raises(OutOfRangeError, match="coldest_c"):
        cold_factor(coldest_c=coldest_c, voc_pct_per_c=-0.3, table=())


@pytest.mark.parametrize("pct", [0.01, -1.1, NAN])
def test_coefficient_out_of_range_is_named(pct: float) -> None:
    """A coefficient with the wrong sign never lowers the cold volts in silence."""
    with pytest.raises(OutOfRangeError, match="voc_pct_per_c"):
        cold_factor(coldest_c=-10, voc_pct_per_c=pct, table=())


def test_below_the_table_is_refused() -> None:
    """The table is not stretched beyond its last band."""
    with pytest.raises(OutOfRangeError, match="-20 or more where the panel's temperature"):
        cold_factor(coldest_c=-20.5, voc_pct_per_c=None, table=TABLE)


@pytest.mark.parametrize(
    "bad",
    [
        {"controller_max_pv_v": 0.0},
        {"controller_max_pv_v": NAN},
        {"battery_v": -1.0},
        {"stated_difference_v": 0.0},
        {"stated_difference_v": NAN},
    ],
)
def test_limit_refuses(bad: dict[str, float]) -> None:
    """Each argument of the limit is guarded by name."""
    good: dict[str, Any] = {
        "controller_max_pv_v": 75.0,
        "battery_v": 10.5,
        "stated_difference_v": 50.0,
    }
    with pytest.raises(OutOfRangeError, match=next(iter(bad))):
        voltage_limit(**good | bad)


@pytest.mark.parametrize("cell_c", [24.0, 100.1, NAN])
def test_hot_cell_out_of_range(cell_c: float) -> None:
    """Only a hot cell makes sense here."""
    with pytest.raises(OutOfRangeError, match="cell_c"):
        hot_vmp_v(module=PANEL, cell_c=cell_c)
