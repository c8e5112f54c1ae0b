"""What the van uses a day, and what its battery holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from planner.engineering.guards import above_to, positive, within
from planner.errors import OutOfRangeError


class DailyUse(Struct, frozen=True):
    """A day's use of energy at the battery [Wh].

    Attributes:
        total_wh: All of it.
        dc_wh: Loads on direct current.
        ac_wh: What mains loads take through the inverter, its loss included.
        standby_wh: What the inverter itself takes while it is on.
    """

    total_wh: float
    dc_wh: float
    ac_wh: float
    standby_wh: float


def daily_use(
    *,
    loads: Sequence[Mapping[str, Any]],
    inverter_efficiency_percent: float,
    inverter_standby_w: float,
) -> DailyUse:
    """Return what the loads take from the battery in a day.

    Args:
        loads: Each with ``name``, ``watts`` (0 to 5000), ``hours_per_day`` (0 to 24) and
            ``supply`` (``dc`` or ``ac``).
        inverter_efficiency_percent: 40 to 100.
        inverter_standby_w: Power that the inverter takes while on [W], 0 to 200.

    Returns:
        The day's use.

    Raises:
        OutOfRangeError: If a value is out of range.

    Notes:
        Watts times hours; mains loads divided by the inverter's efficiency. The inverter is taken
        to be on for the hours of all mains loads added up, at most 24: cautious, since some run
        at the same time.

    References:
        Energy balance; the inverter's hours are a planning assumption.
    """
    within("inverter_efficiency_percent", inverter_efficiency_percent, 40, 100)
    within("inverter_standby_w", inverter_standby_w, 0, 200)
    for load in loads:
        _check_load(load)
    dc, ac = ([load for load in loads if load["supply"] == s] for s in ("dc", "ac"))
    hours = min(24.0, sum(load["hours_per_day"] for load in ac))
    dc_wh, standby_wh = _watt_hours(dc), inverter_standby_w * hours
    ac_wh = _watt_hours(ac) / (inverter_efficiency_percent / 100)
    return DailyUse(dc_wh + ac_wh + standby_wh, dc_wh, ac_wh, standby_wh)


def _watt_hours(loads: Sequence[Mapping[str, Any]]) -> float:
    return float(sum(load["watts"] * load["hours_per_day"] for load in loads))


def _check_load(load: Mapping[str, Any]) -> None:
    name, hours, watts = load["name"], load["hours_per_day"], load["watts"]
    if not 0 <= hours <= 24:
        raise OutOfRangeError(f"loads: {name}: hours_per_day", hours, hours_words(hours))
    if not 0 <= watts <= 5000:
        raise OutOfRangeError(f"loads: {name}: watts", watts, f"0 to 5000 W. {watts_words(watts)}")
    if load["supply"] not in ("dc", "ac"):
        raise OutOfRangeError(f"loads: {name}: supply", load["supply"], "dc or ac")


def hours_words(hours: float) -> str:
    """Return the hours allowed, and what was probably meant by others."""
    words = "0 to 24, for a day has 24 hours"
    if 24 < hours <= 1440:
        minutes = f"{hours:g} min are {hours / 60:.2f} h"
        return f"{words}. Minutes? {minutes}. Several lamps? Add up their watts instead"
    return words


def watts_words(watts: float) -> str:
    """Return what was probably meant by watts that no load in a van has."""
    if watts < 0:
        return "What uses power counts positive; leave out what charges"
    return "Milliwatts, or watt-hours a day? Give the watts while it runs: 2 A at 12 V are 24 W"


def usable_battery_wh(*, capacity_ah: float, nominal_v: float, usable_percent: float) -> float:
    """Return the energy that may be taken from a full battery without harming it.

    Args:
        capacity_ah: Rated capacity [Ah], more than 0.
        nominal_v: Nominal voltage of the whole battery [V], more than 0 and at most 60.
        usable_percent: Share that may be used, by chemistry, more than 0 and at most 100.

    Returns:
        Energy [Wh].

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        Q · U · share; the shares by chemistry are common practice (table ``battery_chemistry``).
    """
    positive("capacity_ah", capacity_ah)
    above_to("nominal_v", nominal_v, 0, 60)
    above_to("usable_percent", usable_percent, 0, 100)
    return capacity_ah * nominal_v * usable_percent / 100
