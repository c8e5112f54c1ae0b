"""Round figures to the safe side: what a part must stand goes up, what it can stand goes down."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import overload

#: Decimals that are kept before rounding: 11.9 made of many halves is not over 11.9.
NOISE = 6


@overload
def up(value: float) -> int: ...
@overload
def up(value: float, digits: int) -> float: ...
def up(value: float, digits: int | None = None) -> float:
    """Return the next figure with so many decimals that is no lower; as ``round``, an int.

    What is no finite number stays what it is.

    Examples:
        >>> up(51.03, 1), up(0.1 + 0.2, 1), up(36.2), up(-2.5), up(math.inf)
        (51.1, 0.3, 37, -2, inf)
    """
    return _whole(math.ceil, value, digits)


@overload
def down(value: float) -> int: ...
@overload
def down(value: float, digits: int) -> float: ...
def down(value: float, digits: int | None = None) -> float:
    """Return the next figure with so many decimals that is no higher; as ``round``, an int.

    What is no finite number stays what it is.

    Examples:
        >>> down(51.08, 1), down(0.7 - 0.4, 1), down(36.8)
        (51.0, 0.3, 36)
    """
    return _whole(math.floor, value, digits)


def _whole(to: Callable[[float], int], value: float, digits: int | None) -> float:
    if not math.isfinite(value):
        return value
    if digits is None:
        return to(round(value, NOISE))
    scale = 10.0**digits
    return to(round(value * scale, NOISE)) / scale
