"""Bind the harvest of each month, and the factors behind it, to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering import harvest, sunlight, worth
from planner.engineering.bindings.energy_sun import SPREAD_KEYS, row_of
from planner.errors import InputError
from planner.ledger import Binding, bind
from planner.rounding import up

Rows = Sequence[Mapping[str, Any]]

_FACTOR_WORDS = {
    "module_temperature": "heat of the module",
    "soiling": "dirt and glancing light",
    "wiring": "cables, connectors, unlike panels",
    "controller": "controller",
    "charging": "charging and discharging the battery",
    "shade": "shade from obstacles on the roof",
    "limit": "charge limit of controller or battery",
}
_BEFORE_THE_BATTERY = ("module_temperature", "soiling", "wiring", "controller")


def _month(row: Mapping[str, Any]) -> sunlight.MonthSun:
    mean = row["kwh_m2_day"]
    shares = (row[f"{key}_kwh_m2_day"] / mean if mean else 1.0 for key in SPREAD_KEYS)
    return sunlight.MonthSun(mean, tuple(shares))


def losses(
    *,
    soiling_percent: float,
    wiring_percent: float,
    controller_percent: float,
    charging_percent: float,
    power_percent_per_c: float,
    panel_kind: str,
    array_vmp_v: float,
    controller: str,
    battery_charge_v: float,
    latitude_deg: float,
    sun_rows: Rows,
    heat: Rows,
) -> list[dict[str, float]]:
    """Return the factors of the harvest for each month, shade and the controller's limit left out.

    The volts are those of the array, since PWM ties it to the battery as it is joined.
    """
    module = harvest.Module(
        row_of(heat, "kind", panel_kind)["ross_k_m2_w"], power_percent_per_c, array_vmp_v
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


def limits(
    *,
    possible: bool,
    watts: float,
    factors: Rows,
    sun_rows: Rows,
    controller: str,
    controller_a: float,
    battery_a: float,
    battery_charge_v: float,
) -> list[dict[str, float]] | None:
    """Return for each month what the charge limit of controller or battery leaves.

    Does not apply, and with it neither harvest nor days off grid, where the array does not suit
    the controller: such panels charge nothing. A PWM controller cannot hold current back: one that
    is too small for the panels is refused.
    """
    if not possible:
        return None
    limit_w = min(controller_a, battery_a) * battery_charge_v
    rows = []
    for row, month in zip(sun_rows, factors, strict=True):
        arriving = harvest.product({name: month[name] for name in _BEFORE_THE_BATTERY})
        left = harvest.unclipped_share(
            full_sun_w=watts * arriving, limit_w=limit_w, sun_kwh_m2=row["kwh_m2_day"]
        )
        rows.append({"number": row["number"], "limit": 1.0 if controller == "pwm" else left})
    return rows


def harvests(
    *,
    watts: float,
    factors: Rows,
    limit_rows: Rows,
    sun_rows: Rows,
    months: Sequence[int],
    use_wh_day: float,
    shade_percent: float | None,
) -> dict[str, Any]:
    """Return harvest against use month by month, and the factors of the darkest month of use."""
    shade = 1 - (shade_percent or 0) / 100
    darkest = months_of_use(sun_rows, factors, months)[0]
    shares = [
        {**month, "shade": shade, "limit": limit["limit"]}
        for month, limit in zip(factors, limit_rows, strict=True)
    ]
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
            "use_wh_day": up(use_wh_day),
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


def kinds_compared(
    *,
    watts: float,
    vmp_v: float,
    pwm_watts: float | None,
    pwm_vmp_v: float | None,
    months: Sequence[int],
    sun_rows: Rows,
    **given: Any,
) -> dict[str, float | None]:
    """Return a mean day of the months of use through MPPT and through PWM, shade left out.

    MPPT has the panels as they are joined here, or will be; PWM as they suit it best.
    """

    def mean_wh(kind: str, rated_w: float, volts: float) -> float:
        factors = losses(controller=kind, array_vmp_v=volts, sun_rows=sun_rows, **given)
        used = months_of_use(sun_rows, factors, months)
        return sum(rated_w * m.sun.mean_kwh_m2 * m.share_of_rated for m in used) / len(used)

    mppt_wh = mean_wh("mppt", watts, vmp_v)
    pwm_wh = mean_wh("pwm", pwm_watts, pwm_vmp_v) if pwm_watts and pwm_vmp_v else 0.0
    gain = mppt_wh - pwm_wh
    percent = 100 * gain / pwm_wh if pwm_wh else None
    return {"mppt": mppt_wh, "pwm": pwm_wh, "gain": gain, "percent": percent}


_LOSSES = {
    "soiling_percent": "harvest_loss.soiling_percent",
    "wiring_percent": "harvest_loss.wiring_percent",
    "controller_percent": "harvest_loss.controller_percent",
    "charging_percent": "battery.charging_loss_percent",
    "power_percent_per_c": "harvest_loss.power_percent_per_c",
    "panel_kind": "panel.kind",
    "battery_charge_v": "battery.charge_v",
    "latitude_deg": "sun.latitude_deg",
    "sun_rows": "sun.rows",
    "heat": "table.module_heat",
}

BINDINGS: tuple[Binding, ...] = (
    bind(
        losses,
        "harvest.monthly_factors",
        array_vmp_v="array.vmp_v",
        controller="controller.kind",
        **_LOSSES,
    ),
    bind(
        limits,
        "harvest.limit_rows",
        possible="array.possible",
        watts="array.watts",
        factors="harvest.monthly_factors",
        sun_rows="sun.rows",
        controller="controller.kind",
        controller_a="controller.max_charge_a",
        battery_a="battery.max_charge_a",
        battery_charge_v="battery.charge_v",
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
        limit_rows="harvest.limit_rows",
        sun_rows="sun.rows",
        months="use.months",
        use_wh_day="use.daily_wh",
        shade_percent="shade.share_percent?",
    ),
    bind(
        kinds_compared,
        {
            "controller.mppt_wh": "mppt",
            "controller.pwm_wh": "pwm",
            "controller.gain_mppt_wh": "gain",
            "controller.gain_mppt_percent": "percent",
        },
        watts="array.watts",
        vmp_v="array.vmp_v",
        pwm_watts="array.pwm_watts?",
        pwm_vmp_v="array.pwm_vmp_v?",
        months="use.months",
        **_LOSSES,
    ),
)
