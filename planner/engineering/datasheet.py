"""Labels that cannot be right: each fault names the field and what was probably meant."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.engineering.guards import positive
from planner.engineering.strings import Module
from planner.errors import OutOfRangeError

# Outside these a crystalline panel's label is more likely mistyped than real: fewer than one in a
# hundred modules of the database used in the tests lies outside any of them.
VOLTS_SHARE = (0.70, 0.90)
CURRENT_SHARE = (0.80, 0.99)
VOC_PCT = (-0.60, -0.15)
ISC_PCT = (-0.06, 0.15)
WATTS_PER_M2 = (60.0, 260.0)
PWM_VOLTS = (1.35, 1.75)
WATTS_PERCENT = 10.0

Fault = tuple[str, str]


def datasheet_faults(
    *,
    module: Module,
    isc_pct_per_c: float | None = None,
    area_m2: float | None = None,
    count: int = 1,
    controller_kind: str | None = None,
    battery_nominal_v: float | None = None,
) -> tuple[Fault, ...]:
    """Return every fault of a panel's figures, with what the fitter probably meant.

    Args:
        module: The panel's label; its numbers must be finite and above 0.
        isc_pct_per_c: Temperature coefficient of the current [% per °C]; None if unknown.
        area_m2: Length x width of the panel [m²]; None if unknown.
        count: Number of panels, 1 or more.
        controller_kind: ``mppt``, ``pwm`` or None.
        battery_nominal_v: Nominal volts of the battery [V]; needed for the PWM check.

    Returns:
        Pairs of field and message; empty when the figures can stand together.

    Raises:
        OutOfRangeError: If a figure is not a number above 0, or a coefficient is not a number.

    References:
        Power is volts times amps; the windows are checked in the tests against the crystalline
        modules of the CEC database shipped with general-purpose library pvlib.
    """
    for name in ("rated_w", "voc_v", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a"):
        positive(name, getattr(module, name))
    positive("count", count)
    return (
        *_volts(module),
        *_amps(module),
        *_watts(module, area_m2),
        *_voc_coefficient(module),
        *_isc_coefficient(module, isc_pct_per_c),
        *_series_fuse(module),
        *_pwm(module, count, controller_kind, battery_nominal_v),
    )


def _volts(module: Module) -> Iterator[Fault]:
    share = module.vmp_v / module.voc_v
    if share >= 1:
        yield (
            "panel.vmp_v",
            f"Vmp {module.vmp_v:g} V is not below Voc {module.voc_v:g} V: the two were probably "
            "swapped.",
        )
    elif not VOLTS_SHARE[0] <= share <= VOLTS_SHARE[1]:
        yield (
            "panel.vmp_v",
            f"Vmp {module.vmp_v:g} V is {share:.0%} of Voc {module.voc_v:g} V; a sound panel has "
            "76 to 86 %. Read both again: one may be from another line of the label.",
        )


def _amps(module: Module) -> Iterator[Fault]:
    share = module.imp_a / module.isc_a
    if share >= 1:
        yield (
            "panel.imp_a",
            f"Imp {module.imp_a:g} A is not below Isc {module.isc_a:g} A: the two were probably "
            "swapped.",
        )
    elif not CURRENT_SHARE[0] <= share <= CURRENT_SHARE[1]:
        yield (
            "panel.imp_a",
            f"Imp {module.imp_a:g} A is {share:.0%} of Isc {module.isc_a:g} A; a sound panel has "
            "87 to 98 %. Read both again.",
        )


def _watts(module: Module, area_m2: float | None) -> Iterator[Fault]:
    product = module.vmp_v * module.imp_a
    off = 100 * abs(product / module.rated_w - 1)
    if off > WATTS_PERCENT:
        yield (
            "panel.rated_w",
            f"Vmp x Imp is {product:.0f} W but {module.rated_w:g} W was given. Give the watts of "
            "one panel, not of all, and its Vmp and Imp, not Voc and Isc.",
        )
    if area_m2 is None:
        return
    positive("area_m2", area_m2)
    density = module.rated_w / area_m2
    if not WATTS_PER_M2[0] <= density <= WATTS_PER_M2[1]:
        yield (
            "panel.length_mm",
            f"{module.rated_w:g} W from {area_m2:.2f} m² is {density:.0f} W/m²; panels give 90 to "
            "240. Check watts, length and width, in millimetres.",
        )


def _voc_coefficient(module: Module) -> Iterator[Fault]:
    if module.voc_pct_per_c is not None:
        words = voc_coefficient_words(module.voc_pct_per_c, module.voc_v)
        if words:
            yield "panel.voc_pct_per_c", words


def voc_coefficient_words(value: float, voc_v: float | None) -> str:
    """Say what was probably meant by an unlikely coefficient of the volts; empty if it is likely.

    Args:
        value: As given for % per °C.
        voc_v: Open-circuit volts of the label [V]; None if unknown.

    Raises:
        OutOfRangeError: If the value is not a number.
    """
    if not math.isfinite(value):
        raise OutOfRangeError("voc_pct_per_c", value, "a number")
    if value >= 0:
        return (
            f"{value:g} % per °C would mean more volts in the heat; the minus sign was probably "
            "left out."
        )
    if value > VOC_PCT[1]:
        written = f", write {100 * value / voc_v:.2f}" if voc_v else ", divide by Voc, times 100"
        return f"{value:g} is too small for % per °C. If the sheet gives V per °C{written}."
    if value < VOC_PCT[0]:
        written = f", write {value / 10 / voc_v:.2f}" if voc_v else ", divide by ten times Voc"
        return (
            f"{value:g} is too large for % per °C. If the sheet gives mV per °C{written}; "
            "a watts coefficient belongs elsewhere."
        )
    return ""


def _isc_coefficient(module: Module, value: float | None) -> Iterator[Fault]:
    if value is not None:
        words = isc_coefficient_words(value, module.isc_a)
        if words:
            yield "panel.isc_pct_per_c", words


def isc_coefficient_words(value: float, isc_a: float | None) -> str:
    """Say what was probably meant by an unlikely coefficient of the current; else empty.

    Args:
        value: As given for % per °C.
        isc_a: Short-circuit current of the label [A]; None if unknown.

    Raises:
        OutOfRangeError: If the value is not a number.
    """
    if not math.isfinite(value):
        raise OutOfRangeError("isc_pct_per_c", value, "a number")
    if ISC_PCT[0] <= value <= ISC_PCT[1]:
        return ""
    written = f", write {value / 10 / isc_a:.3f}" if isc_a else ", divide by ten times Isc"
    return (
        f"{value:g} is unlikely for % per °C; usual are 0.03 to 0.07. If the sheet gives mA "
        f"per °C{written}."
    )


def _series_fuse(module: Module) -> Iterator[Fault]:
    if module.max_series_fuse_a < 1.25 * module.isc_a:
        yield (
            "panel.max_series_fuse_a",
            f"A largest fuse of {module.max_series_fuse_a:g} A is under 1.25 x Isc = "
            f"{1.25 * module.isc_a:.1f} A, so no fuse could carry full sun. Read it again.",
        )


def _pwm(
    module: Module, count: int, kind: str | None, battery_nominal_v: float | None
) -> Iterator[Fault]:
    if kind != "pwm" or battery_nominal_v is None:
        return
    positive("battery_nominal_v", battery_nominal_v)
    low, high = (share * battery_nominal_v for share in PWM_VOLTS)
    reached = [module.vmp_v * in_series for in_series in range(1, count + 1)]
    if any(low <= volts <= high for volts in reached):
        return
    trouble = "cannot fill" if reached[-1] < low else "would be mostly wasted on"
    yield (
        "controller.kind",
        f"Vmp {module.vmp_v:g} V {trouble} a {battery_nominal_v:g} V battery through PWM, which "
        f"needs {low:.1f} to {high:.1f} V. Choose MPPT, or panels made for that battery.",
    )
