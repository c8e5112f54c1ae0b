"""Whether a bead may be laid in this weather, and whether it is closed while it is open."""

from __future__ import annotations

import math

from msgspec import Struct

from planner.engineering.air import dew_point_c
from planner.engineering.guards import above_to, not_negative, positive, within
from planner.errors import OutOfRangeError
from planner.rounding import down, up


class Gate(Struct, frozen=True):
    """Whether a bead may be laid: ``go``, ``caution`` or ``stop``, with reasons."""

    dew_c: float
    margin_k: float
    verdict: str
    reasons: tuple[str, ...]


def _dew_reason(margin_k: float) -> tuple[str, str] | None:
    """Return verdict and reason where the surface is too near the dew point."""
    shown = down(margin_k, 1)  # 2.97 K is not the 3 K that it needs
    if margin_k < 3:
        return "stop", f"The surface is {shown:.1f} K above the dew point; it needs 3 K."
    if margin_k < 5:
        return "caution", f"The surface is only {shown:.1f} K above the dew point."
    return None


def _heat_reason(
    surface_c: float, product_c: tuple[float, float]
) -> tuple[str, str] | None:
    """Return verdict and reason where the surface is too cold or too hot."""
    low, high = product_c
    shown = down(surface_c, 1) if surface_c < max(low, 10) else up(surface_c, 1)
    if not low <= surface_c <= high:
        return "stop", f"The surface is at {shown:g} °C; lay between {low:g} and {high:g}."
    if surface_c < 10 or surface_c > 35:
        return "caution", f"The surface is at {shown:g} °C; 10 to 35 °C is better."
    return None


def laying_gate(
    *,
    air_c: float,
    surface_c: float,
    humidity_pct: float,
    product_c: tuple[float, float] = (5.0, 40.0),
    wet: bool = False,
) -> Gate:
    """Return whether the weather lets a bead be laid now.

    Args:
        air_c: Air temperature [°C], -45 to 60.
        surface_c: Temperature of the coldest face to be joined [°C], -45 to 90.
        humidity_pct: Relative humidity [%], above 0 to 100. No limit of its own: the dew margin
            governs.
        product_c: Lowest and highest temperature for laying, from the datasheet [°C].
        wet: Whether rain, mist or dew is on the surface or on its way.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] ISO 8502-4:2017: 3 K above the dew point (from memory).
    """
    within("surface_c", surface_c, -45, 90)
    dew = dew_point_c(air_c=air_c, humidity_pct=humidity_pct)
    margin = surface_c - dew
    found = [_dew_reason(margin), _heat_reason(surface_c, product_c)]
    if wet:
        found.append(("stop", "The surface is wet or rain is near."))
    faults = [fault for fault in found if fault]
    verdicts = {verdict for verdict, _ in faults}
    verdict = next((level for level in ("stop", "caution") if level in verdicts), "go")
    return Gate(dew, margin, verdict, tuple(reason for _, reason in faults))


def window_min(
    *,
    ribbon_m: float = 0.0,
    lay_speed: float = 1.5,
    rings: int = 0,
    ring_min: float = 0.5,
    set_down_min: float = 2.0,
    pace: float = 1.0,
    guns: int = 1,
) -> int:
    """Return the minutes from the first bead of what is set down at once until its faces meet.

    Args:
        ribbon_m: Ribbon under it [m], 0 or more.
        lay_speed: Ribbon that one gun lays [m/min], more than 0.
        rings: Rings under feet, 0 or more.
        ring_min: One ring, chamfer filled [min], 0 or more.
        set_down_min: Lowering it on to its marks [min], 0 or more.
        pace: Factor on a practised fitter's minutes [1], more than 0 to 5.
        guns: Guns that lay at once, 1 or more.

    Returns:
        Whole minutes, rounded up.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        t = pace · ((m / rate + n · ring) / guns + set down).

    References:
        .. [1] Planning assumptions; time a metre and a ring on scrap.
    """
    positive("lay_speed", lay_speed)
    for name, value in (("ribbon_m", ribbon_m), ("rings", rings), ("ring_min", ring_min),
                        ("set_down_min", set_down_min)):
        not_negative(name, value)
    above_to("pace", pace, 0, 5)
    if not guns >= 1:
        raise OutOfRangeError("guns", guns, "1 or more")
    laying = (ribbon_m / lay_speed + rings * ring_min) / guns
    return math.ceil(pace * (laying + set_down_min) - 1e-9)
