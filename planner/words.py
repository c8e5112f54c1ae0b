"""Numbers with their nouns, as messages and documents say them."""

from __future__ import annotations

import re


def counted(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun; ``many`` where it is not ``one`` with an s.

    Examples:
        >>> counted(1, "answer"), counted(2, "answer"), counted(0, "entry", "entries")
        ('1 answer', '2 answers', '0 entries')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def of(quantity: float, unit: str) -> str:
    """Return the unit of a quantity: its first word without the s where there is one of it.

    Examples:
        >>> of(1, "cartridges"), of(2, "sets of four"), of(1, "sets of four"), of(1, "kg")
        ('cartridge', 'sets of four', 'set of four', 'kg')
        >>> of(1, "sets: a bolt for each mount")
        'set: a bolt for each mount'
    """
    first = re.match(r"\w{3,}s\b", unit)
    return first[0][:-1] + unit[first.end() :] if first and quantity == 1 else unit
