"""Properties of the sunlight functions, and what they refuse."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import sunlight
from planner.engineering.derive_sunlight import shipped_table
from planner.engineering.places import find_place
from planner.errors import InputError, OutOfRangeError

TABLE = sunlight.read_table(shipped_table().read_text(encoding="utf-8"))
LONDON: dict[str, float] = {"latitude_deg": 51.5, "longitude_deg": -0.1}
PLACES = (
    {"name": "Umea", "country": "Sweden", "latitude_deg": 63.8, "longitude_deg": 20.3},
    {"name": "Cork", "country": "Ireland", "latitude_deg": 51.9, "longitude_deg": -8.5},
)


def at(latitude_deg: float, longitude_deg: float) -> sunlight.Sunlight:
    """Return the sunlight of the shipped table."""
    return sunlight.sunlight_at(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, table=TABLE
    )


def test_a_cells_centre_has_that_cells_figures() -> None:
    """Interpolation goes through the data."""
    cell = (51, 0)
    months = at(51.0, 0.0).months
    for ours, its in zip(months, TABLE.months(cell), strict=True):
        assert ours.mean_kwh_m2 == pytest.approx(its.mean_kwh_m2, abs=1e-5)
        assert ours.spread == pytest.approx(its.spread, abs=1e-5)


@given(latitude=st.floats(36, 60), longitude=st.floats(-8, 40))
def test_interpolation_stays_between_the_cells_and_does_not_jump(
    latitude: float, longitude: float
) -> None:
    """The figures lie within those of the cells in reach; a hundred metres change nothing much."""
    weights = sunlight.cell_weights(
        latitude_deg=latitude, longitude_deg=longitude, cells=TABLE.lines
    )
    if not weights:
        return
    assert sum(weights.values()) == pytest.approx(1)
    years = [sum(m.mean_kwh_m2 for m in TABLE.months(cell)) for cell in weights]
    here = sum(month.mean_kwh_m2 for month in at(latitude, longitude).months)
    assert min(years) - 1e-9 <= here <= max(years) + 1e-9
    step = sum(month.mean_kwh_m2 for month in at(latitude + 0.001, longitude).months)
    assert step == pytest.approx(here, rel=0.002)


def test_distances_wrap_at_the_date_line() -> None:
    """Fiji's cells lie on both sides of 180°."""
    west = sunlight.cell_weights(latitude_deg=-17.8, longitude_deg=-179.9, cells=TABLE.lines)
    east = sunlight.cell_weights(latitude_deg=-17.8, longitude_deg=179.9, cells=TABLE.lines)
    assert set(west) == set(east)


def test_southern_winter_is_in_july() -> None:
    """Seasons are on the right side of the equator."""
    months = [month.mean_kwh_m2 for month in at(-33.9, 18.4).months]
    assert months.index(min(months)) in (5, 6)
    assert months.index(max(months)) in (11, 0)


def test_every_row_of_the_table_is_whole() -> None:
    """Twelve months of a mean and five rising shares; nothing negative."""
    assert len(TABLE.lines) > 2000
    for cell in TABLE.lines:
        months = TABLE.months(cell)
        assert len(months) == 12
        for month in months:
            assert 0 <= month.mean_kwh_m2 < 10
            assert list(month.spread) == sorted(month.spread)
            assert len(month.spread) == len(sunlight.RANKS)


@pytest.mark.parametrize(
    ("latitude", "longitude", "words"),
    [
        (95.0, 10.0, "latitude_deg is 95.0; it must be -90 to 90. Latitude comes first"),
        (5130.0, 0.0, "Degrees and minutes 51° 30' are written 51.50"),
        (50.0, 345.0, "Counted eastward to 360? Then write -15"),
        (50.0, -1412.0, "Degrees and minutes 14° 12' are written -14.20"),
        (50.0, 400000.0, "longitude_deg is 400000.0; it must be -180 to 180"),
        (float("nan"), 0.0, "latitude_deg is nan; it must be -90 to 90"),
        (0.0, float("nan"), "longitude_deg is nan; it must be -180 to 180"),
    ],
)
def test_a_position_off_the_globe_is_refused_with_a_guess(
    latitude: float, longitude: float, words: str
) -> None:
    """The message says what was probably meant."""
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        at(latitude, longitude)


@pytest.mark.parametrize(
    ("latitude", "longitude", "words"),
    [
        (-1.2, 51.5, "Did you mean 51.5° N 1.2° W (51.5, -1.2), or 1.2° S 51.5° W"),
        (40.0, 105.0 - 250.0, "no sunlight data within 300 km: the place is at sea"),
        (-51.5, 1.2, "51.5° N 1.2° E (51.5, 1.2)?"),
        (45.0, -30.0, "Or type the twelve monthly values in kWh/m² a day."),
        (89.0, 10.0, "or too near a pole"),
    ],
)
def test_a_place_at_sea_is_refused_with_a_guess(
    latitude: float, longitude: float, words: str
) -> None:
    """Swapped coordinates and wrong signs are recognised; typing values is offered."""
    with pytest.raises(InputError, match=re.escape(words)) as caught:
        at(latitude, longitude)
    assert "twelve monthly values" in str(caught.value)


def test_typed_values_are_used_as_they_are() -> None:
    """The means are the typed ones; the spread is the table's typical one."""
    values = [float(i) / 2 for i in range(12)]
    found = sunlight.sunlight_from_values(kwh_m2_day=values, table=TABLE)
    assert [month.mean_kwh_m2 for month in found.months] == values
    assert found.months[3].spread == TABLE.typed_spread
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    assert found.year_kwh_m2 == pytest.approx(sum(v * d for v, d in zip(values, days, strict=True)))


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ([3.0] * 11, "kwh_m2_day is 11 values; it must be twelve values"),
        ([3.0] * 11 + [-1.0], "kwh_m2_day is -1.0; it must be 0 to 10"),
        ([18.0] * 12, "MJ/m² a day? Write 5.0"),
        ([150.0] * 12, "A month's sum? Divide by its days: about 4.9"),
        ([1800.0] * 12, "kwh_m2_day is 1800.0; it must be 0 to 10 kWh/m² a day"),
        ([0.0] * 12, "above 0 in some month"),
        ([float("nan")] * 12, "kwh_m2_day is nan"),
    ],
)
def test_typed_values_that_cannot_be_are_refused_with_a_guess(
    values: list[float], words: str
) -> None:
    """Other units are recognised."""
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        sunlight.sunlight_from_values(kwh_m2_day=values, table=TABLE)


@pytest.mark.parametrize("name", ["Umeå", "umea", " UMEA ", "Umeå, Sweden"])
def test_places_are_found_whatever_their_accents_and_capitals(name: str) -> None:
    """People type names in many ways."""
    assert find_place(name=name, places=PLACES)["latitude_deg"] == 63.8


@pytest.mark.parametrize(
    ("name", "words"),
    [("Corck", "Did you mean 'Cork'?"), ("Zzz", "Give latitude and longitude instead.")],
)
def test_an_unknown_place_is_refused_with_the_nearest_name(name: str, words: str) -> None:
    """A slip of the finger is recognised."""
    with pytest.raises(InputError, match=re.escape(words)):
        find_place(name=name, places=PLACES)


def test_position_words_name_the_hemispheres() -> None:
    """Printed as people write it."""
    words: Any = sunlight.position_words(latitude_deg=-33.9, longitude_deg=18.4)
    assert words == "33.9° S 18.4° E"
