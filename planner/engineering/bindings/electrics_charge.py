"""Facts about the charge controller and its settings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.bindings.electrics_fuse import LITHIUM
from planner.engineering.controller import (
    ChargeCurrent,
    ChargeSettings,
    LimitCheck,
    cold_charge,
    highest_charge_v,
    limit_check,
    mppt_charge_current,
    pwm_charge_current,
    settings_for,
)
from planner.engineering.fuses import SHORT_CIRCUIT_FACTOR
from planner.ledger import Binding, bind
from planner.rounding import down, up

Rows = Sequence[Mapping[str, Any]]


def _settings(chemistry: str, nominal_v: float, rows: Rows) -> ChargeSettings:
    row = next(row for row in rows if row["chemistry"] == chemistry)
    return settings_for(row=ChargeSettings(**row), nominal_v=nominal_v)


def charge(
    *,
    chemistry: str,
    nominal_v: float,
    rows: Rows,
    min_charge_c: float,
    max_charge_a: float,
    coldest_c: float,
    heated: bool | None,
) -> dict[str, Any]:
    """Return the settings to make, the middle of the usual range, and what cold asks of them."""
    found = _settings(chemistry, nominal_v, rows)
    exposed = chemistry == LITHIUM and not heated
    lowest_c = coldest_c if exposed else max(coldest_c, min_charge_c)
    cold = cold_charge(
        lowest_battery_c=lowest_c, min_charge_c=min_charge_c, max_charge_a=max_charge_a
    )
    off = " or off" if found.float_allowed_off else ""
    return {
        "absorb_v": (found.absorb_low_v + found.absorb_high_v) / 2,
        "absorb_low_v": found.absorb_low_v,
        "absorb_high_v": found.absorb_high_v,
        # No lower limit where float may be off.
        "float_low_v": None if found.float_allowed_off else found.float_low_v,
        "float_high_v": found.float_high_v,
        "absorb_range": _span(found.absorb_low_v, found.absorb_high_v),
        "float_v": (found.float_low_v + found.float_high_v) / 2,
        "float_range": _span(found.float_low_v, found.float_high_v) + off,
        "compensation": (found.temp_low_mv_per_c + found.temp_high_mv_per_c) / 2,
        "compensation_range": _correction(found),
        "equalise": "only as the battery maker says" if found.equalise else "never",
        "inhibit": cold.inhibit_needed,
        "cold_a": cold.allowed_a,
        "highest_v": highest_charge_v(
            settings=found, coldest_charge_c=max(min_charge_c, coldest_c)
        ),
    }


def _span(low: float, high: float) -> str:
    return f"{low:.1f} to {high:.1f} V"


def _correction(found: ChargeSettings) -> str:
    if not found.temp_low_mv_per_c:
        return "0 (off)"
    return f"−{-found.temp_high_mv_per_c:g} to −{-found.temp_low_mv_per_c:g} mV/°C"


def fill_v(
    *,
    chemistry: str,
    nominal_v: float,
    rows: Rows,
    kind: str,
    mppt_headroom_v: float,
    pwm_headroom_v: float,
) -> float:
    """Return the panel volts that fill the battery: absorption and what the controller needs."""
    headroom_v = mppt_headroom_v if kind == "mppt" else pwm_headroom_v
    return _settings(chemistry, nominal_v, rows).absorb_low_v + headroom_v


def output(
    *,
    kind: str,
    array_w: float,
    isc_a: float,
    rated_a: float,
    charge_low_v: float,
    nominal_v: float,
) -> ChargeCurrent:
    """Return the current into the battery in full sun, while the battery is low."""
    charge_v = charge_low_v * nominal_v / 12
    if kind == "pwm":
        return pwm_charge_current(isc_a=isc_a, charge_v=charge_v, rated_a=rated_a)
    return mppt_charge_current(array_w=array_w, charge_v=charge_v, rated_a=rated_a)


def checks(**given: Any) -> dict[str, Any]:
    """Return the limits of controller and battery against the array chosen."""
    designed_a = SHORT_CIRCUIT_FACTOR * given["isc_a"]
    bulk_v = given["bulk_v"] * given["nominal_v"] / 12
    found = {
        "volts": limit_check(
            name="array volts in frost", value=given["cold_v"], limit=given["limit_v"], unit="V"
        ),
        "watts": limit_check(
            name="array watts", value=given["array_w"], limit=given["max_pv_w"], unit="W"
        ),
        "charge": limit_check(
            name="charge current", value=given["output_a"], limit=given["battery_max_a"], unit="A"
        ),
    }
    if given["max_pv_a"] is not None:
        found["input"] = limit_check(
            name="1.25 x short-circuit current", value=designed_a, limit=given["max_pv_a"], unit="A"
        )
    if given["kind"] == "pwm":
        found["pwm"] = limit_check(
            name="1.25 x short-circuit current through PWM",
            value=designed_a,
            limit=given["rated_a"],
            unit="A",
        )
    amps = [found[name].within_limit for name in ("input", "pwm") if name in found]
    return {
        "volts_ok": found["volts"].within_limit and given["hot_vmp_v"] >= bulk_v,
        "watts_ok": found["watts"].within_limit,
        "charge_ok": found["charge"].within_limit,
        "amps_ok": all(amps),
        "checks": [_check_row(check) for check in found.values()],
    }


def _check_row(check: LimitCheck) -> dict[str, Any]:
    return {
        "check": check.name,
        "here": f"{up(check.value, 1):.1f} {check.unit}",
        "allowed": f"{down(check.limit, 1):.1f} {check.unit}",
        "used_percent": up(check.share_percent),
        "verdict": "within" if check.within_limit else "over",
    }


_BATTERY = {
    "chemistry": "battery.chemistry",
    "nominal_v": "battery.nominal_v",
    "rows": "table.charge_settings",
}

BINDINGS: tuple[Binding, ...] = (
    bind(
        charge,
        {
            "charge.absorb_v": "absorb_v",
            "charge.absorb_range": "absorb_range",
            "charge.float_v": "float_v",
            "charge.absorb_low_v": "absorb_low_v",
            "charge.absorb_high_v": "absorb_high_v",
            "charge.float_low_v": "float_low_v",
            "charge.float_high_v": "float_high_v",
            "charge.float_range": "float_range",
            "charge.compensation_mv_per_c": "compensation",
            "charge.compensation_range": "compensation_range",
            "charge.equalise": "equalise",
            "charge.inhibit_needed": "inhibit",
            "charge.cold_a": "cold_a",
            "fuse.volts_v": "highest_v",
        },
        min_charge_c="battery.min_charge_c",
        max_charge_a="battery.max_charge_a",
        coldest_c="wiring.coldest_c",
        heated="battery.heated?",
        **_BATTERY,
    ),
    bind(
        fill_v,
        "controller.fill_v",
        kind="controller.kind",
        mppt_headroom_v="limit.mppt_headroom_v",
        pwm_headroom_v="limit.pwm_headroom_v",
        **_BATTERY,
    ),
    bind(
        output,
        {"controller.output_a": "output_a", "controller.clipped_w": "clipped_w"},
        kind="controller.kind",
        array_w="array.watts",
        isc_a="array.isc_a",
        rated_a="controller.max_charge_a",
        charge_low_v="limit.charge_low_v",
        nominal_v="battery.nominal_v",
    ),
    bind(
        checks,
        {
            f"controller.{field}": field
            for field in ("volts_ok", "watts_ok", "charge_ok", "amps_ok", "checks")
        },
        kind="controller.kind",
        cold_v="array.cold_v",
        limit_v="array.cold_limit_v",
        hot_vmp_v="array.hot_vmp_v",
        bulk_v="limit.bulk_v",
        nominal_v="battery.nominal_v",
        array_w="array.watts",
        max_pv_w="controller.max_pv_w",
        isc_a="array.isc_a",
        max_pv_a="controller.max_pv_a?",
        rated_a="controller.max_charge_a",
        output_a="controller.output_a",
        battery_max_a="battery.max_charge_a",
    ),
)
