"""Refuse a number outside its valid range, so that each calculation says it in one line."""

from __future__ import annotations

import math

from planner.errors import OutOfRangeError


def positive(argument: str, value: float) -> None:
    """Raise unless the value is a finite number above 0; NaN is refused too.

    Raises:
        OutOfRangeError: If the value is 0, negative, infinite or NaN.

    Examples:
        >>> positive("length_m", 5.0)
        >>> positive("length_m", 0.0)
        Traceback (most recent call last):
        planner.errors.OutOfRangeError: length_m is 0.0; it must be more than 0
    """
    if not 0 < value < math.inf:
        raise OutOfRangeError(argument, value, "more than 0")


def not_negative(argument: str, value: float) -> None:
    """Raise unless the value is finite and 0 or more; NaN is refused too.

    Raises:
        OutOfRangeError: If the value is negative, infinite or NaN.

    Examples:
        >>> not_negative("pressure_pa", 0.0)
    """
    if not 0 <= value < math.inf:
        raise OutOfRangeError(argument, value, "0 or more")


def within(argument: str, value: float, low: float, high: float) -> None:
    """Raise unless the value lies from ``low`` to ``high``, both included; NaN is refused.

    Raises:
        OutOfRangeError: If the value is outside or NaN.

    Examples:
        >>> within("air_c", float("nan"), -45, 60)
        Traceback (most recent call last):
        planner.errors.OutOfRangeError: air_c is nan; it must be -45 to 60
    """
    if not low <= value <= high:
        raise OutOfRangeError(argument, value, f"{low:g} to {high:g}")


def above_to(argument: str, value: float, low: float, high: float) -> None:
    """Raise unless the value is above ``low`` and at most ``high``; NaN is refused.

    Raises:
        OutOfRangeError: If the value is outside or NaN.

    Examples:
        >>> above_to("humidity_pct", 0.0, 0, 100)
        Traceback (most recent call last):
        planner.errors.OutOfRangeError: humidity_pct is 0.0; it must be more than 0 and at most 100
    """
    if not low < value <= high:
        raise OutOfRangeError(argument, value, f"more than {low:g} and at most {high:g}")
