"""Sunlight on a flat roof, month by month: from the shipped table, or from twelve typed values."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence

from msgspec import Struct

from planner.errors import InputError, OutOfRangeError

#: Share of the days that stay below each of a month's listed daily sums.
RANKS = (0.05, 0.20, 0.50, 0.80, 0.95)
#: Beyond this distance the nearest data say nothing about a place.
REACH_KM = 300.0
EARTH_RADIUS_KM = 6371.0
#: No place on earth has a month above this; more means another unit was typed.
MOST_KWH_M2_DAY = 10.0
TYPED_KEY = "typed"
#: What the table was derived from, for print beside its figures.
CITATION = (
    "derived from NASA's MERRA-2 (Gelaro and others 2017) by way of the histograms of Pfenninger "
    "and Staffell 2016, corrected for its bias under cloud; a year is good to about 10 %"
)
MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

Cell = tuple[int, int]


class MonthSun(Struct, frozen=True):
    """Sunlight of one month on a flat surface.

    Attributes:
        mean_kwh_m2: Mean of the daily sums.
        spread: Daily sum at each of ``RANKS``, as a share of the mean.
    """

    mean_kwh_m2: float
    spread: tuple[float, ...]


class Sunlight(Struct, frozen=True):
    """Twelve months of sunlight, January first, and in words where they come from."""

    months: tuple[MonthSun, ...]
    source: str

    @property
    def year_kwh_m2(self) -> float:
        """Sum over a year of 365 days [kWh/m²]."""
        return sum(m.mean_kwh_m2 * d for m, d in zip(self.months, DAYS_IN_MONTH, strict=True))


class SunTable(Struct, frozen=True):
    """The shipped table: its lines by cell, kept as text until one is needed.

    Attributes:
        lines: Latitude and longitude of a cell's centre in whole degrees, to its 72 numbers.
        typed_spread: The spread used for values typed in, where no cell is known.
    """

    lines: Mapping[Cell, str]
    typed_spread: tuple[float, ...]

    def months(self, cell: Cell) -> tuple[MonthSun, ...]:
        """Return the twelve months of one cell."""
        numbers = [int(text) for text in self.lines[cell].split(",")]
        width = 1 + len(RANKS)
        return tuple(_month(numbers[i : i + width]) for i in range(0, 12 * width, width))


def _month(numbers: Sequence[int]) -> MonthSun:
    return MonthSun(numbers[0] / 100, tuple(percent / 100 for percent in numbers[1:]))


def read_table(text: str) -> SunTable:
    """Return the table from the text of the shipped file; see ``derive_sunlight.py``."""
    lines: dict[Cell, str] = {}
    typed: tuple[float, ...] = ()
    for line in text.splitlines()[1:]:
        latitude, longitude, rest = line.split(",", 2)
        if latitude == TYPED_KEY:
            typed = tuple(int(percent) / 100 for percent in rest.split(","))
        else:
            lines[int(latitude), int(longitude)] = rest
    return SunTable(lines, typed)


def distance_km(*, from_deg: tuple[float, float], to_deg: tuple[float, float]) -> float:
    """Return the great-circle distance between two positions.

    Args:
        from_deg: Latitude and longitude [°].
        to_deg: Latitude and longitude [°].

    Returns:
        Distance [km] on a sphere of 6371 km.

    Notes:
        Haversine formula, which keeps its precision for near places.

    References:
        Textbook spherical trigonometry.
    """
    (lat_1, lon_1), (lat_2, lon_2) = from_deg, to_deg
    half_lat = math.radians(lat_2 - lat_1) / 2
    half_lon = math.radians(lon_2 - lon_1) / 2
    across = math.cos(math.radians(lat_1)) * math.cos(math.radians(lat_2))
    haversine = math.sin(half_lat) ** 2 + across * math.sin(half_lon) ** 2
    return 2 * EARTH_RADIUS_KM * math.asin(math.sqrt(min(1.0, haversine)))


def cell_weights(
    *, latitude_deg: float, longitude_deg: float, cells: Iterable[Cell]
) -> dict[Cell, float]:
    """Return the share of each cell within reach; empty at sea. The shares add up to 1.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        longitude_deg: East positive [°], -180 to 180.
        cells: Centres of the cells that have data.

    Returns:
        Cell to share. On a cell's centre that cell alone counts.

    Raises:
        OutOfRangeError: If the position is off the globe.

    Notes:
        w = ((R − d) / (R d))², which is smooth and falls to 0 at the reach R, so that a step of a
        few metres never changes the figures by a jump.

    References:
        Franke and Nielson 1980, modified Shepard weights (from memory).
    """
    check_position(latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    here = (latitude_deg, longitude_deg)
    rows = REACH_KM / EARTH_RADIUS_KM * 180 / math.pi
    near = (cell for cell in cells if abs(cell[0] - latitude_deg) <= rows)
    distances = {cell: distance_km(from_deg=here, to_deg=cell) for cell in near}
    weights = {c: _shepard(d) for c, d in distances.items() if d < REACH_KM}
    total = sum(weights.values())
    return {cell: weight / total for cell, weight in weights.items()}


def _shepard(distance: float) -> float:
    close = max(distance, 0.001)  # a metre: on the centre itself the weight would be infinite
    return ((REACH_KM - close) / (REACH_KM * close)) ** 2


def check_position(*, latitude_deg: float, longitude_deg: float) -> None:
    """Raise unless the position is on the globe, and say what was probably meant.

    Raises:
        OutOfRangeError: If latitude or longitude is out of range or NaN.
    """
    if not -90 <= latitude_deg <= 90:
        raise OutOfRangeError("latitude_deg", latitude_deg, latitude_words(latitude_deg))
    if not -180 <= longitude_deg <= 180:
        raise OutOfRangeError("longitude_deg", longitude_deg, longitude_words(longitude_deg))


def latitude_words(latitude: float) -> str:
    """Return the latitudes allowed, and what was probably meant by another."""
    if 90 < abs(latitude) <= 180:
        return "-90 to 90. Latitude comes first: perhaps latitude and longitude changed places"
    return f"-90 to 90{_sexagesimal_words(latitude)}"


def longitude_words(longitude: float) -> str:
    """Return the longitudes allowed, and what was probably meant by another."""
    if 180 < longitude <= 360:
        return f"-180 to 180. Counted eastward to 360? Then write {longitude - 360:g}"
    return f"-180 to 180{_sexagesimal_words(longitude)}"


def _sexagesimal_words(value: float) -> str:
    degrees, minutes = divmod(abs(value), 100) if 100 < abs(value) < 18060 else (0, 60)
    if minutes >= 60:
        return ""
    decimal = math.copysign(degrees + minutes / 60, value)
    return f". Degrees and minutes {degrees:.0f}° {minutes:.0f}' are written {decimal:.2f}"


def sunlight_at(*, latitude_deg: float, longitude_deg: float, table: SunTable) -> Sunlight:
    """Return the sunlight at a position on land.

    Args:
        latitude_deg: North positive [°], -90 to 90.
        longitude_deg: East positive [°], -180 to 180.
        table: The shipped table.

    Returns:
        Twelve months, interpolated between the cells within 300 km.

    Raises:
        OutOfRangeError: If the position is off the globe.
        InputError: If no cell lies within 300 km: the place is at sea or near a pole.

    Notes:
        Means and spreads are averaged with ``cell_weights``. Against long-term means kept out of
        the correction the year is good to about 10 %, a month to about 12 %.

    References:
        The table's own: see ``derive_sunlight.py``.
    """
    weights = cell_weights(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, cells=table.lines
    )
    position = position_words(latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    if not weights:
        raise InputError.of(
            position,
            "no sunlight data within 300 km: the place is at sea, or too near a pole",
            _sea_cure(latitude_deg, longitude_deg, table.lines),
        )
    parts = [(table.months(cell), weight) for cell, weight in weights.items()]
    months = tuple(_mixed([(m[i], weight) for m, weight in parts]) for i in range(12))
    return Sunlight(months, f"table of 3 degree cells, {len(parts)} near {position}; {CITATION}")


def _mixed(parts: Sequence[tuple[MonthSun, float]]) -> MonthSun:
    mean = sum(month.mean_kwh_m2 * weight for month, weight in parts)
    spread = tuple(sum(m.spread[i] * weight for m, weight in parts) for i in range(len(RANKS)))
    return MonthSun(mean, spread)


def position_words(*, latitude_deg: float, longitude_deg: float) -> str:
    """Return a position as people write it, such as ``51.5° N 1.2° W``."""
    north = "N" if latitude_deg >= 0 else "S"
    east = "E" if longitude_deg >= 0 else "W"
    return f"{abs(latitude_deg):g}° {north} {abs(longitude_deg):g}° {east}"


def _sea_cure(latitude: float, longitude: float, cells: Collection[Cell]) -> str:
    turned = [(longitude, latitude)] if abs(longitude) <= 90 else []
    turned += [(latitude, -longitude), (-latitude, longitude)]
    meant = [
        f"{position_words(latitude_deg=lat, longitude_deg=lon)} ({lat:g}, {lon:g})"
        for lat, lon in turned
        if cell_weights(latitude_deg=lat, longitude_deg=lon, cells=cells)
    ]
    manual = "Or type the twelve monthly values in kWh/m² a day."
    if not meant:
        return f"Give a place on land. {manual}"
    signs = "Latitude comes first; south and west are negative."
    return f"Did you mean {', or '.join(meant)}? {signs} {manual}"


def sunlight_from_values(*, kwh_m2_day: Sequence[float], table: SunTable) -> Sunlight:
    """Return the sunlight from twelve monthly values typed in.

    Args:
        kwh_m2_day: Mean daily sum on a flat surface for each month, January first, 0 to 10.
        table: The shipped table; its typical spread of days is used.

    Returns:
        Twelve months.

    Raises:
        OutOfRangeError: If there are not twelve values, one is out of range, or all are 0.
    """
    if len(kwh_m2_day) != 12:
        raise OutOfRangeError(
            "kwh_m2_day", f"{len(kwh_m2_day)} values", "twelve values, January to December"
        )
    for value in kwh_m2_day:
        if not 0 <= value <= MOST_KWH_M2_DAY:
            raise OutOfRangeError("kwh_m2_day", value, _typed_words(value))
    if not any(kwh_m2_day):
        raise OutOfRangeError("kwh_m2_day", "0 in every month", "above 0 in some month")
    months = tuple(MonthSun(value, table.typed_spread) for value in kwh_m2_day)
    return Sunlight(months, "twelve monthly values typed in")


def _typed_words(value: float) -> str:
    words = "0 to 10 kWh/m² a day"
    if 10 < value <= 40:
        return f"{words}. MJ/m² a day? Write {value / 3.6:.1f}. A month's sum? Divide by its days"
    if 40 < value <= 400:
        return f"{words}. A month's sum? Divide by its days: about {value / 30.4:.1f}"
    return words
