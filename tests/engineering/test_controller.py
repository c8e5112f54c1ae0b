"""Controller sums: what must hold, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.controller import (
    ChargeSettings,
    cold_charge,
    highest_charge_v,
    limit_check,
    mppt_charge_current,
    pwm_charge_current,
    settings_for,
)
from planner.errors import OutOfRangeError

NAN = float("nan")
GEL = ChargeSettings("gel", 14.1, 14.4, 13.5, 13.8, -24, -18, equalise=False)


@given(st.floats(1, 3000), st.floats(10, 60), st.floats(1, 100))
def test_output_never_passes_the_rating(array_w: float, charge_v: float, rated_a: float) -> None:
    """What is given and what is clipped add up to what the array offers."""
    current = mppt_charge_current(array_w=array_w, charge_v=charge_v, rated_a=rated_a)
    assert current.output_a <= rated_a
    assert current.output_a * charge_v + current.clipped_w == pytest.approx(array_w)


def test_pwm_current_is_the_panels_own() -> None:
    """12 A of panels through a 10 A unit: 2 A too many, shown as watts."""
    current = pwm_charge_current(isc_a=12, charge_v=13.2, rated_a=10)
    assert (current.output_a, current.clipped_w) == pytest.approx((10, 26.4))


def test_limit_is_met_exactly_and_missed_just_above() -> None:
    """The limit itself passes."""
    assert limit_check(name="volts", value=100, limit=100, unit="V").within_limit
    over = limit_check(name="volts", value=100.1, limit=100, unit="V")
    assert not over.within_limit
    assert over.share_percent == pytest.approx(100.1)


def test_lithium_below_zero() -> None:
    """At the minimum charging is allowed, a degree below it is not."""
    at_limit = cold_charge(lowest_battery_c=0, min_charge_c=0, max_charge_a=50)
    below = cold_charge(lowest_battery_c=-1, min_charge_c=0, max_charge_a=50)
    assert (at_limit.inhibit_needed, at_limit.allowed_a) == (False, 50)
    assert (below.inhibit_needed, below.allowed_a) == (True, 0)


def test_settings_double_for_24_volts() -> None:
    """Volts and their correction both double; the rest stays."""
    row = settings_for(row=GEL, nominal_v=24)
    assert (row.absorb_low_v, row.float_high_v, row.temp_low_mv_per_c) == (28.2, 27.6, -48)
    assert row.equalise is False
    assert settings_for(row=GEL, nominal_v=12) == GEL


def test_highest_charge_volts() -> None:
    """Gel at 0 °C: 14.4 V and 25 x 24 mV = 15.0 V, by hand; no correction at 25 °C."""
    assert highest_charge_v(settings=GEL, coldest_charge_c=0) == pytest.approx(15.0)
    assert highest_charge_v(settings=GEL, coldest_charge_c=25) == 14.4
    with pytest.raises(OutOfRangeError, match="coldest_charge_c"):
        highest_charge_v(settings=GEL, coldest_charge_c=NAN)


def test_other_refusals() -> None:
    """Currents, limits, temperatures and nominal volts are guarded."""
    with pytest.raises(OutOfRangeError, match="charge_v"):
        mppt_charge_current(array_w=200, charge_v=0, rated_a=20)
    with pytest.raises(OutOfRangeError, match="rated_a"):
        pwm_charge_current(isc_a=5, charge_v=13, rated_a=NAN)
    with pytest.raises(OutOfRangeError, match="limit"):
        limit_check(name="volts", value=5, limit=NAN, unit="V")
    with pytest.raises(OutOfRangeError, match="lowest_battery_c"):
        cold_charge(lowest_battery_c=NAN, min_charge_c=0, max_charge_a=50)
    with pytest.raises(OutOfRangeError, match="12 or 24; a battery that reads about 12 to 15 V"):
        settings_for(row=GEL, nominal_v=NAN)
    with pytest.raises(OutOfRangeError, match="nominal_v is 18"):
        settings_for(row=GEL, nominal_v=18)
