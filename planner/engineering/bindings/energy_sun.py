"""Bind what the van uses, what its battery holds and what the sun gives to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from planner import paths
from planner.engineering import sunlight
from planner.engineering.energy import daily_use, usable_battery_wh
from planner.engineering.places import find_place
from planner.errors import OutOfRangeError
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]

#: Where twelve values are typed without a place, the air is taken to be that of this latitude.
TYPED_LATITUDE_DEG = 45.0
SPREAD_KEYS = ("dull", "fifth", "middle", "bright", "best")


def row_of(rows: Rows, key: str, value: str) -> Mapping[str, Any]:
    """Return the row of a table whose ``key`` has the value."""
    for row in rows:
        if row[key] == value:
            return row
    raise OutOfRangeError(key, value, f"one of {', '.join(str(row[key]) for row in rows)}")


def battery(
    *, chemistry: str, capacity_ah: float, nominal_v: float, chemistries: Rows
) -> dict[str, float]:
    """Return usable energy, charging loss and charging voltage of the battery."""
    row = row_of(chemistries, "chemistry", chemistry)
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
    kwh_m2_day: Sequence[float] | None,
    places: Rows,
) -> dict[str, Any] | None:
    """Return the sunlight of a listed place, of a position, or of twelve typed values."""
    if place == "by_values":
        if kwh_m2_day is None:
            return None
        table = shipped_sun_table()
        found = sunlight.sunlight_from_values(kwh_m2_day=kwh_m2_day, table=table)
        return _sun_facts(found, found.source, TYPED_LATITUDE_DEG)
    name = ""
    if place != "by_position":
        row = find_place(name=place, places=places)
        latitude_deg, longitude_deg = row["latitude_deg"], row["longitude_deg"]
        name = f"{row['name']}, {row['country']}: "
    if latitude_deg is None or longitude_deg is None:
        return None
    found = _sun_at(latitude_deg, longitude_deg)
    return _sun_facts(found, name + found.source, latitude_deg)


@lru_cache(maxsize=100)
def _sun_at(latitude_deg: float, longitude_deg: float) -> sunlight.Sunlight:
    """Return the sunlight of a position; a question flow asks for the same one many times."""
    return sunlight.sunlight_at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, table=shipped_sun_table()
    )


def _sun_facts(found: sunlight.Sunlight, source: str, latitude_deg: float) -> dict[str, Any]:
    rows = [_sun_row(number, month) for number, month in enumerate(found.months, 1)]
    year = found.year_kwh_m2
    return {"rows": rows, "source": source, "latitude": latitude_deg, "year": year}


def _sun_row(number: int, month: sunlight.MonthSun) -> dict[str, Any]:
    mean, name = month.mean_kwh_m2, sunlight.MONTH_NAMES[number - 1]
    spread = zip(SPREAD_KEYS, month.spread, strict=True)
    days = {f"{key}_kwh_m2_day": round(mean * share, 2) for key, share in spread}
    return {"number": number, "month": name, "kwh_m2_day": round(mean, 2)} | days


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
        kwh_m2_day="use.sun_kwh_m2_day?",
        places="table.places",
    ),
)
