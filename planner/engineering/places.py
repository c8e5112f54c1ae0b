"""Find a town or region of the shipped list by its name."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
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
    wanted, rows = _plain(name), list(places)
    for row in rows:
        town = _plain(str(row["name"]))
        if wanted in (town, f"{town}, {_plain(str(row['country']))}"):
            return row
    hint = nearest(name, [str(row["name"]) for row in rows])
    raise InputError.of(
        "use.place",
        f"'{name}' is not in the list of places",
        hint or "Give latitude and longitude instead.",
    )


@lru_cache(maxsize=2000)
def _plain(text: str) -> str:
    letters = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in letters if not unicodedata.combining(c)).split())
