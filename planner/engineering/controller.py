"""The charge controller: its limits, what it puts into the battery, and its settings."""

from __future__ import annotations

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within
from planner.errors import OutOfRangeError


class ChargeCurrent(Struct, frozen=True):
    """What the controller can put into the battery.

    Attributes:
        array_a: Current that the array's watts would give at charging volts.
        output_a: The same, held to the controller's rating.
        clipped_w: Watts that the rating cuts off in full sun.
    """

    array_a: float
    output_a: float
    clipped_w: float


class LimitCheck(Struct, frozen=True):
    """One limit of controller or battery against this array, and the share of it in use."""

    name: str
    value: float
    limit: float
    unit: str
    share_percent: float
    within_limit: bool


class ChargeSettings(Struct, frozen=True):
    """Charging volts of one chemistry.

    Attributes:
        temp_low_mv_per_c: Lowest number, so the stronger correction, for each °C above 25 °C; 0 for
            lithium.
        temp_high_mv_per_c: Highest number, so the weaker correction; both are negative or 0.
        equalise: Whether an equalising charge may ever be set.
        float_allowed_off: Whether float may be turned off.
    """

    chemistry: str
    absorb_low_v: float
    absorb_high_v: float
    float_low_v: float
    float_high_v: float
    temp_low_mv_per_c: float
    temp_high_mv_per_c: float
    equalise: bool
    float_allowed_off: bool = False


class ColdCharge(Struct, frozen=True):
    """Whether this battery can meet a cold morning on which it must not be charged."""

    lowest_battery_c: float
    min_charge_c: float
    inhibit_needed: bool
    allowed_a: float


def mppt_charge_current(*, array_w: float, charge_v: float, rated_a: float) -> ChargeCurrent:
    """Return the battery current from an MPPT controller in full sun.

    Args:
        array_w: Rated watts of the array [W], more than 0.
        charge_v: Battery volts while charging [V]; the lowest gives the highest current.
        rated_a: The controller's rated charge current [A], more than 0.

    Returns:
        Current asked, current given, and watts cut off.

    Raises:
        OutOfRangeError: If an argument is not more than 0.

    Notes:
        I = P / U, at most the rating. Losses are left out: they would make the current smaller.

    References:
        Common practice, no source: controller current at least array watts / battery volts.
    """
    positive("array_w", array_w)
    positive("charge_v", charge_v)
    positive("rated_a", rated_a)
    array_a = array_w / charge_v
    output_a = min(array_a, rated_a)
    return ChargeCurrent(array_a, output_a, (array_a - output_a) * charge_v)


def pwm_charge_current(*, isc_a: float, charge_v: float, rated_a: float) -> ChargeCurrent:
    """Return the battery current through a PWM controller in full sun.

    Args:
        isc_a: Short-circuit current of the array [A], more than 0.
        charge_v: Battery volts while charging [V], more than 0.
        rated_a: The controller's rated current [A], more than 0.

    Returns:
        The panels' own current, since the controller only switches it. One over the rating is not
        cut but overloads it; `limit_checks` says so.

    Raises:
        OutOfRangeError: If an argument is not more than 0.

    References:
        NEC 690.8: 1.25 x Isc is the current to design for (from memory).
    """
    positive("isc_a", isc_a)
    positive("charge_v", charge_v)
    positive("rated_a", rated_a)
    return ChargeCurrent(isc_a, min(isc_a, rated_a), max(0.0, isc_a - rated_a) * charge_v)


def limit_check(*, name: str, value: float, limit: float, unit: str) -> LimitCheck:
    """Return one limit with the share of it that is used; exactly at the limit is within it.

    Args:
        name: What is checked, in words.
        value: What this job has, 0 or more.
        limit: What is allowed, more than 0.
        unit: Unit of both, for print.

    Raises:
        OutOfRangeError: If a number is out of range.

    References:
        None: a comparison.
    """
    not_negative("value", value)
    positive("limit", limit)
    return LimitCheck(name, value, limit, unit, 100 * value / limit, value <= limit)


def cold_charge(*, lowest_battery_c: float, min_charge_c: float, max_charge_a: float) -> ColdCharge:
    """Return whether charging must be inhibited on the coldest morning.

    Args:
        lowest_battery_c: Lowest temperature of the battery in daylight [°C], -60 to 40.
        min_charge_c: Lowest temperature at which its maker allows charging [°C], -40 to 25.
        max_charge_a: Largest charge current its maker allows when warm [A], more than 0.

    Returns:
        The comparison, with the current allowed at that temperature: none below the minimum.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        Lithium iron phosphate is not charged below 0 °C: common practice, no source.
    """
    within("lowest_battery_c", lowest_battery_c, -60, 40)
    within("min_charge_c", min_charge_c, -40, 25)
    positive("max_charge_a", max_charge_a)
    inhibit = lowest_battery_c < min_charge_c
    return ColdCharge(lowest_battery_c, min_charge_c, inhibit, 0.0 if inhibit else max_charge_a)


def highest_charge_v(*, settings: ChargeSettings, coldest_charge_c: float) -> float:
    """Return the highest volts that the battery terminals see, for the rating of the fuse.

    Args:
        settings: Settings of this battery.
        coldest_charge_c: Lowest battery temperature at which it is charged [°C], -40 to 25.

    Returns:
        Volts: highest absorption, raised by the stronger correction for cold.

    Raises:
        OutOfRangeError: If the temperature is out of range.

    References:
        Common practice, no source: so many millivolts for each degree from 25 °C.
    """
    within("coldest_charge_c", coldest_charge_c, -40, 25)
    correction_v = settings.temp_low_mv_per_c / 1000 * (coldest_charge_c - 25)
    return settings.absorb_high_v + correction_v


def settings_for(*, row: ChargeSettings, nominal_v: float) -> ChargeSettings:
    """Return the settings of a 12 V row for a battery of 12 or 24 V.

    Args:
        row: Settings of the chemistry for 12 V.
        nominal_v: Nominal volts of the battery.

    Returns:
        The row with volts and corrections multiplied.

    Raises:
        OutOfRangeError: If the nominal volts are neither.

    References:
        Batteries of higher volts are the same cells in series: volts add.
    """
    if nominal_v not in (12, 24):
        read = "a battery that reads about 12 to 15 V is a 12 V one, 24 to 30 V a 24 V one"
        raise OutOfRangeError("nominal_v", nominal_v, f"12 or 24; {read}")
    times = nominal_v / 12
    return ChargeSettings(
        chemistry=row.chemistry,
        absorb_low_v=times * row.absorb_low_v,
        absorb_high_v=times * row.absorb_high_v,
        float_low_v=times * row.float_low_v,
        float_high_v=times * row.float_high_v,
        temp_low_mv_per_c=times * row.temp_low_mv_per_c,
        temp_high_mv_per_c=times * row.temp_high_mv_per_c,
        equalise=row.equalise,
        float_allowed_off=row.float_allowed_off,
    )
