"""Bind days off grid, recommended watts and the verdict on solar to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering import sizing, weather, worth
from planner.engineering.bindings.energy_harvest import months_of_use
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]

#: The battery is drawn over this many days.
SHOWN_DAYS = 14
#: The same weather for every job, so that two plans can be compared.
SEED = 20260101


def _drawn(*, spells: int, days: int, lag_1: float) -> tuple[weather.Spell, ...]:
    return weather.drawn_spells(spells=spells, days=days, lag_1=lag_1, seed=SEED)


def off_grid(
    *,
    watts: float,
    usable_wh: float,
    use_wh_day: float,
    night_share_percent: float,
    months: Sequence[int],
    factors: Rows,
    sun_rows: Rows,
    shade_percent: float | None,
    spells: int,
    days: int,
    lag_1: float,
) -> dict[str, Any] | None:
    """Return days off grid for every month of use; does not apply where nothing is used."""
    if use_wh_day == 0:
        return None
    demand = sizing.Demand(usable_wh, use_wh_day, night_share_percent / 100)
    drawn = _drawn(spells=spells, days=days, lag_1=lag_1)
    lit = watts * (1 - (shade_percent or 0) / 100)
    ordered = months_of_use(sun_rows, factors, months)
    reached = {
        month.number: sizing.days_off_grid(
            month=month.sun, wh_per_kwh_m2=lit * month.share_of_rated, demand=demand, drawn=drawn
        )
        for month in ordered
    }
    without = sizing.days_without_sun(usable_wh=usable_wh, use_wh_day=use_wh_day)
    darkest = ordered[0]
    return {
        "rows": [_row(m, without, reached[m.number]) for m in _by_number(ordered)],
        "without": without,
        "with": reached[darkest.number].median,
        "nine": reached[darkest.number].nine_in_ten,
        "horizon": days,
        "spells": sizing.battery_spells(
            month=darkest.sun,
            wh_per_kwh_m2=lit * darkest.share_of_rated,
            demand=demand,
            drawn=drawn,
            days=SHOWN_DAYS,
        ),
    }


def _by_number(months: Sequence[worth.MonthOfUse]) -> list[worth.MonthOfUse]:
    return sorted(months, key=lambda month: month.number)


def _row(month: worth.MonthOfUse, without: float, reached: sizing.DaysOffGrid) -> dict[str, Any]:
    return {
        "number": month.number,
        "month": month.name,
        "days_without": round(without, 1),
        "days_with": round(reached.median, 1),
        "days_with_9in10": round(reached.nine_in_ten, 1),
    }


def verdict(
    *,
    reason: str,
    days_away: float,
    usable_wh: float,
    use_wh_day: float,
    night_share_percent: float,
    months: Sequence[int],
    factors: Rows,
    sun_rows: Rows,
    spells: int,
    days: int,
    lag_1: float,
    most_w: float,
) -> worth.Verdict:
    """Return whether solar pays for the aim and how many watts it takes, shade left out."""
    return worth.solar_verdict(
        reason=reason,
        days_away=days_away,
        months=months_of_use(sun_rows, factors, months),
        demand=sizing.Demand(usable_wh, use_wh_day, night_share_percent / 100),
        drawn=_drawn(spells=spells, days=days, lag_1=lag_1),
        most_w=most_w,
    )


BINDINGS: tuple[Binding, ...] = (
    bind(
        off_grid,
        {
            "offgrid.rows": "rows",
            "offgrid.days_without": "without",
            "offgrid.days_with": "with",
            "offgrid.days_with_9in10": "nine",
            "offgrid.horizon_days": "horizon",
            "offgrid.spells": "spells",
        },
        watts="array.watts",
        usable_wh="battery.usable_wh",
        use_wh_day="use.daily_wh",
        night_share_percent="weather.night_share_percent",
        months="use.months",
        factors="harvest.monthly_factors",
        sun_rows="sun.rows",
        shade_percent="shade.share_percent?",
        spells="weather.spells",
        days="weather.spell_days",
        lag_1="weather.lag_1",
    ),
    bind(
        verdict,
        {"solar.worth": "worth", "solar.why": "why", "array.recommended_w": "watts"},
        reason="use.reason",
        days_away="use.days_away",
        usable_wh="battery.usable_wh",
        use_wh_day="use.daily_wh",
        night_share_percent="weather.night_share_percent",
        months="use.months",
        factors="harvest.monthly_factors",
        sun_rows="sun.rows",
        spells="weather.spells",
        days="weather.spell_days",
        lag_1="weather.lag_1",
        most_w="limit.solar_most_w",
    ),
    bind(
        worth.size_against,
        "array.size_against",
        watts="array.watts",
        recommended="array.recommended_w?",
    ),
)
