"""Inches, pounds and the like beside the metric figures, for those whose job asks for both."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
KM_PER_MILE = 1.609344
NM_PER_LBF_IN = 0.112984829
_NUMBER = r"[−-]?\d+(?:\.\d+)?"
_FIGURE = re.compile(
    rf"(?<![\w.,/×])(?<!× )({_NUMBER})(?:( to )({_NUMBER}))?"
    r"[ \u00a0](mm|km/h|kg|N·m|°C|m)(?![\w²³/·°])"
)


def beside(text: str) -> str:
    """Return text in which every metric figure has the imperial one beside it.

    Areas, sections, wind in metres a second and figures in a product are left alone.

    Examples:
        >>> beside("Lower by 65 mm to 1995 mm"), beside("12.5 kg"), beside("10 to 25 °C")
        ('Lower by 65 mm (2 9/16 in) to 1995 mm (6 ft 6 9/16 in)', '12.5 kg (27.6 lb)', \
'10 to 25 °C (50 to 77 °F)')
        >>> beside("4 mm², wind 6 m/s, 1480 × 670 mm")
        '4 mm², wind 6 m/s, 1480 × 670 mm'
    """
    return _FIGURE.sub(_both, text)


def _both(found: re.Match[str]) -> str:
    low, between, high, unit = found.groups()
    figures = [alone(_value(text), unit) for text in (low, high) if text]
    if not all(figures):
        return found.group()
    name = figures[-1].rsplit(" ", 1)[1]
    if all(figure.endswith(f" {name}") for figure in figures) and "ft" not in "".join(figures):
        figures = [figure.rsplit(" ", 1)[0] for figure in figures]
        return f"{found.group()} ({(between or '').join(figures)} {name})"
    return f"{found.group()} ({(between or '').join(figures)})"


def _value(text: str) -> float:
    return float(text.replace("\N{MINUS SIGN}", "-"))


def alone(value: float, unit: str) -> str:
    """Return the imperial figure for a metric one; empty where it has none worth printing."""
    convert = _UNITS.get(unit)
    return convert(value) if convert else ""


def inches(mm: float) -> str:
    """Return a length in inches to the nearest sixteenth, from a metre on in feet and inches.

    Examples:
        >>> inches(6.6), inches(25.4), inches(1995), inches(0.5)
        ('1/4 in', '1 in', '6 ft 6 9/16 in', '')
    """
    sixteenths = math.floor(abs(mm) / MM_PER_INCH * 16 + 0.5)
    if sixteenths == 0:
        return ""
    feet, rest = divmod(sixteenths, 192) if abs(mm) >= 1000 else (0, sixteenths)
    whole, part = divmod(rest, 16)
    shrink = math.gcd(part, 16)
    pieces = [str(whole)] if whole or not part else []
    pieces += [f"{part // shrink}/{16 // shrink}"] if part else []
    sign = "\N{MINUS SIGN}" if mm < 0 else ""
    return f"{sign}{f'{feet} ft ' if feet else ''}{' '.join(pieces)} in"


def _feet(m: float) -> str:
    return f"{m * 1000 / MM_PER_INCH / 12:.1f} ft"


def _pounds(kg: float) -> str:
    return f"{kg / KG_PER_POUND:.1f} lb"


def _miles(kmh: float) -> str:
    return f"{kmh / KM_PER_MILE:.0f} mph"


def _torque(nm: float) -> str:
    pounds = nm / NM_PER_LBF_IN
    return f"{pounds:.0f} lbf·in" if pounds < 180 else f"{pounds / 12:.0f} lbf·ft"


def _fahrenheit(celsius: float) -> str:
    return f"{celsius * 9 / 5 + 32:.0f} °F".replace("-", "\N{MINUS SIGN}")


_UNITS: dict[str, Callable[[float], str]] = {
    "mm": inches,
    "m": _feet,
    "kg": _pounds,
    "km/h": _miles,
    "N·m": _torque,
    "°C": _fahrenheit,
}
