"""Drawn weather against published statistics and against real series of days."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from statistics import fmean, stdev
from typing import Any

import pvlib
import pytest
from scipy import stats

from planner.engineering import derive_sunlight, sizing, sunlight, weather

DATA = Path(pvlib.__file__).parent / "data"
SPELLS: dict[str, Any] = {"spells": 200, "days": 60, "lag_1": 0.3, "seed": 20260101}
STATIONS = {
    "Greensboro": (36.1, -79.95, "723170TYA.CSV"),
    "Sand Point": (55.32, -160.52, "703165TY.csv"),
    "Miami": (25.8, -80.27, "12839.tm2"),
}


@cache
def daily(name: str) -> Any:
    """Return the station's daily sums [kWh/m²] by month and day."""
    path = DATA / STATIONS[name][2]
    if path.suffix == ".tm2":
        hourly = pvlib.iotools.read_tmy2(path)[0]["GHI"].astype(float)
    else:
        hourly = pvlib.iotools.read_tmy3(path, coerce_year=1990, map_variables=True)[0]["ghi"]
        hourly.index = hourly.index - timedelta(minutes=30)
    hours = hourly.index
    return hourly.astype(float).groupby([hours.month, hours.day]).sum() / 1000


@pytest.mark.parametrize("z", [-6.0, -2.5, -1.0, -0.1, 0.0, 0.3, 1.28, 3.0, 5.5])
def test_normal_share_agrees_with_scipy(z: float) -> None:
    """General-purpose library scipy, ``stats.norm.cdf``.

    Tolerance 1.5e-7: the error that Abramowitz and Stegun state for formula 26.2.19.
    """
    assert weather.normal_share_below(z) == pytest.approx(float(stats.norm.cdf(z)), abs=1.5e-7)


def test_drawn_ranks_are_uniform() -> None:
    """General-purpose library scipy, Kolmogorov-Smirnov distance from the uniform distribution.

    12 000 ranks that follow each other at 0.3 stand for about 6 500 free ones; 2 % is beyond the
    1.36/√6500 = 1.7 % that chance exceeds in one case of twenty.
    """
    drawn = weather.drawn_spells(**SPELLS)
    ranks = [(rank + 0.5) / weather.STEPS for spell in drawn for rank in spell]
    assert stats.kstest(ranks, "uniform").statistic < 0.02


def test_ranks_of_neighbouring_days_correlate_as_a_gaussian_copula_does() -> None:
    """Pearson 1907 (textbook): a normal pair has the rank correlation 6/π · arcsin(ρ/2).

    That is 0.288 for 0.3. Tolerance 0.03: three standard errors of 11 800 pairs.
    """
    pairs = [p for s in weather.drawn_spells(**SPELLS) for p in pairwise(s)]
    found = stats.spearmanr([a for a, _ in pairs], [b for _, b in pairs]).statistic
    assert found == pytest.approx(0.288, abs=0.03)


def test_neighbouring_days_correlate_as_in_typical_years() -> None:
    """TMY3 and TMY2 stations of general-purpose library pvlib 0.16.1, days within each month.

    Within a month the correlation of daily sums was 0.26 to 0.34. Our lag of 0.3 gives 0.28 in
    daily sums; tolerance 0.1 for the spread of twelve months of thirty days.
    """
    found = [
        month.reset_index(drop=True).autocorr(1)
        for name in STATIONS
        for _, month in daily(name).groupby(level=0)
    ]
    assert fmean(found) == pytest.approx(0.28, abs=0.10)


@pytest.mark.parametrize("name", list(STATIONS))
@pytest.mark.parametrize(("use", "median_rel", "nine_rel"), [(1.3, 0.10, 0.15), (2.0, 0.08, 0.10)])
def test_days_off_grid_agree_with_real_series_of_days(
    name: str, use: float, median_rel: float, nine_rel: float
) -> None:
    """Stations of pvlib 0.16.1: the same battery through the real days, from every day of a month.

    The battery holds three days of use, the use is 1.3 or 2 times the mean harvest, so the mean
    is right by construction and only spread and order of the days are judged. Means over twelve
    months. Tolerance: a typical year has one January; 31 starts in it are not 31 Januaries.
    """
    latitude, longitude, _ = STATIONS[name]
    table = sunlight.read_table(derive_sunlight.shipped_table().read_text(encoding="utf-8"))
    here = sunlight.sunlight_at(latitude_deg=latitude, longitude_deg=longitude, table=table)
    days, drawn = daily(name), weather.drawn_spells(**SPELLS)
    medians, nines = [], []
    for number, month in enumerate(here.months, 1):
        sums = days.loc[number].to_list()
        demand = sizing.Demand(3 * use * fmean(sums), use * fmean(sums), 0.5)
        real = sorted(
            sizing.days_until_empty(
                demand=demand, harvest_wh=[sums[(start + i) % len(sums)] for i in range(60)]
            )
            for start in range(len(sums))
        )
        ours = sizing.days_off_grid(
            month=sunlight.MonthSun(fmean(sums), month.spread),
            wh_per_kwh_m2=1.0,
            demand=demand,
            drawn=drawn,
        )
        medians.append((ours.median, real[len(real) // 2]))
        nines.append((ours.nine_in_ten, real[len(real) // 10]))
    for pairs, tolerance in ((medians, median_rel), (nines, nine_rel)):
        ours_mean, real_mean = fmean(a for a, _ in pairs), fmean(b for _, b in pairs)
        assert ours_mean == pytest.approx(real_mean, rel=tolerance)


@pytest.mark.parametrize("name", ["Greensboro", "Sand Point"])
def test_spread_of_days_agrees_with_typical_years(name: str) -> None:
    """Stations of pvlib 0.16.1: standard deviation of daily sums over their mean, year's average.

    Tolerance 15 %: one typical month against five Januaries over a cell of 300 km.
    """
    latitude, longitude, _ = STATIONS[name]
    table = sunlight.read_table(derive_sunlight.shipped_table().read_text(encoding="utf-8"))
    here = sunlight.sunlight_at(latitude_deg=latitude, longitude_deg=longitude, table=table)
    groups = daily(name).groupby(level=0)
    real = fmean((groups.std() / groups.mean()).to_list())
    sums = [weather.daily_sums(month) for month in here.months]
    assert fmean(stdev(s) / fmean(s) for s in sums) == pytest.approx(real, rel=0.15)
