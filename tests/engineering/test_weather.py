"""Properties of drawn weather, and what it refuses."""

from __future__ import annotations

import re
from random import Random
from statistics import fmean
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import weather
from planner.engineering.sunlight import RANKS, MonthSun
from planner.errors import OutOfRangeError

SPELLS: dict[str, Any] = {"spells": 50, "days": 20, "lag_1": 0.3, "seed": 7}


def test_the_same_seed_gives_the_same_weather_on_every_machine() -> None:
    """The generator and every operation after it are exact, so these ranks never change.

    Python documents that ``Random(seed).random()`` is reproducible; the rest is sums, products
    and one quotient, which IEEE 754 rounds alike everywhere.
    """
    weather.drawn_spells.cache_clear()
    first = weather.drawn_spells(**SPELLS)
    weather.drawn_spells.cache_clear()
    assert weather.drawn_spells(**SPELLS) == first
    assert weather.drawn_spells(**SPELLS | {"seed": 8}) != first


def test_spells_have_the_length_and_number_asked_for() -> None:
    """And every rank is in range."""
    drawn = weather.drawn_spells(**SPELLS)
    assert len(drawn) == 50
    assert {len(spell) for spell in drawn} == {20}
    assert all(0 <= rank < weather.STEPS for spell in drawn for rank in spell)


def test_days_are_free_of_each_other_without_correlation() -> None:
    """With a lag of 0 a dull day says nothing about the next one."""
    drawn = weather.drawn_spells(**SPELLS | {"lag_1": 0.0, "spells": 500})
    after_dull = [s[i + 1] for s in drawn for i in range(19) if s[i] < 200]
    assert fmean(after_dull) == pytest.approx(500, abs=30)


def test_normal_draws_have_mean_0_and_variance_1() -> None:
    """Twelve uniform numbers have a variance of 12/12; tolerance four standard errors."""
    source = Random(1)  # noqa: S311  - weather, no secret
    draws = [weather.normal_draw(source) for _ in range(20000)]
    assert fmean(draws) == pytest.approx(0, abs=0.03)
    assert fmean(d * d for d in draws) == pytest.approx(1, abs=0.04)


@given(
    mean=st.floats(0.05, 9),
    shares=st.lists(st.floats(0.05, 2.5), min_size=5, max_size=5).map(sorted),
)
def test_daily_sums_rise_and_keep_the_months_mean(mean: float, shares: list[float]) -> None:
    """Whatever the spread, no day is negative and the mean is the month's."""
    sums = weather.daily_sums(MonthSun(mean, tuple(shares)))
    assert len(sums) == weather.STEPS
    assert fmean(sums) == pytest.approx(mean)
    assert list(sums) == sorted(sums)
    assert sums[0] >= 0


def test_daily_sums_pass_through_the_listed_ranks() -> None:
    """A spread whose mean is 1 is reproduced at its own ranks."""
    shares = (0.3, 0.6, 1.0, 1.4, 1.7)
    sums = weather.daily_sums(MonthSun(4.0, shares))
    for rank, share in zip(RANKS, shares, strict=True):
        assert sums[int(rank * weather.STEPS)] == pytest.approx(4.0 * share, rel=0.01)


def test_a_month_without_sun_has_no_sunny_day() -> None:
    """The polar night."""
    assert set(weather.daily_sums(MonthSun(0.0, (1.0,) * 5))) == {0.0}


def test_spells_are_ranked_by_their_first_days() -> None:
    """The dullest, the middling and the brightest spell of the days that count."""
    drawn = weather.drawn_spells(**SPELLS)
    totals = [
        sum(weather.ranked_spell(drawn=drawn, days=10, share=share)) for share in (0, 0.5, 1)
    ]
    every = sorted(sum(spell[:10]) for spell in drawn)
    assert (totals[0], totals[2]) == (every[0], every[-1])
    assert totals[1] in every[24:26]


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"spells": 0}, "spells"),
        ({"days": 401}, "days"),
        ({"lag_1": 0.96}, "lag_1"),
        ({"lag_1": float("nan")}, "lag_1"),
    ],
)
def test_spells_out_of_range_are_refused(change: dict[str, Any], argument: str) -> None:
    """Each limit names its argument."""
    with pytest.raises(OutOfRangeError, match=re.escape(f"{argument} is")):
        weather.drawn_spells(**SPELLS | change)


def test_a_share_out_of_range_is_refused() -> None:
    """A share is 0 to 1."""
    with pytest.raises(OutOfRangeError, match=re.escape("share is 1.1")):
        weather.ranked_spell(drawn=weather.drawn_spells(**SPELLS), days=5, share=1.1)
