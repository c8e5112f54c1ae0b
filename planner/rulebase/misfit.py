"""Say in plain words what of a rule, as it was written, does not fit its model."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError

from planner.errors import nearest
from planner.rulebase import model as models
from planner.rulebase.model import Rule
from planner.yamltext import Path_

#: What an entry must be, by the kind of misfit; figures come with it.
WANTED: Mapping[str, str] = {
    "model_type": "entries ({entries})",
    "model_attributes_type": "entries ({entries})",
    "dict_type": "entries such as 'name: value'",
    "list_type": "a list",
    "tuple_type": "a list",
    "string_pattern_mismatch": "a name such as 'wash-roof' or 'panel.mass_kg', in small letters",
    "string_type": "text (a number or a yes needs quotes)",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "greater_than": "more than {gt}",
    "greater_than_equal": "{ge} or more",
    "less_than": "less than {lt}",
    "less_than_equal": "{le} or less",
    "literal_error": "{expected}",
}


def explanations(
    error: ValidationError, model: type[Rule], item: Any
) -> Iterator[tuple[Path_, str, str]]:
    """Yield each misfit: where in the rule, what is wrong, and the cure.

    Where an entry may have several forms, every form has its complaint; one fault tells all.
    """
    wanted: dict[Path_, list[str]] = {}
    seen: set[str] = set()
    for one in error.errors(include_url=False):
        inner = _written(one, item)
        if one["type"] in WANTED:
            wanted.setdefault(inner, []).append(_wanted(one))
            continue
        what, cure = _explained(one, inner, model)
        if what not in seen:
            seen.add(what)
            yield inner, what, cure
    for inner, forms in wanted.items():
        said = f"must be {', or '.join(dict.fromkeys(forms))}"
        yield inner, f"'{_shown(inner)}' {said}" if inner else f"this {said}", "Correct it."


def _written(one: Any, item: Any) -> Path_:
    """Return the way to an entry as it is written, without the names of forms tried on it."""
    *before, last = one["loc"] or ("",)
    way: list[str | int] = []
    held = item
    for part in (*before, last):
        is_item = isinstance(held, list) and isinstance(part, int) and part < len(held)
        if is_item or (isinstance(held, dict) and part in held):
            held = held[part]
            way.append(part)
    return (*way, last) if one["type"] == "missing" else tuple(way)


def _wanted(one: Any) -> str:
    figures = {
        name: f"{value:g}" if isinstance(value, float) else value
        for name, value in one.get("ctx", {}).items()
    }
    if "class_name" in figures:
        figures["entries"] = ", ".join(getattr(models, figures["class_name"]).model_fields)
    return WANTED[one["type"]].format_map(figures)


def _shown(inner: Path_) -> str:
    """Name an entry; items of a list are counted from 1, as in the changes of a layer."""
    return ".".join(str(part + 1 if isinstance(part, int) else part) for part in inner)[:80]


def _explained(one: Any, inner: Path_, model: type[Rule]) -> tuple[str, str]:
    shown = _shown(inner)
    if one["type"] == "extra_forbidden":
        known = list(model.model_fields) if len(inner) == 1 else []
        fitting = nearest(str(inner[-1])[:80], known)
        cure = fitting or (f"Known: {', '.join(known)}." if known else "Remove it.")
        return f"unknown entry '{shown}'", cure
    if one["type"] == "missing":
        return f"'{shown}' is missing", "Add it."
    if one["type"] in ("too_short", "string_too_short"):
        return f"'{shown}' must not be empty", "Correct it."
    message = one["msg"].removeprefix("Value error, ")
    return (f"'{shown}': {message}" if shown else message), "Correct it."
