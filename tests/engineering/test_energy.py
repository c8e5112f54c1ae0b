"""Properties of use, battery and harvest, and what they refuse."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import harvest
from planner.engineering.energy import daily_use, usable_battery_wh
from planner.errors import OutOfRangeError

LAMP: dict[str, Any] = {"name": "lamp", "watts": 10, "hours_per_day": 4, "supply": "dc"}
INVERTER: dict[str, float] = {"inverter_efficiency_percent": 80, "inverter_standby_w": 10}
FACTORS: dict[str, Any] = {
    "sun_kwh_m2": 4.0,
    "latitude_deg": 50.0,
    "module": harvest.Module(0.0342, -0.4, 18.0),
    "losses": harvest.Losses(7, 4, 5, 15, 0),
    "controller": "mppt",
    "battery_charge_v": 13.6,
}


def test_no_load_uses_nothing_and_the_inverter_stays_off() -> None:
    """Standby counts only where something runs on mains voltage."""
    assert daily_use(loads=[], **INVERTER).total_wh == 0
    assert daily_use(loads=[LAMP], **INVERTER).standby_wh == 0


def test_the_inverter_is_never_on_for_more_than_a_day() -> None:
    """Hours of mains loads add up, but a day has 24."""
    loads = [LAMP | {"supply": "ac", "hours_per_day": hours} for hours in (20, 9)]
    assert daily_use(loads=loads, **INVERTER).standby_wh == 240


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(0, 24), st.booleans()), max_size=6))
def test_use_is_never_less_than_watts_times_hours(loads: list[tuple[float, float, bool]]) -> None:
    """The inverter only adds."""
    rows = [
        {"name": "x", "watts": w, "hours_per_day": h, "supply": "ac" if ac else "dc"}
        for w, h, ac in loads
    ]
    use = daily_use(loads=rows, **INVERTER)
    assert use.total_wh >= sum(w * h for w, h, _ in loads) - 1e-6
    assert use.total_wh == pytest.approx(use.dc_wh + use.ac_wh + use.standby_wh)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"hours_per_day": 30}, "loads: lamp: hours_per_day is 30; it must be 0 to 24"),
        ({"hours_per_day": 30}, "Minutes? 30 min are 0.50 h. Several lamps? Add up their watts"),
        ({"hours_per_day": -1}, "loads: lamp: hours_per_day is -1"),
        ({"hours_per_day": float("nan")}, "loads: lamp: hours_per_day is nan"),
        ({"watts": 6000}, "loads: lamp: watts is 6000; it must be 0 to 5000 W"),
        ({"watts": float("nan")}, "loads: lamp: watts is nan"),
        ({"supply": "gas"}, "loads: lamp: supply is gas; it must be dc or ac"),
    ],
)
def test_a_load_that_cannot_be_is_refused_with_a_guess(change: dict[str, Any], words: str) -> None:
    """The message names the load and what was probably meant."""
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        daily_use(loads=[LAMP | change], **INVERTER)


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("inverter_efficiency_percent", 39),
        ("inverter_efficiency_percent", 101),
        ("inverter_efficiency_percent", float("nan")),
        ("inverter_standby_w", -1),
        ("inverter_standby_w", float("nan")),
    ],
)
def test_an_inverter_out_of_range_is_refused(argument: str, value: float) -> None:
    """Each limit names its argument."""
    with pytest.raises(OutOfRangeError, match=re.escape(f"{argument} is")):
        daily_use(loads=[LAMP], **INVERTER | {argument: value})


@pytest.mark.parametrize("argument", ["capacity_ah", "nominal_v", "usable_percent"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_a_battery_out_of_range_is_refused(argument: str, value: float) -> None:
    """Each limit names its argument."""
    given_values = {"capacity_ah": 100.0, "nominal_v": 12.0, "usable_percent": 50.0}
    with pytest.raises(OutOfRangeError, match=re.escape(f"{argument} is")):
        usable_battery_wh(**given_values | {argument: value})


def test_every_factor_is_named() -> None:
    """The pack prints each with what it leaves."""
    names = set(harvest.harvest_factors(**FACTORS))
    assert names == {"module_temperature", "soiling", "wiring", "controller", "charging", "shade"}


def test_heat_counts_with_mppt_and_volts_count_with_pwm() -> None:
    """PWM leaves the panel at the battery's voltage: heat then takes nothing that was used."""
    mppt = harvest.harvest_factors(**FACTORS)
    pwm = harvest.harvest_factors(**FACTORS | {"controller": "pwm"})
    assert mppt["module_temperature"] < 1
    assert pwm["module_temperature"] == 1
    assert mppt["controller"] == pytest.approx(0.95)
    assert pwm["controller"] == pytest.approx(13.6 / 18)


def test_pwm_brings_nothing_from_a_panel_below_the_batterys_voltage() -> None:
    """A 12 V panel cannot charge a 24 V battery."""
    share = harvest.harvest_factors(**FACTORS | {"controller": "pwm", "battery_charge_v": 27.2})
    assert harvest.product(share) == 0


@given(sun=st.floats(0.1, 9), latitude=st.floats(-60, 70))
def test_more_sun_at_one_place_means_a_warmer_module(sun: float, latitude: float) -> None:
    """The share falls with sunlight and rises with latitude, whichever hemisphere."""
    fixed = {"ross_k_m2_w": 0.0342, "power_percent_per_c": -0.4}
    share = harvest.module_temperature_share(sun_kwh_m2=sun, latitude_deg=latitude, **fixed)
    sunnier = harvest.module_temperature_share(sun_kwh_m2=sun + 0.5, latitude_deg=latitude, **fixed)
    mirrored = harvest.module_temperature_share(sun_kwh_m2=sun, latitude_deg=-latitude, **fixed)
    assert sunnier < share
    assert mirrored == share


def test_harvest_is_proportional_to_watts_and_sun() -> None:
    """Rated watts are per 1 kW/m², so 1 kWh/m² gives as many watt-hours, less the factors."""
    wh = harvest.harvest_wh_day(rated_w=200, sun_kwh_m2=3, factors={"a": 0.5, "b": 0.8})
    assert wh == pytest.approx(240)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"sun_kwh_m2": 11.0}, "sun_kwh_m2 is 11.0"),
        ({"sun_kwh_m2": float("nan")}, "sun_kwh_m2 is nan"),
        ({"latitude_deg": 91.0}, "latitude_deg is 91.0"),
        ({"controller": "none"}, "controller is none; it must be mppt or pwm"),
        ({"battery_charge_v": 0.0}, "battery_charge_v is 0.0"),
        ({"module": harvest.Module(0.0, -0.4, 18.0)}, "ross_k_m2_w is 0.0"),
        ({"module": harvest.Module(0.03, 0.4, 18.0)}, "power_percent_per_c is 0.4"),
        ({"module": harvest.Module(0.03, -0.4, 0.0)}, "panel_vmp_v is 0.0"),
        ({"losses": harvest.Losses(101, 4, 5, 15, 0)}, "soiling_percent is 101"),
        ({"losses": harvest.Losses(7, 4, 5, float("nan"), 0)}, "charging_percent is nan"),
    ],
)
def test_harvest_factors_out_of_range_are_refused(change: dict[str, Any], words: str) -> None:
    """Each limit names its argument."""
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        harvest.harvest_factors(**FACTORS | change)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rated_w": -1.0}, "rated_w is -1.0"),
        ({"sun_kwh_m2": float("nan")}, "sun_kwh_m2 is nan"),
        ({"factors": {"shade": 1.3}}, "factors: shade is 1.3"),
    ],
)
def test_harvest_out_of_range_is_refused(change: dict[str, Any], words: str) -> None:
    """Each limit names its argument."""
    fixed: dict[str, Any] = {"rated_w": 100.0, "sun_kwh_m2": 3.0, "factors": {"shade": 1.0}}
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        harvest.harvest_wh_day(**fixed | change)
