"""Harvest and battery against a reference library's models and published ranges."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pvlib
import pytest
import yaml

from planner import paths
from planner.engineering import harvest
from planner.engineering.energy import daily_use, usable_battery_wh
from planner.engineering.sunlight import DAYS_IN_MONTH

DATA = Path(pvlib.__file__).parent / "data"
ROSS_ON_BRACKETS = 0.0342
ROSS_GLUED_DOWN = 0.0563


@cache
def station(name: str) -> tuple[float, Any]:
    """Return latitude and hourly ``ghi`` and ``temp_air`` of a station that comes with pvlib."""
    if name == "Miami":
        data, _ = pvlib.iotools.read_tmy2(DATA / "12839.tm2")
        hours = data.rename(columns={"GHI": "ghi"}).astype({"ghi": float})
        return 25.8, hours.assign(temp_air=data["DryBulb"] / 10)  # the file counts in tenths
    files = {"Greensboro": (36.1, "723170TYA.CSV"), "Sand Point": (55.32, "703165TY.csv")}
    latitude, file = files[name]
    data, _ = pvlib.iotools.read_tmy3(DATA / file, coerce_year=1990, map_variables=True)
    data.index = data.index - timedelta(minutes=30)
    return latitude, data[["ghi", "temp_air"]].astype(float)


def tables(file: str) -> dict[str, Any]:
    """Return one of our own rule files as plain data."""
    text = (paths.shipped("rules") / "tables" / file).read_text(encoding="utf-8")
    data: dict[str, Any] = yaml.safe_load(text)
    return data


@pytest.mark.parametrize("name", ["Greensboro", "Sand Point", "Miami"])
@pytest.mark.parametrize("ross", [ROSS_ON_BRACKETS, ROSS_GLUED_DOWN])
def test_a_days_harvest_agrees_with_pvlib_hour_by_hour(name: str, ross: float) -> None:
    """General-purpose library pvlib 0.16.1: ``temperature.ross`` and ``pvsystem.pvwatts_dc``.

    A panel of 200 W with −0.4 %/K on the same hourly sunlight, a mean day of each month. Only heat
    is counted, and pvlib knows the air of each hour where we know the month's sun and the latitude.
    Tolerance 5 %: 6 K of air are 2.4 %, the irradiance's scatter 1 %; two of their sigmas.
    """
    latitude, hours = station(name)
    cell = pvlib.temperature.ross(hours["ghi"], hours["temp_air"], noct=20 + 800 * ross)
    power = pvlib.pvsystem.pvwatts_dc(hours["ghi"], cell, 200, -0.004)
    days = np.array(DAYS_IN_MONTH)
    theirs = power.groupby(hours.index.month).sum().to_numpy() / days
    sun = hours["ghi"].groupby(hours.index.month).sum().to_numpy() / 1000 / days
    ours = [
        harvest.harvest_wh_day(
            rated_w=200,
            sun_kwh_m2=kwh,
            factors={
                "module_temperature": harvest.module_temperature_share(
                    sun_kwh_m2=kwh,
                    latitude_deg=latitude,
                    ross_k_m2_w=ross,
                    power_percent_per_c=-0.4,
                )
            },
        )
        for kwh in sun
    ]
    assert ours == pytest.approx(theirs, rel=0.05)
    assert float(np.dot(ours, days)) == pytest.approx(float(np.dot(theirs, days)), rel=0.025)


@pytest.mark.parametrize("name", ["Greensboro", "Sand Point", "Miami"])
@pytest.mark.parametrize("limit", [0.3, 0.5, 0.7])
def test_what_a_limit_cuts_off_agrees_hour_by_hour(name: str, limit: float) -> None:
    """Panels of 1 W at 1000 W/m², held to so many watts, against hours clipped one by one.

    Hourly typical years that come with general-purpose library pvlib 0.16.1. We know only the
    month's mean day, so a month may be off by 0.1 of its harvest; the year by 0.05.
    """
    _, hours = station(name)
    suns = hours["ghi"] / 1000
    month, days = hours.index.month, np.array(DAYS_IN_MONTH)
    sums = suns.groupby(month).sum()
    theirs = (suns.clip(upper=limit).groupby(month).sum() / sums).to_numpy()
    ours = np.array(
        [
            harvest.unclipped_share(full_sun_w=1, limit_w=limit, sun_kwh_m2=kwh)
            for kwh in sums.to_numpy() / days
        ]
    )
    assert ours == pytest.approx(theirs, abs=0.1)
    weights = sums.to_numpy() / sums.sum()
    assert float(ours @ weights) == pytest.approx(float(theirs @ weights), abs=0.05)


def test_temperature_share_is_the_simple_dc_model_at_one_irradiance() -> None:
    """General-purpose library pvlib 0.16.1: ``pvwatts_dc`` at our irradiance and air."""
    sun, latitude = 5.0, 40.0
    irradiance = harvest.sunny_irradiance_w_m2(sun_kwh_m2=sun)
    air = harvest.sunny_air_c(sun_kwh_m2=sun, latitude_deg=latitude)
    cell = pvlib.temperature.ross(irradiance, air, noct=20 + 800 * ROSS_ON_BRACKETS)
    theirs = pvlib.pvsystem.pvwatts_dc(irradiance, cell, 1000, -0.0035) / irradiance
    ours = harvest.module_temperature_share(
        sun_kwh_m2=sun,
        latitude_deg=latitude,
        ross_k_m2_w=ROSS_ON_BRACKETS,
        power_percent_per_c=-0.35,
    )
    assert ours == pytest.approx(theirs, rel=1e-12)


def test_factors_multiply_as_in_the_published_loss_model() -> None:
    """NREL/TP-6A20-62641 (2014) default losses: 14.0757 % together, as in pvlib's own test.

    Soiling 2, shading 3, mismatch 2, wiring 2, connections 0.5, light-induced 1.5, nameplate 1,
    availability 3 %.
    """
    percents = (2, 3, 0, 2, 2, 0.5, 1.5, 1, 0, 3)
    left = harvest.product({str(i): 1 - p / 100 for i, p in enumerate(percents)})
    assert 100 * (1 - left) == pytest.approx(14.0757, abs=0.0001)
    assert 100 * (1 - left) == pytest.approx(pvlib.pvsystem.pvwatts_losses(*percents), rel=1e-12)


def test_our_losses_agree_with_the_reference_librarys_loss_model() -> None:
    """General-purpose library pvlib 0.16.1, ``pvwatts_losses`` with our shipped percentages."""
    rows = tables("harvest_factors.yaml")["values"]
    values = {row["fact"].partition(".")[2]: row["value"] for row in rows}
    lost = harvest.Losses(
        values["soiling_percent"], values["wiring_percent"], values["controller_percent"], 15, 3
    )
    factors = harvest.harvest_factors(
        sun_kwh_m2=4.0,
        latitude_deg=50,
        module=harvest.Module(ROSS_ON_BRACKETS, -0.4, 18.0),
        losses=lost,
        controller="mppt",
        battery_charge_v=13.6,
    )
    heat = factors.pop("module_temperature")
    theirs = pvlib.pvsystem.pvwatts_losses(
        soiling=lost.soiling_percent,
        shading=lost.shade_percent,
        wiring=lost.wiring_percent,
        connections=lost.controller_percent,
        availability=lost.charging_percent,
        snow=0,
        mismatch=0,
        lid=0,
        nameplate_rating=0,
        age=0,
    )
    assert 100 * (1 - harvest.product(factors)) == pytest.approx(theirs, rel=1e-12)
    assert 0.9 < heat < 1.0


def test_yield_without_a_battery_agrees_with_the_uk_building_rules() -> None:
    """UK SAP 10 Appendix M: yield = 0.8 · kWp · sunlight, for panels on the mains, unshaded.

    Heat, dirt, wiring and controller for a British summer. Tolerance 8 %: 0.8 holds for a tilted
    roof, an inverter and all of the year.
    """
    factors = harvest.harvest_factors(
        sun_kwh_m2=4.8,
        latitude_deg=52,
        module=harvest.Module(ROSS_ON_BRACKETS, -0.4, 18.0),
        losses=harvest.Losses(7, 4, 5, 0, 0),
        controller="mppt",
        battery_charge_v=13.6,
    )
    assert harvest.product(factors) == pytest.approx(0.8, rel=0.08)


def test_pwm_gives_the_panels_current_at_the_batterys_voltage() -> None:
    """Textbook: output = I_mp · U_battery. 100 W at 18 V are 5.56 A; at 13.6 V, 75.6 W."""
    share = harvest.pwm_share(battery_charge_v=13.6, panel_vmp_v=18.0)
    assert 100 * share == pytest.approx(5.556 * 13.6, rel=0.001)


def test_battery_shares_lie_in_the_published_ranges() -> None:
    """Lead-acid 50 % and lithium iron phosphate 80 to 90 % usable (practice, from memory).

    Charge returned: lead-acid 0.80 to 0.90, lithium 0.95 to 0.99; AS/NZS 4509.2 and IEEE 1562,
    from memory.
    """
    for row in tables("battery_chemistry.yaml")["tables"][0]["rows"]:
        lithium = row["chemistry"] == "lithium_iron_phosphate"
        low, high = (0.95, 0.99) if lithium else (0.80, 0.90)
        assert low <= 1 - row["charging_loss_percent"] / 100 <= high
        assert row["usable_percent"] in ((80, 85, 90) if lithium else (50,))


def test_flat_soiling_and_controller_lie_in_the_published_ranges() -> None:
    """AS/NZS 4509.2 and IEEE 1562, from memory: flat soiling 0.90 to 0.95, MPPT 0.94 to 0.98."""
    values = {v["fact"]: v["value"] for v in tables("harvest_factors.yaml")["values"]}
    assert 0.90 <= 1 - values["harvest_loss.soiling_percent"] / 100 <= 0.95
    assert 0.94 <= 1 - values["harvest_loss.controller_percent"] / 100 <= 0.98


def test_module_heat_by_mounting_agrees_with_the_published_review() -> None:
    """Ross coefficients by mounting, review of 2008 to 2009, as pvlib's documentation has them."""
    review = {0.0200, 0.0208, 0.0260, 0.0342, 0.0455, 0.0538, 0.0563}
    table = next(t for t in tables("harvest_factors.yaml")["tables"] if t["id"] == "module_heat")
    assert {row["ross_k_m2_w"] for row in table["rows"]} <= review


def test_use_and_battery_by_hand() -> None:
    """By hand: 45 W · 8 h + 12 W · 4 h = 408 Wh; 60 W · 3 h through 85 % = 211.8 Wh; standby 30 Wh.

    100 Ah · 12.8 V · 80 % = 1024 Wh.
    """
    loads = [
        {"name": "fridge", "watts": 45, "hours_per_day": 8, "supply": "dc"},
        {"name": "lamps", "watts": 12, "hours_per_day": 4, "supply": "dc"},
        {"name": "laptop", "watts": 60, "hours_per_day": 3, "supply": "ac"},
    ]
    use = daily_use(loads=loads, inverter_efficiency_percent=85, inverter_standby_w=10)
    assert (use.dc_wh, use.standby_wh) == (408, 30)
    assert use.ac_wh == pytest.approx(211.76, abs=0.01)
    assert use.total_wh == pytest.approx(649.76, abs=0.01)
    usable = usable_battery_wh(capacity_ah=100, nominal_v=12.8, usable_percent=80)
    assert usable == pytest.approx(1024)
