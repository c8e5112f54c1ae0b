"""Check a value against its fact's shape: what is typed at a prompt and what stands in a file."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from planner.errors import nearest
from planner.rulebase.model import FactShape, ListField, Question

UNKNOWN = "unknown"
#: Stands in a question's ``assume`` where nothing can stand in: the fact then does not apply.
NOT_KNOWN = "not known"
MAX_TEXT = 5000
#: No quantity on a van comes near it; beyond it, arithmetic on integers and floats parts ways.
MAX_NUMBER = 1e15
YEARS = range(2000, 2100)


def checked(shape: FactShape, value: Any) -> Any:
    """Return the value in its plain form.

    Raises:
        ValueError: If kind, choice or range do not fit; the text says what would.
    """
    if shape.kind not in _CHECKS:
        raise ValueError(f"{shape.fact} is calculated; it cannot be answered.")
    return _CHECKS[shape.kind](shape, value)


def shown(value: Any) -> str:
    r"""Return a value as messages repeat it: control characters made visible, cut where long.

    Examples:
        >>> print(shown("grp\x1b[2J"), len(shown("x" * 5000)))
        'grp\x1b[2J' 80
    """
    text = repr(value) if not isinstance(value, str) else repr(value[:100])
    return text if len(text) <= 80 else text[:79] + "…"


def _number(shape: FactShape, value: Any) -> float:
    number = _finite(value, expected(shape))
    _in_range(shape, number)
    return number


def _finite(value: Any, wanted: str) -> float:
    # Compared, not converted: an integer of hundreds of digits has no float, and NaN is no number.
    if isinstance(value, bool) or not isinstance(value, int | float) or value != value:  # noqa: PLR0124
        raise ValueError(f"{shown(value)} is not a number. {wanted}")
    if not -MAX_NUMBER <= value <= MAX_NUMBER:
        raise ValueError(f"{_long(value)} is out of range. {wanted}")
    return value


def _long(value: float) -> str:
    # Python refuses to print very long integers.
    return "a number of hundreds of digits" if abs(value) > sys.float_info.max else shown(value)


def _integer(shape: FactShape, value: Any) -> int:
    number = _number(shape, value)
    if number != int(number):
        raise ValueError(f"{value} is not a whole number. {expected(shape)}")
    return int(number)


def _in_range(shape: FactShape, value: float) -> None:
    low = shape.least is not None and value < shape.least
    high = shape.most is not None and value > shape.most
    between = shape.multiple_of is not None and value % shape.multiple_of != 0
    if low or high or between:
        raise ValueError(f"{f'{value:g} {shape.unit}'.strip()} is out of range. {expected(shape)}")


def _text(_shape: FactShape, value: Any) -> str:
    if isinstance(value, bool | dict | list) or value is None:
        raise ValueError(f"{shown(value)} is not text. Put it in quotes.")
    text = "".join(map(_printed, str(value))).strip()
    if len(text) > MAX_TEXT:
        raise ValueError(
            f"the text has {len(text)} characters; {MAX_TEXT} is the most. Shorten it."
        )
    return text


def _printed(char: str) -> str:
    if char.isprintable() or char in "\n\t":
        return char
    return " " if char.isspace() else ""


def _choice(shape: FactShape, value: Any) -> str:
    if isinstance(value, str) and value in shape.options:
        return value
    hint = nearest(shown(value).strip("'"), shape.options)
    said = f"{shown(value)} is not a choice."
    raise ValueError(" ".join(filter(None, (said, hint, expected(shape)))))


def _yes_no(shape: FactShape, value: Any) -> bool:
    if isinstance(value, bool):
        return value
    raise ValueError(f"{shown(value)} is neither true nor false. {expected(shape)}")


def _moment(shape: FactShape, value: Any) -> str:
    try:
        moment = datetime.fromisoformat(str(value).strip())
    except ValueError:
        raise ValueError(f"{shown(value)} is not a date and time. {expected(shape)}") from None
    if moment.tzinfo is not None:
        said = f"{shown(value)} names a time zone. Write the local time."
        raise ValueError(f"{said} {expected(shape)}")
    if moment.year not in YEARS:
        raise ValueError(f"the year {moment.year} is out of range. {expected(shape)}")
    return moment.strftime("%Y-%m-%d %H:%M")


def _list(shape: FactShape, value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise ValueError(f"{shown(value)} is not a list. Begin each entry with '- '.")
    least, most = shape.least or 0, shape.most if shape.most is not None else 100
    if not least <= len(value) <= most:
        raise ValueError(f"the list has {len(value)} entries. {expected(shape)}")
    fields = shape.fields if isinstance(shape, Question) else ()
    return [_item(fields, item, number) for number, item in enumerate(value, 1)]


def _item(fields: Sequence[ListField], item: Any, number: int) -> Any:
    if not fields:
        return _finite_entry(item, number)
    if not isinstance(item, Mapping):
        raise ValueError(f"entry {number} must name its values, such as '{fields[0].fact}: …'.")
    known = {field.fact: field for field in fields}
    for key in item:
        if key not in known:
            hint = nearest(key[:80], known) or f"Known: {', '.join(known)}."
            raise ValueError(f"entry {number}: unknown {shown(key)}. {hint}")
    return {
        name: _entry(field, item, number)
        for name, field in known.items()
        if name in item or field.required
    }


def _finite_entry(item: Any, number: int) -> float:
    try:
        return _finite(item, "A list of this kind holds numbers.")
    except ValueError as error:
        raise ValueError(f"entry {number}: {error}") from None


def _entry(field: ListField, item: Mapping[str, Any], number: int) -> Any:
    if field.fact not in item:
        raise ValueError(
            f"entry {number}: '{field.fact}' ({field.label}) is missing. {expected(field)}"
        )
    try:
        return checked(field, item[field.fact])
    except ValueError as error:
        raise ValueError(f"entry {number}: {field.fact}: {error}") from None


_CHECKS: Mapping[str, Any] = {
    "number": _number,
    "integer": _integer,
    "text": _text,
    "choice": _choice,
    "yes_no": _yes_no,
    "moment": _moment,
    "list": _list,
}


def expected(shape: FactShape) -> str:
    """Return what an answer should look like, as one sentence."""
    if shape.kind == "choice":
        return f"Choose from: {', '.join(shape.options)}."
    if shape.kind == "yes_no":
        return "Write true or false."
    if shape.kind == "moment":
        return "Write it as 2026-05-04 08:00."
    if shape.kind == "list":
        return f"Give {_span(shape, 'entries') or 'a list'}."
    return f"Give {_span(shape, shape.unit) or shape.unit or 'a number'}."


def _span(shape: FactShape, unit: str) -> str:
    def end(value: float) -> str:
        return (
            f"{value:.{shape.precision}f}".rstrip("0").rstrip(".")
            if shape.precision
            else f"{value:g}"
        )

    if shape.least is not None and shape.most is not None:
        if shape.least == shape.most:
            return f"{end(shape.least)} {unit}".strip()
        between = "to" if shape.most != shape.least + (shape.multiple_of or 0) else "or"
        return f"{end(shape.least)} {between} {end(shape.most)} {unit}".strip()
    if shape.least is not None:
        return f"at least {end(shape.least)} {unit}".strip()
    return f"at most {end(shape.most)} {unit}".strip() if shape.most is not None else ""


def typed(shape: FactShape, text: str) -> Any:
    """Return what a person typed at a prompt as a checked value.

    Raises:
        ValueError: If it does not fit; the text repeats what was typed and what would fit.
    """
    text = text.strip()
    if shape.kind in ("number", "integer"):
        return checked(shape, _typed_number(shape, text))
    if shape.kind == "list":
        parts = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
        return checked(shape, [_typed_number(shape, part) for part in parts])
    return checked(shape, text)


def _typed_number(shape: FactShape, text: str) -> float:
    unit = shape.unit
    bare = text.removesuffix(unit).strip() if unit else text
    try:
        return int(bare) if bare.lstrip("+-").isdigit() and bare.isascii() else float(bare)
    except ValueError:
        hint = f" Write {bare[:60].replace(',', '.')}." if "," in bare else ""
        raise ValueError(
            f'You typed "{text[:60]}", which is not a number.{hint} {expected(shape)}'
        ) from None
