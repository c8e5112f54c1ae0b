"""What a fitter probably meant by a number out of its question's range."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from planner.engineering.datasheet import isc_coefficient_words, voc_coefficient_words
from planner.engineering.energy import hours_words, watts_words
from planner.engineering.sunlight import latitude_words, longitude_words

Answers = Mapping[str, Any]


def probably_meant(*, fact: str, value: object, answers: Answers) -> str:
    """Return what was probably meant by an answer that was refused, or an empty text.

    Args:
        fact: Name of the question.
        value: What was answered.
        answers: Other answers as given, checked or not; they help to turn units.

    Returns:
        One sentence or two, ready to print under the refusal.
    """
    if fact == "use.loads":
        return _loads(value)
    number = _number(value)
    hint = HINTS.get(fact)
    return hint(number, answers) if hint and number is not None else ""


def _number(value: object) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if math.isfinite(value) else None


def _beside(answers: Answers, name: str) -> float | None:
    number = _number(answers.get(name))
    return number if number and number > 0 else None


def _voc_coefficient(value: float, answers: Answers) -> str:
    return voc_coefficient_words(value, _beside(answers, "panel.voc_v"))


def _isc_coefficient(value: float, answers: Answers) -> str:
    return isc_coefficient_words(value, _beside(answers, "panel.isc_a"))


def _latitude(value: float, _: Answers) -> str:
    if -90 <= value <= 90:
        return "No van drives there; or the twelve monthly values can be typed instead."
    return _after_the_range(latitude_words(value))


def _longitude(value: float, _: Answers) -> str:
    return _after_the_range(longitude_words(value))


def _after_the_range(words: str) -> str:
    """The refusal has named the range already, where there is more to say."""
    allowed, _, more = words.partition(". ")
    return f"{more}." if more else f"It must be {allowed}."


def _battery_volts(value: float, _: Answers) -> str:
    for nominal in (12, 24):
        if 10 / 12 * nominal <= value <= 15 / 12 * nominal:
            return f"That is what a {nominal} V battery reads on the meter: write {nominal}."
    if value > 30:
        return "Systems of 36 and 48 V are beyond these rules: ask somebody who builds them."
    return "A van has a system of 12 or 24 V; two batteries in series count as one of 24 V."


def _loads(value: object) -> str:
    entries = value if isinstance(value, Sequence) and not isinstance(value, str) else ()
    for entry in entries:
        if not isinstance(entry, Mapping):
            continue
        hours, watts = _number(entry.get("hours_per_day")), _number(entry.get("watts"))
        if hours is not None and not 0 <= hours <= 24:
            return f"It must be {hours_words(hours)}."
        if watts is not None and not 0 <= watts <= 4000:
            return f"{watts_words(watts)}."
    return ""


HINTS: Mapping[str, Callable[[float, Answers], str]] = {
    "panel.voc_pct_per_c": _voc_coefficient,
    "panel.isc_pct_per_c": _isc_coefficient,
    "use.latitude_deg": _latitude,
    "use.longitude_deg": _longitude,
    "battery.nominal_v": _battery_volts,
}
