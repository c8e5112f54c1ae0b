"""Which sunlight the answers mean: of a listed place, of a position, or twelve typed values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from msgspec import Struct

from planner import paths
from planner.engineering import sunlight
from planner.engineering.places import find_place

#: Where twelve values are typed without a place, the air is taken to be that of this latitude.
TYPED_LATITUDE_DEG = 45.0


class Whereabouts(Struct, frozen=True):
    """The sunlight that was meant, where it comes from in words, and its latitude [°]."""

    sun: sunlight.Sunlight
    source: str
    latitude_deg: float


@lru_cache(maxsize=1)
def shipped_sun_table() -> sunlight.SunTable:
    """Return the shipped table of sunlight, read once a process."""
    path = paths.shipped("rules") / "tables" / "sunlight.csv"
    return sunlight.read_table(path.read_text(encoding="utf-8"))


def sunlight_meant(
    *,
    place: str,
    latitude_deg: float | None,
    longitude_deg: float | None,
    kwh_m2_day: Sequence[float] | None,
    places: Sequence[Mapping[str, Any]],
) -> Whereabouts | None:
    """Return the sunlight of a listed place, of a position, or of twelve typed values.

    Args:
        place: Name of a place, ``by_position`` or ``by_values``.
        latitude_deg: For ``by_position``, north positive [°]; None until it is known.
        longitude_deg: For ``by_position``, east positive [°]; None until it is known.
        kwh_m2_day: For ``by_values``, twelve mean daily sums [kWh/m²]; None until they are known.
        places: Rows of listed places.

    Returns:
        What was meant, or None where an answer is still missing.

    Raises:
        InputError: If the place is not listed, or the position is at sea.
        OutOfRangeError: If a value is one that no place or sky has.
    """
    if place == "by_values":
        if kwh_m2_day is None:
            return None
        found = sunlight.sunlight_from_values(kwh_m2_day=kwh_m2_day, table=shipped_sun_table())
        return Whereabouts(found, found.source, TYPED_LATITUDE_DEG)
    name = ""
    if place != "by_position":
        row = find_place(name=place, places=places)
        latitude_deg, longitude_deg = row["latitude_deg"], row["longitude_deg"]
        name = f"{row['name']}, {row['country']}: "
    if latitude_deg is None or longitude_deg is None:
        return None
    found = _sun_at(latitude_deg, longitude_deg)
    return Whereabouts(found, name + found.source, latitude_deg)


@lru_cache(maxsize=100)
def _sun_at(latitude_deg: float, longitude_deg: float) -> sunlight.Sunlight:
    """Return the sunlight of a position; a question flow asks for the same one many times."""
    return sunlight.sunlight_at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, table=shipped_sun_table()
    )
