"""Read what was typed for a reading, and judge it against the plan's band at once."""

from __future__ import annotations

import math
import re
from typing import Literal

from planner.pack.text import band, plain, printed
from planner.plan.model import Reading
from planner.record.model import Plain

Verdict = Literal["within", "below", "above", "noted"]

#: Unit of readings that are words or marks of a meter's own scale.
FREE_UNIT = "as the meter shows"
MAX_FREE = 80
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,2})?", re.ASCII)
#: A comma before three digits may part thousands or be the decimal sign.
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(,\d{3})+", re.ASCII)
_COMMA = re.compile(r"([+-]?\d{1,12}),(\d{1,2}|\d{4,12})", re.ASCII)


def typed(text: str, reading: Reading) -> float | str:
    """Return what was typed as a reading.

    A single comma is taken as the decimal sign, as many telephones have no other, unless
    three digits follow: then it may part thousands, and is refused.

    Raises:
        ValueError: If it is no number where one belongs; the text says what to write.
    """
    text = plain(text)
    if is_free(reading):
        if not text or len(text) > MAX_FREE:
            raise ValueError(f"write what the meter shows, in at most {MAX_FREE} characters")
        return text
    bare = text.removesuffix(reading.unit).strip() if reading.unit else text
    bare = bare.replace("\N{MINUS SIGN}", "-")
    comma = _COMMA.fullmatch(bare)
    if comma:
        bare = f"{comma[1]}.{comma[2]}"
    if _THOUSANDS.fullmatch(bare):
        raise ValueError(f'"{text[:12]}" reads two ways. Write it without a comma')
    if not _NUMBER.fullmatch(bare) or not math.isfinite(float(bare)) or abs(float(bare)) > 1e9:
        unit = f" in {reading.unit}" if reading.unit else ""
        raise ValueError(f'"{text[:12]}" is not a number. Write one such as 19.1{unit}')
    return float(bare)


def is_free(reading: Reading) -> bool:
    """Whether the reading may be words."""
    return reading.unit == FREE_UNIT and reading.low is None and reading.high is None


def judge(value: Plain, reading: Reading) -> Verdict:
    """Return how a value stands to the reading's band.

    The limits count as they are printed: whoever reads "at most 0.13" and finds 0.13 is right.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "noted"
    if reading.low is not None and not value >= printed(reading.low):
        return "below"
    if reading.high is not None and not value <= printed(reading.high):
        return "above"
    return "noted" if reading.low is None and reading.high is None else "within"


def limits(reading: Reading) -> str:
    """Return the band in words, empty where there is none."""
    return band(reading.low, reading.high, reading.unit)


def value_text(value: Plain, unit: str) -> str:
    """Return a reading with its unit.

    Examples:
        >>> value_text(19.1, "V"), value_text("dry", "as the meter shows")
        ('19.1 V', 'dry')
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        return plain(str(value)) if value is not None else ""
    number = f"{value:.10g}".replace("-", "\N{MINUS SIGN}")
    return number if unit in ("", FREE_UNIT) else f"{number} {unit}"


def said(value: Plain, reading: Reading, accept: str) -> str:
    """Return the judgement as it is told to whoever measured."""
    shown = value_text(value, reading.unit)
    verdict = judge(value, reading)
    if verdict == "noted":
        return f"{shown} written down."
    if verdict == "within":
        return f"{shown} is within the limit: {limits(reading)}."
    right = f" It is right when: {accept}" if accept else ""
    return (
        f"{shown} is {verdict} the limit, {limits(reading)}: check the meter, its range and the "
        f"work, and measure again before you go on.{right}"
    )
