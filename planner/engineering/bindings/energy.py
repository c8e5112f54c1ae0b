"""Bind what the van uses, what the sun gives and what of it reaches the battery to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from planner import paths
from planner.engineering import harvest, sunlight, worth
from planner.engineering.energy import daily_use, usable_battery_wh
from planner.engineering.places import find_place
from planner.errors import InputError, OutOfRangeError
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]

#: Where twelve values are typed without a place, the air is taken to be that of this latitude.
TYPED_LATITUDE_DEG = 45.0
_SPREAD_KEYS = ("dull", "fifth", "middle", "bright", "best")
_FACTOR_WORDS = {
    "module_temperature": "heat of the module",
    "soiling": "dirt and glancing light",
    "wiring": "cables, connectors, unlike panels",
    "controller": "controller",
    "charging": "charging and discharging the battery",
    "shade": "shade from obstacles on the roof",
}


def _row(rows: Rows, key: str, value: str) -> Mapping[str, Any]:
    for row in rows:
        if row[key] == value:
            return row
    raise OutOfRangeError(key, value, f"one of {', '.join(str(row[key]) for row in rows)}")


def battery(
    *, chemistry: str, capacity_ah: float, nominal_v: float, chemistries: Rows
) -> dict[str, float]:
    """Return usable energy, charging loss and charging voltage of the battery."""
    row = _row(chemistries, "chemistry", chemistry)
    usable = usable_battery_wh(
        capacity_ah=capacity_ah, nominal_v=nominal_v, usable_percent=row["usable_percent"]
    )
    charge_v = row["charge_v"] * nominal_v / 12
    return {"usable": usable, "loss": row["charging_loss_percent"], "charge_v": charge_v}


@lru_cache(maxsize=1)
def shipped_sun_table() -> sunlight.SunTable:
    """Return the shipped table of sunlight, read once a process."""
    path = paths.shipped("rules") / "tables" / "sunlight.csv"
    return sunlight.read_table(path.read_text(encoding="utf-8"))


def sun(
    *,
    place: str,
    latitude_deg: float | None,
    longitude_deg: float | None,
    values: Sequence[float] | None,
    places: Rows,
) -> dict[str, Any] | None:
    """Return the sunlight of a listed place, of a position, or of twelve typed values."""
    table = shipped_sun_table()
    if place == "by_values":
        if values is None:
            return None
        found = sunlight.sunlight_from_values(kwh_m2_day=values, table=table)
        return _sun_facts(found, found.source, TYPED_LATITUDE_DEG)
    name = ""
    if place != "by_position":
        row = find_place(name=place, places=places)
        latitude_deg, longitude_deg = row["latitude_deg"], row["longitude_deg"]
        name = f"{row['name']}, {row['country']}: "
    if latitude_deg is None or longitude_deg is None:
        return None
    found = sunlight.sunlight_at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, table=table
    )
    return _sun_facts(found, name + found.source, latitude_deg)


def _sun_facts(found: sunlight.Sunlight, source: str, latitude_deg: float) -> dict[str, Any]:
    rows = [_sun_row(number, month) for number, month in enumerate(found.months, 1)]
    year = found.year_kwh_m2
    return {"rows": rows, "source": source, "latitude": latitude_deg, "year": year}


def _sun_row(number: int, month: sunlight.MonthSun) -> dict[str, Any]:
    mean, name = month.mean_kwh_m2, sunlight.MONTH_NAMES[number - 1]
    spread = zip(_SPREAD_KEYS, month.spread, strict=True)
    days = {f"{key}_kwh_m2_day": round(mean * share, 3) for key, share in spread}
    return {"number": number, "month": name, "kwh_m2_day": round(mean, 3)} | days


def _month(row: Mapping[str, Any]) -> sunlight.MonthSun:
    mean = row["kwh_m2_day"]
    shares = (row[f"{key}_kwh_m2_day"] / mean if mean else 1.0 for key in _SPREAD_KEYS)
    return sunlight.MonthSun(mean, tuple(shares))


def losses(
    *,
    soiling_percent: float,
    wiring_percent: float,
    controller_percent: float,
    charging_percent: float,
    power_percent_per_c: float,
    panel_kind: str,
    panel_vmp_v: float,
    controller: str,
    battery_charge_v: float,
    latitude_deg: float,
    sun_rows: Rows,
    heat: Rows,
) -> list[dict[str, float]]:
    """Return the factors of the harvest for each month, shade left out.

    With PWM the panels stand in parallel, so the controller sees one panel's voltage.
    """
    module = harvest.Module(
        _row(heat, "kind", panel_kind)["ross_k_m2_w"], power_percent_per_c, panel_vmp_v
    )
    lost = harvest.Losses(soiling_percent, wiring_percent, controller_percent, charging_percent, 0)
    return [
        harvest.harvest_factors(
            sun_kwh_m2=row["kwh_m2_day"],
            latitude_deg=latitude_deg,
            module=module,
            losses=lost,
            controller=controller,
            battery_charge_v=battery_charge_v,
        )
        for row in sun_rows
    ]


def _checked_months(months: Sequence[int]) -> list[int]:
    for month in months:
        if month not in range(1, 13):
            raise InputError.of("use.months", f"{month} is no month", "Write 1 to 12; 7 is July.")
    return sorted({int(month) for month in months})


def months_of_use(sun_rows: Rows, factors: Rows, months: Sequence[int]) -> list[worth.MonthOfUse]:
    """Return the months of use, darkest first.

    Raises:
        InputError: If there is none, or a number is no month.
    """
    used = [
        worth.MonthOfUse(number, _month(sun_rows[number - 1]), harvest.product(factors[number - 1]))
        for number in _checked_months(months)
    ]
    if not used:
        raise InputError.of("use.months", "no month of use is given", "Write 1 to 12; 7 is July.")
    return worth.darkest_first(used)


def harvests(
    *,
    watts: float,
    factors: Rows,
    sun_rows: Rows,
    months: Sequence[int],
    use_wh_day: float,
    shade_percent: float | None,
) -> dict[str, Any]:
    """Return harvest against use month by month, and the factors of the darkest month of use."""
    shade = {"shade": 1 - (shade_percent or 0) / 100}
    darkest = months_of_use(sun_rows, factors, months)[0]
    shares = [{**month, **shade} for month in factors]
    brought = [
        harvest.harvest_wh_day(rated_w=watts, sun_kwh_m2=row["kwh_m2_day"], factors=month)
        for row, month in zip(sun_rows, shares, strict=True)
    ]
    rows = [
        {
            "number": row["number"],
            "month": row["month"],
            "in_use": row["number"] in months,
            "sun_kwh_m2_day": row["kwh_m2_day"],
            "harvest_wh_day": round(wh),
            "use_wh_day": round(use_wh_day),
        }
        for row, wh in zip(sun_rows, brought, strict=True)
    ]
    there = shares[darkest.number - 1]
    return {
        "rows": rows,
        "factors": [
            {"factor": _FACTOR_WORDS[name], "left_percent": round(100 * share, 1)}
            for name, share in there.items()
        ],
        "left": 100 * harvest.product(there),
        "worst": brought[darkest.number - 1],
        "month": darkest.name,
    }


BINDINGS: tuple[Binding, ...] = (
    bind(
        daily_use,
        {
            "use.daily_wh": "total_wh",
            "use.dc_wh": "dc_wh",
            "use.ac_wh": "ac_wh",
            "use.standby_wh": "standby_wh",
        },
        loads="use.loads",
        inverter_efficiency_percent="use.inverter_efficiency_percent",
        inverter_standby_w="use.inverter_standby_w",
    ),
    bind(
        battery,
        {
            "battery.usable_wh": "usable",
            "battery.charging_loss_percent": "loss",
            "battery.charge_v": "charge_v",
        },
        chemistry="battery.chemistry",
        capacity_ah="battery.capacity_ah",
        nominal_v="battery.nominal_v",
        chemistries="table.battery_chemistry",
    ),
    bind(
        sun,
        {
            "sun.rows": "rows",
            "sun.source": "source",
            "sun.latitude_deg": "latitude",
            "sun.year_kwh_m2": "year",
        },
        place="use.place",
        latitude_deg="use.latitude_deg?",
        longitude_deg="use.longitude_deg?",
        values="use.sun_kwh_m2_day?",
        places="table.places",
    ),
    bind(
        losses,
        "harvest.monthly_factors",
        soiling_percent="harvest_loss.soiling_percent",
        wiring_percent="harvest_loss.wiring_percent",
        controller_percent="harvest_loss.controller_percent",
        charging_percent="battery.charging_loss_percent",
        power_percent_per_c="harvest_loss.power_percent_per_c",
        panel_kind="panel.kind",
        panel_vmp_v="panel.vmp_v",
        controller="controller.kind",
        battery_charge_v="battery.charge_v",
        latitude_deg="sun.latitude_deg",
        sun_rows="sun.rows",
        heat="table.module_heat",
    ),
    bind(
        harvests,
        {
            "harvest.rows": "rows",
            "harvest.factors": "factors",
            "harvest.left_percent": "left",
            "harvest.worst_wh_day": "worst",
            "harvest.worst_month": "month",
        },
        watts="array.watts",
        factors="harvest.monthly_factors",
        sun_rows="sun.rows",
        months="use.months",
        use_wh_day="use.daily_wh",
        shade_percent="shade.share_percent?",
    ),
)
