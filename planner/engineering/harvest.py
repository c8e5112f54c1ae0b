"""What a flat panel brings to the battery: watts times sun times a product of named factors."""

from __future__ import annotations

import math
from collections.abc import Mapping

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within
from planner.errors import OutOfRangeError


class Losses(Struct, frozen=True):
    """What is lost between the sun and the battery, in per cent, all months alike.

    Attributes:
        soiling_percent: Dirt, and light that glances off a panel lying flat.
        wiring_percent: Cables, connectors and unlike panels.
        controller_percent: The controller itself; used with MPPT.
        charging_percent: What the battery does not give back, by chemistry.
        shade_percent: Shade from obstacles on the roof.
    """

    soiling_percent: float
    wiring_percent: float
    controller_percent: float
    charging_percent: float
    shade_percent: float


class Module(Struct, frozen=True):
    """What of the module and its mounting bears on the harvest.

    Attributes:
        ross_k_m2_w: Rise of the module above the air per irradiance [K m²/W].
        power_percent_per_c: Temperature coefficient of power [%/K].
        vmp_v: Voltage at maximum power as the controller sees it [V].
    """

    ross_k_m2_w: float
    power_percent_per_c: float
    vmp_v: float


def sunny_irradiance_w_m2(*, sun_kwh_m2: float) -> float:
    """Return the irradiance at which a month's energy arrives, on the average of the energy.

    Args:
        sun_kwh_m2: Mean daily sum on a flat surface [kWh/m²], 0 to 10.

    Returns:
        Irradiance [W/m²]: the sum of G² over the sum of G.

    Raises:
        OutOfRangeError: If the sunlight is out of range.

    Notes:
        187 · H^0.7, fitted to hourly typical years of Amsterdam, Sand Point, Greensboro, Miami,
        Piedmont, Burlington and Colorado; 6 % scatter, which is 1 % of the harvest.

    References:
        Typical-year files that come with general-purpose library pvlib 0.16.1.
    """
    within("sun_kwh_m2", sun_kwh_m2, 0, 10)
    return float(187 * sun_kwh_m2**0.7)


def sunny_air_c(*, sun_kwh_m2: float, latitude_deg: float) -> float:
    """Return the air temperature at which a month's solar energy arrives, roughly.

    Args:
        sun_kwh_m2: Mean daily sum on a flat surface [kWh/m²], 0 to 10.
        latitude_deg: North positive [°], -90 to 90.

    Returns:
        Temperature [°C].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        12 + 3.55 H − 0.27 |L|, fitted to the same stations; 6 K scatter, which is 2.4 % of the
        harvest. Good enough for a factor near 0.9, for nothing else.

    References:
        Typical-year files that come with general-purpose library pvlib 0.16.1.
    """
    within("sun_kwh_m2", sun_kwh_m2, 0, 10)
    within("latitude_deg", latitude_deg, -90, 90)
    return 12 + 3.55 * sun_kwh_m2 - 0.27 * abs(latitude_deg)


def module_temperature_share(
    *, sun_kwh_m2: float, latitude_deg: float, ross_k_m2_w: float, power_percent_per_c: float
) -> float:
    """Return what heat leaves of a module's rated power over a month.

    Args:
        sun_kwh_m2: Mean daily sum on a flat surface [kWh/m²], 0 to 10.
        latitude_deg: North positive [°], -90 to 90.
        ross_k_m2_w: Rise of the module above the air per irradiance [K m²/W], 0.01 to 0.08.
        power_percent_per_c: Temperature coefficient of power [%/K], -0.8 to 0.

    Returns:
        Share of the rated power; above 1 in a cold month.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        T = T_air + k G, share = 1 + γ (T − 25).

    References:
        Ross 1976 as in pvlib ``temperature.ross``; NREL PVWatts version 5 manual (2014), equation
        8, as in pvlib ``pvsystem.pvwatts_dc``.
    """
    within("ross_k_m2_w", ross_k_m2_w, 0.01, 0.08)
    within("power_percent_per_c", power_percent_per_c, -0.8, 0)
    rise = ross_k_m2_w * sunny_irradiance_w_m2(sun_kwh_m2=sun_kwh_m2)
    module_c = sunny_air_c(sun_kwh_m2=sun_kwh_m2, latitude_deg=latitude_deg) + rise
    return 1 + power_percent_per_c / 100 * (module_c - 25)


def pwm_share(*, battery_charge_v: float, panel_vmp_v: float) -> float:
    """Return what a PWM controller passes on of a panel's rated power.

    Args:
        battery_charge_v: Battery voltage while charging [V], more than 0.
        panel_vmp_v: Voltage at maximum power of the panels as seen by the controller [V].

    Returns:
        Share, at most 1; 0 where the panel's voltage is below the battery's.

    Raises:
        OutOfRangeError: If a voltage is not above 0.

    Notes:
        The panel gives its current at the battery's voltage, so the share is U_battery / U_mp.
        Heat takes volts that are not used anyway: with PWM the temperature share is 1.

    References:
        Textbook; common practice, no source.
    """
    positive("battery_charge_v", battery_charge_v)
    positive("panel_vmp_v", panel_vmp_v)
    return 0.0 if panel_vmp_v < battery_charge_v else battery_charge_v / panel_vmp_v


def unclipped_share(*, full_sun_w: float, limit_w: float, sun_kwh_m2: float) -> float:
    """Return what is left of a month's harvest where a limit cuts off the brightest hours.

    Args:
        full_sun_w: What the panels would put into the battery at 1000 W/m² [W], 0 or more.
        limit_w: The most that controller or battery takes [W], more than 0.
        sun_kwh_m2: Mean daily sum on a flat surface [kWh/m²], 0 to 10.

    Returns:
        Share, more than 0 and at most 1.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        The day is a half sine whose irradiance, on the average of its energy, is that of
        ``sunny_irradiance_w_m2``; its peak is 4/π of that. Of the half sine, what lies above the
        share r = limit/peak is lost: left = 1 − cos θ + r (π/2 − θ), sin θ = r.

    References:
        Geometry of a clipped half sine; checked hour by hour in the tests.
    """
    not_negative("full_sun_w", full_sun_w)
    positive("limit_w", limit_w)
    peak_w = full_sun_w * 4 / math.pi * sunny_irradiance_w_m2(sun_kwh_m2=sun_kwh_m2) / 1000
    if peak_w <= limit_w:
        return 1.0
    angle = math.asin(limit_w / peak_w)
    return 1 - math.cos(angle) + limit_w / peak_w * (math.pi / 2 - angle)


def harvest_factors(
    *,
    sun_kwh_m2: float,
    latitude_deg: float,
    module: Module,
    losses: Losses,
    controller: str,
    battery_charge_v: float,
) -> dict[str, float]:
    """Return the share that each loss leaves, by name, for one month.

    Args:
        sun_kwh_m2: Mean daily sum on a flat surface [kWh/m²], 0 to 10.
        latitude_deg: North positive [°], -90 to 90.
        module: The module and its mounting.
        losses: The losses that do not change with the month.
        controller: ``mppt`` or ``pwm``.
        battery_charge_v: Battery voltage while charging [V], more than 0.

    Returns:
        ``module_temperature``, ``soiling``, ``wiring``, ``controller``, ``charging``, ``shade``.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        A PWM controller leaves the panel at the battery's voltage: the share of its volts that is
        used counts instead of heat and instead of the controller's own loss.

    References:
        The single factors carry their own.
    """
    if controller not in ("mppt", "pwm"):
        raise OutOfRangeError("controller", controller, "mppt or pwm")
    heat, passed = 1.0, pwm_share(battery_charge_v=battery_charge_v, panel_vmp_v=module.vmp_v)
    if controller == "mppt":
        passed = _left("controller_percent", losses.controller_percent)
        heat = module_temperature_share(
            sun_kwh_m2=sun_kwh_m2,
            latitude_deg=latitude_deg,
            ross_k_m2_w=module.ross_k_m2_w,
            power_percent_per_c=module.power_percent_per_c,
        )
    return {
        "module_temperature": heat,
        "soiling": _left("soiling_percent", losses.soiling_percent),
        "wiring": _left("wiring_percent", losses.wiring_percent),
        "controller": passed,
        "charging": _left("charging_percent", losses.charging_percent),
        "shade": _left("shade_percent", losses.shade_percent),
    }


def _left(argument: str, percent: float) -> float:
    within(argument, percent, 0, 100)
    return 1 - percent / 100


def product(factors: Mapping[str, float]) -> float:
    """Return the product of all factors.

    Examples:
        >>> product({"wiring": 0.5, "shade": 0.5})
        0.25
    """
    result = 1.0
    for share in factors.values():
        result *= share
    return result


def harvest_wh_day(*, rated_w: float, sun_kwh_m2: float, factors: Mapping[str, float]) -> float:
    """Return what reaches the battery on a day.

    Args:
        rated_w: Rated power of all panels together [W], 0 or more.
        sun_kwh_m2: The day's sunlight on a flat surface [kWh/m²], 0 or more.
        factors: Share left by each loss, by name, 0 to 1.2.

    Returns:
        Energy [Wh].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Rated watts are per 1 kW/m², so 1 kWh/m² gives as many watt-hours as the panel has watts.

    References:
        NREL PVWatts version 5 manual (2014), equation 8.
    """
    not_negative("rated_w", rated_w)
    not_negative("sun_kwh_m2", sun_kwh_m2)
    for name, share in factors.items():
        within(f"factors: {name}", share, 0, 1.2)
    return rated_w * sun_kwh_m2 * product(factors)
