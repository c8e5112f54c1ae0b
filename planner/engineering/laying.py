"""Whether a bead of sealant or adhesive may be laid in this weather, and why not."""

from __future__ import annotations

from dataclasses import dataclass

from planner.engineering.air import dew_point_c
from planner.engineering.guards import within


@dataclass(frozen=True)
class Gate:
    """Whether a bead may be laid: ``go``, ``caution`` or ``stop``, with reasons."""

    dew_c: float
    margin_k: float
    verdict: str
    reasons: tuple[str, ...]


def _dew_reason(margin_k: float) -> tuple[str, str] | None:
    """Return verdict and reason where the surface is too near the dew point."""
    if margin_k < 3:
        return "stop", f"The surface is {margin_k:.1f} K above the dew point; it needs 3 K."
    if margin_k < 5:
        return "caution", f"The surface is only {margin_k:.1f} K above the dew point."
    return None


def _heat_reason(
    surface_c: float, product_c: tuple[float, float]
) -> tuple[str, str] | None:
    """Return verdict and reason where the surface is too cold or too hot."""
    low, high = product_c
    if not low <= surface_c <= high:
        return "stop", f"The surface is at {surface_c:.0f} °C; lay between {low:g} and {high:g}."
    if surface_c < 10 or surface_c > 35:
        return "caution", f"The surface is at {surface_c:.0f} °C; 10 to 35 °C is better."
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
