"""Words and numbers as documents print them; everything typed by a person passes ``plain``."""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Any

#: Unit suffixes of names, longest first, and how they are printed.
UNITS = {
    "kwh_m2_day": "kWh/m² a day",
    "wh_day": "Wh a day",
    "kwh_m2": "kWh/m²",
    "mv_per_c": "mV/K",
    "pct_per_c": "%/K",
    "mm_per_m": "mm/m",
    "percent": "%",
    "m_ohm": "mΩ",
    "ohm": "Ω",
    "mm2": "mm²",
    "cm2": "cm²",
    "m2": "m²",
    "kmh": "km/h",
    "mm": "mm",
    "ml": "ml",
    "kg": "kg",
    "nm": "N·m",
    "kn": "kN",
    "pa": "Pa",
    "wh": "Wh",
    "ah": "Ah",
    "deg": "°",
    "pct": "%",
    "min": "min",
    "m": "m",
    "v": "V",
    "a": "A",
    "w": "W",
    "h": "h",
    "n": "N",
    "c": "°C",
}


_SPACES = re.compile(r" {2,}")
BREAKS = "\n\r\t\v\f\u2028\u2029"


def plain(text: str) -> str:
    r"""Return text without control, direction or line characters, safe to set on one line.

    Examples:
        >>> plain("two\n lines\x07 and \u202etrick")
        'two lines and trick'
    """
    if not text.isprintable():  # most texts are, and one look at the whole is quick
        text = "".join(" " if c in BREAKS else c for c in text if _is_wanted(c))
    return (_SPACES.sub(" ", text) if "  " in text else text).strip()


def _is_wanted(character: str) -> bool:
    # Joiners are format characters too, and belong to words and emoji.
    joiner = character in "\u200c\u200d"
    return joiner or character in BREAKS or unicodedata.category(character)[0] != "C"


#: A word longer than this gets places where it may be broken, so many letters apart.
LONG_WORD, PIECE = 24, 12
BREAK_HERE = "\u200b"
_LONG_WORDS = re.compile(rf"\S{{{LONG_WORD + 1},}}")


def breakable(text: str) -> str:
    """Return text whose very long words may be broken where the line ends.

    Examples:
        >>> len(breakable("x" * 30)), breakable("short words only")
        (32, 'short words only')
    """
    return _LONG_WORDS.sub(_in_pieces, text)


def _in_pieces(found: re.Match[str]) -> str:
    word = found.group()
    return BREAK_HERE.join(word[at : at + PIECE] for at in range(0, len(word), PIECE))


def short(text: str, length: int = 60) -> str:
    """Return the text, cut at a word where it is longer than ``length`` characters."""
    text = plain(text)
    if len(text) <= length:
        return text
    head = text[: length - 1]
    return (head.rsplit(" ", 1)[0] if " " in head[length // 2 :] else head).rstrip() + "…"


_SENTENCE_END = re.compile(r"(?<=[.!?]) (?=[A-Z])")


def opening(text: str, length: int) -> str:
    """Return as many whole sentences from the beginning as fit, at least the first.

    A caution is never cut within a sentence: half of one may say the opposite.

    Examples:
        >>> opening("Keep out. Live parts stay live.", 12)
        'Keep out.'
    """
    first, *rest = _SENTENCE_END.split(plain(text))
    for sentence in rest:
        if len(first) + 1 + len(sentence) > length:
            break
        first = f"{first} {sentence}"
    return first


def words(name: str) -> str:
    """Return an identifier in words.

    Examples:
        >>> words("rim_cured"), words("make-safe")
        ('rim cured', 'make safe')
    """
    return name.replace("_", " ").replace("-", " ").replace(".", " ")


def capital(text: str) -> str:
    """Return the text with its first letter raised."""
    return text[:1].upper() + text[1:]


def figure(value: Any) -> str:
    """Return a plain value of a table cell as it is printed.

    Examples:
        >>> figure(12.0), figure(0.1234), figure(True), figure(None), figure(-3)
        ('12', '0.12', 'yes', '—', '−3')
    """
    if value is None or value == "":
        return "—"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, list | tuple):
        return "; ".join(figure(item) for item in value)
    return plain(str(value))


def _number(value: float) -> str:
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", "\N{MINUS SIGN}") if float(text or 0) else "0"


def heading(key: str) -> str:
    """Return the heading of a column from the key that names it with its unit.

    Examples:
        >>> heading("x_mm"), heading("harvest_wh_day"), heading("name")
        ('X [mm]', 'Harvest [Wh a day]', 'Name')
    """
    for suffix, unit in UNITS.items():
        if key.endswith("_" + suffix):
            return f"{capital(words(key[: -len(suffix) - 1]))} [{unit}]"
    return capital(words(key))


def unit_of(key: str) -> str:
    """Return the unit that the suffix of a key names, empty if there is none.

    Examples:
        >>> unit_of("x_mm"), unit_of("verdict")
        ('mm', '')
    """
    return next((unit for suffix, unit in UNITS.items() if key.endswith("_" + suffix)), "")


def duration(minutes: float) -> str:
    """Return a working time or a wait in words; from a day on, in hours that are begun.

    Examples:
        >>> duration(45), duration(90), duration(120), duration(1501)
        ('45 min', '1 h 30 min', '2 h', '26 h')
    """
    whole = math.ceil(minutes - 1e-6)
    if whole > 1440:
        return f"{math.ceil(whole / 60)} h"
    hours, rest = divmod(whole, 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def printed(limit: float) -> float:
    """Return the limit of a reading as it is printed, which is what a reading is judged by.

    Examples:
        >>> printed(0.12839), printed(21.00686), printed(-4.0)
        (0.13, 21.0, -4.0)
    """
    return float(_number(limit).replace("\N{MINUS SIGN}", "-"))


def band(low: float | None, high: float | None, unit: str) -> str:
    """Return the limits of a reading in words, empty if there are none.

    Examples:
        >>> band(21.4, 23.6, "V"), band(None, 0.5, "Ω"), band(1, None, "MΩ")
        ('21.4 to 23.6 V', 'at most 0.5 Ω', 'at least 1 MΩ')
    """
    if low is None and high is None:
        return ""
    if low is None:
        said = f"at most {_number(high or 0.0)}"
    elif high is None:
        said = f"at least {_number(low)}"
    else:
        said = f"{_number(low)} to {_number(high)}"
    return f"{said} {unit}".strip()


_MARKDOWN = re.compile(r"([\\`*_\[\]|~])")
_AT_START = re.compile(r"^(?=[-+#>=])|^(\d+)(?=[.)](?:\s|$))")


def markdown(text: str) -> str:
    r"""Return text that Markdown shows as it was typed: no markup, no HTML, no list or heading.

    Examples:
        >>> print(markdown("<b>*bold*</b>"), markdown("# 1"), markdown("2. of"))
        &lt;b&gt;\*bold\*&lt;/b&gt; \# 1 2\. of
    """
    text = plain(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = _MARKDOWN.sub(r"\\\1", text)
    return _AT_START.sub(lambda found: f"{found.group(1) or ''}\\", text)
