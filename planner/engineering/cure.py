"""When a joint that cures by moisture may be moved, hosed and driven."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.air import vapour_pressure_hpa
from planner.engineering.guards import above_to, not_negative, positive, within
from planner.errors import OutOfRangeError

DATASHEET_AIR_C = 23.0
DATASHEET_HUMIDITY_PCT = 50.0
LEAST_CREDIT_C = 5.0
"""Hours colder than this count for nothing. Common practice."""
DEFAULT_STEPS: tuple[tuple[float, float], ...] = ((15.0, 1.0), (10.0, 1.5), (5.0, 2.0))
"""Coldest temperature [°C] from which a factor holds. Common practice."""


def vapour_factor(*, coldest_c: float, humidity_pct: float) -> float:
    """Return how much slower moisture reaches the joint than in the datasheet's air.

    Args:
        coldest_c: Coldest temperature of the cure window [°C], -45 to 60.
        humidity_pct: Relative humidity [%], above 0 to 100.

    Returns:
        p_ref / p [1], below 1 in warm, damp air.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        p_ref is the vapour pressure at 23 °C and 50 %.
    """
    reference = vapour_pressure_hpa(air_c=DATASHEET_AIR_C, humidity_pct=DATASHEET_HUMIDITY_PCT)
    return reference / vapour_pressure_hpa(air_c=coldest_c, humidity_pct=humidity_pct)


def cure_factor(
    *,
    coldest_c: float,
    humidity_pct: float,
    steps: Sequence[tuple[float, float]] = DEFAULT_STEPS,
) -> float:
    """Return what every cure time is multiplied by, once.

    Args:
        coldest_c: Coldest temperature of the hours that count [°C], 5 to 60.
        humidity_pct: Relative humidity [%], above 0 to 100.
        steps: Lowest temperature [°C] and factor, warmest first.

    Returns:
        Factor [1], at least 1: never shorter than the datasheet.

    Raises:
        OutOfRangeError: If an argument is out of range. Hours below 5 °C earn no credit: leave
            them out and wait longer by the clock.

    Notes:
        max(1, p_ref/p, table).

    References:
        .. [1] Common practice, no source.
    """
    within("coldest_c", coldest_c, LEAST_CREDIT_C, 60)
    table = next((factor for low, factor in steps if coldest_c >= low), None)
    if table is None:
        raise OutOfRangeError("coldest_c", coldest_c, f"{min(low for low, _ in steps):g} or more")
    return max(1.0, vapour_factor(coldest_c=coldest_c, humidity_pct=humidity_pct), table)


def clock_hours(*, cure_h: float, counted_h_per_day: float) -> float:
    """Return how long a cure takes by the clock when cold nights earn no credit.

    Args:
        cure_h: Hours of cure needed [h], 0 or more.
        counted_h_per_day: Hours of a day at 5 °C or warmer [h], above 0 to 24.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    not_negative("cure_h", cure_h)
    above_to("counted_h_per_day", counted_h_per_day, 0, 24)
    return cure_h * 24 / counted_h_per_day


def resin_h(*, at_20c_h: float, coldest_c: float) -> float:
    """Return the time that resin, filler or a primer needs at the coldest temperature.

    Args:
        at_20c_h: Time at 20 °C from the product's sheet [h], above 0 to 240.
        coldest_c: Coldest temperature while it hardens [°C], 10 to 60; plain epoxy does not
            harden safely below.

    Returns:
        Time [h], doubled for each 10 K below 20 °C and never shorter than the sheet's.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        t = t20 · 2^((20 - T)/10) below 20 °C.

    References:
        .. [1] A composites trade guide, "Gelation and curing" (read 2026): 10 K more double the
           rate of laminating resins, 25 min at 20 °C become about 12 at 30 °C. That a primer,
           which dries by its solvent, follows the same rule is a planning assumption.
    """
    above_to("at_20c_h", at_20c_h, 0, 240)
    within("coldest_c", coldest_c, 10, 60)
    return at_20c_h * max(1.0, math.pow(2, (20 - coldest_c) / 10))


def through_cure_h(*, depth_mm: float, depth_24h_mm: float, factor: float = 1.0) -> float:
    """Return the time until a one-part moisture-curing joint has cured to a depth.

    Args:
        depth_mm: Farthest point from air [mm], 0 to 100. For a joint closed between two faces
            that let no moisture through it is half the width, however thin the joint.
        depth_24h_mm: Depth in the first 24 h from the datasheet, 23 °C and 50 % [mm], above 0 to
            20.
        factor: From ``cure_factor`` [1], 1 or more.

    Returns:
        Time [h].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        t = 24 h (w/k)² f: cured depth grows with the square root of time.

    References:
        .. [1] Diffusion-limited growth; the form is common to datasheets (from memory).
    """
    within("depth_mm", depth_mm, 0, 100)
    above_to("depth_24h_mm", depth_24h_mm, 0, 20)
    within("factor", factor, 1, 100)
    return 24 * (depth_mm / depth_24h_mm) ** 2 * factor


class CureTimes(Struct, frozen=True):
    """Hours from laying the last bead until each thing is allowed."""

    handle_h: float
    move_roof_h: float
    hose_h: float
    drive_h: float
    full_speed_h: float


class CureTable(Struct, frozen=True):
    """Hours at 15 °C or warmer for one way of holding, before the factor."""

    handle_h: float
    move_roof_h: float
    hose_h: float
    drive_h: float
    full_speed_h: float


BEDDED = CureTable(handle_h=4, move_roof_h=2, hose_h=24, drive_h=24, full_speed_h=48)
BONDED = CureTable(handle_h=24, move_roof_h=24, hose_h=24, drive_h=72, full_speed_h=168)
"""Bolts carry and sealant only seals, or adhesive carries. Common practice."""


def cure_times(
    *, table: CureTable, factor: float, through_h: float = 0.0, datasheet_h: float = 0.0
) -> CureTimes:
    """Return when each thing is allowed; bolted feet also need their final torque before driving.

    Args:
        table: Hours at 15 °C or warmer.
        factor: From ``cure_factor`` [1], 1 or more.
        through_h: Through-cure of the ribbons that carry load, factor included [h], 0 or more; 0
            where bolts carry.
        datasheet_h: The product's own time before load [h], 0 or more.

    Returns:
        The times [h]. Nothing under load is sooner than through-cure or the datasheet.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    within("factor", factor, 1, 100)
    not_negative("through_h", through_h)
    not_negative("datasheet_h", datasheet_h)
    loaded = max(through_h, datasheet_h)
    return CureTimes(
        handle_h=table.handle_h * factor,
        move_roof_h=table.move_roof_h * factor,
        hose_h=table.hose_h * factor,
        drive_h=max(table.drive_h * factor, loaded),
        full_speed_h=max(table.full_speed_h * factor, loaded),
    )


class ClosedJoint(Struct, frozen=True):
    """A joint that cures only from its rim: distance to air, days to cure, and a warning."""

    to_air_mm: float
    days: float
    warning: str


def closed_joint(
    *, width_mm: float, depth_24h_mm: float, factor: float, most_to_air_mm: float = 7.0
) -> ClosedJoint:
    """Return how long a wide joint between two dense faces stays wet in the middle.

    Args:
        width_mm: Narrowest width of the joint [mm], above 0 to 200.
        depth_24h_mm: As for ``through_cure_h``; so is ``factor``.
        factor: From ``cure_factor`` [1], 1 or more.
        most_to_air_mm: Farthest point from air that ribbons should keep [mm], more than 0.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    above_to("width_mm", width_mm, 0, 200)
    positive("most_to_air_mm", most_to_air_mm)
    to_air = width_mm / 2
    days = through_cure_h(depth_mm=to_air, depth_24h_mm=depth_24h_mm, factor=factor) / 24
    if to_air <= most_to_air_mm:
        return ClosedJoint(to_air, days, "")
    return ClosedJoint(
        to_air,
        days,
        f"A joint {width_mm:.0f} mm wide between two dense faces is {to_air:.0f} mm from air in "
        f"the middle and stays wet for about {days:.0f} days. Lay ribbons with air between them, "
        f"none farther than {most_to_air_mm:.0f} mm from air.",
    )
