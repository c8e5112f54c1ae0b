"""Bind what the van uses, what its battery holds and what the sun gives to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering import sunlight
from planner.engineering.energy import daily_use, usable_battery_wh
from planner.engineering.whereabouts import sunlight_meant
from planner.errors import OutOfRangeError
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]

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


def sun(
    *,
    place: str,
    latitude_deg: float | None,
    longitude_deg: float | None,
    kwh_m2_day: Sequence[float] | None,
    places: Rows,
) -> dict[str, Any] | None:
    """Return the sunlight of a listed place, of a position, or of twelve typed values."""
    found = sunlight_meant(
        place=place,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        kwh_m2_day=kwh_m2_day,
        places=places,
    )
    if found is None:
        return None
    rows = [_sun_row(number, month) for number, month in enumerate(found.sun.months, 1)]
    return {
        "rows": rows,
        "source": found.source,
        "latitude": found.latitude_deg,
        "year": found.sun.year_kwh_m2,
    }


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
