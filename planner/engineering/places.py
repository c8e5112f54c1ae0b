"""Find a town or region of the shipped list by its name."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from typing import Any

from planner.errors import InputError, nearest


def find_place(*, name: str, places: Iterable[Mapping[str, Any]]) -> Mapping[str, Any]:
    """Return the row of a listed town or region by its name, whatever its accents and capitals.

    Args:
        name: As typed; the country may follow after a comma.
        places: Rows with ``name``, ``country``, ``latitude_deg`` and ``longitude_deg``.

    Returns:
        The row.

    Raises:
        InputError: If no place has that name; the nearest name is suggested.
    """
    known = {_plain(f"{row['name']}, {row['country']}"): row for row in places}
    for key, row in known.items():
        if _plain(name) in (key, _plain(str(row["name"]))):
            return row
    towns = [str(row["name"]) for row in known.values()]
    hint = nearest(name, towns) or "Give latitude and longitude instead."
    raise InputError.of("use.place", f"'{name}' is not in the list of places", hint)


def _plain(text: str) -> str:
    letters = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in letters if not unicodedata.combining(c)).split())
