"""The deriving script: its fit finds a known ratio, and its limits hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import derive_sunlight as derive
from planner.engineering import sunlight

KNOWN = np.array([1.9, -2.6, 2.2, -0.25, 0.2, -1.5])


def cells() -> dict[sunlight.Cell, derive.RawCell]:
    """Return cells far apart, each with its own share of the light above the air."""
    made = {}
    for number, latitude in enumerate((-42, -21, 0, 15, 30, 39, 48, 57, 63)):
        share = np.linspace(0.35, 0.55, 12) + 0.02 * (number % 4)
        means = derive.above_air_kwh_m2(latitude) * share
        made[latitude, 3 * number] = derive.RawCell(means, np.ones((12, len(sunlight.RANKS))))
    return made


def test_the_fit_finds_a_ratio_that_was_put_in() -> None:
    """Places whose published months are the raw ones times a known ratio give it back."""
    raw = cells()
    places = []
    for (latitude, longitude), cell in raw.items():
        above = derive.above_air_kwh_m2(latitude)
        months = cell.means * (derive.terms(cell.means / above, above, latitude) @ KNOWN)
        figures = tuple(float(month) for month in months)
        where = ("invented", float(latitude), float(longitude), "long_term", 1.0, "fit")
        places.append(derive.Reference(*where, figures, derive.year_mean(figures)))
    assert derive.fitted(raw, places) == pytest.approx(KNOWN, abs=1e-6)


@given(share=st.floats(0.05, 0.8), latitude=st.floats(-60, 72))
def test_the_ratio_keeps_its_limits(share: float, latitude: float) -> None:
    """0.75 to 1.15, at most 0.95 under clear skies, and 1 where the sun barely rises."""
    above = derive.above_air_kwh_m2(latitude)
    found = derive.ratio(above * share, latitude, KNOWN)
    assert np.all((found >= 0.75) & (found <= 1.15))
    sunny = above > derive.LEAST_FITTED_KWH_M2
    assert np.all(found[~sunny] == 1)
    if share >= 0.65:
        assert np.all(found[sunny] <= 0.95)


def test_the_year_weighs_months_by_their_days() -> None:
    """February counts 28 days."""
    assert derive.year_mean([0, 365 / 28, *[0] * 10]) == pytest.approx(1)
