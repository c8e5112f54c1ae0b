"""Bind days off grid, recommended watts and the verdict on solar to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering import sizing, weather, worth
from planner.engineering.bindings.energy_harvest import months_of_use
from planner.ledger import Binding, bind
from planner.rounding import down

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
    reason: str,
    days_away: float,
    night_share_percent: float,
    months: Sequence[int],
    factors: Rows,
    limit_rows: Rows,
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
    left = {row["number"]: row["limit"] for row in limit_rows}
    brought = {m.number: lit * m.share_of_rated * left[m.number] for m in ordered}
    reached = {
        month.number: sizing.days_off_grid(
            month=month.sun, wh_per_kwh_m2=brought[month.number], demand=demand, drawn=drawn
        )
        for month in ordered
    }
    without = sizing.days_without_sun(usable_wh=usable_wh, use_wh_day=use_wh_day)
    darkest = ordered[0]
    wanted = worth.days_wanted(reason, days_away, drawn)
    met = [number for number, days in reached.items() if days.nine_in_ten >= wanted]
    return {
        "rows": [_row(m, without, reached[m.number]) for m in _by_number(ordered)],
        "without": without,
        "with": reached[darkest.number].median,
        "nine": reached[darkest.number].nine_in_ten,
        "horizon": days,
        "met": met_words(met, [month.number for month in ordered], wanted),
        "spells": sizing.battery_spells(
            month=darkest.sun,
            wh_per_kwh_m2=brought[darkest.number],
            demand=demand,
            drawn=drawn,
            days=SHOWN_DAYS,
        ),
    }


def met_words(met: Sequence[int], used: Sequence[int], wanted: float) -> str:
    """Say in which months of use these panels carry the days wanted, nine spells in ten."""
    missed = [number for number in used if number not in met]
    if not missed:
        return f"{wanted:g} days in every month of use"
    if not met:
        return f"{wanted:g} days in no month of use"
    return f"{wanted:g} days in {worth.month_words(met)}; not in {worth.month_words(missed)}"


def _by_number(months: Sequence[worth.MonthOfUse]) -> list[worth.MonthOfUse]:
    return sorted(months, key=lambda month: month.number)


def _row(month: worth.MonthOfUse, without: float, reached: sizing.DaysOffGrid) -> dict[str, Any]:
    return {
        "number": month.number,
        "month": month.name,
        "days_without": down(without, 1),
        "days_with": down(reached.median, 1),
        "days_with_9in10": down(reached.nine_in_ten, 1),
    }


_AIM = {
    "reason": "use.reason",
    "days_away": "use.days_away",
    "usable_wh": "battery.usable_wh",
    "use_wh_day": "use.daily_wh",
    "night_share_percent": "weather.night_share_percent",
    "months": "use.months",
    "factors": "harvest.monthly_factors",
    "sun_rows": "sun.rows",
    "spells": "weather.spells",
    "days": "weather.spell_days",
    "lag_1": "weather.lag_1",
    "most_w": "limit.solar_most_w",
}


def _aim(given: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "reason": given["reason"],
        "days_away": given["days_away"],
        "months": months_of_use(given["sun_rows"], given["factors"], given["months"]),
        "demand": sizing.Demand(
            given["usable_wh"], given["use_wh_day"], given["night_share_percent"] / 100
        ),
        "drawn": _drawn(spells=given["spells"], days=given["days"], lag_1=given["lag_1"]),
        "most_w": given["most_w"],
    }


def verdict(**given: Any) -> worth.Verdict:
    """Return whether solar pays for the aim and how many watts it takes, shade left out."""
    return worth.solar_verdict(**_aim(given))


def by_month(*, watts: float, **given: Any) -> list[dict[str, Any]] | None:
    """Return the fewest watts for the aim, month by month, beside those planned."""
    if given["use_wh_day"] == 0:
        return None
    aim = _aim(given)
    needed = worth.watts_by_month(**aim)
    return [
        {"number": month.number, "month": month.name, "planned_w": round(watts)}
        | _needed(needed[month.number], given["most_w"])
        for month in _by_number(aim["months"])
    ]


def _needed(watts: int | None, most_w: float) -> dict[str, Any]:
    if watts is None:
        return {"needed_w": None, "says": f"more than {most_w:g} W, which no van roof takes"}
    return {"needed_w": watts, "says": f"{watts} W" if watts else "no panel: the battery lasts"}


BINDINGS: tuple[Binding, ...] = (
    bind(
        off_grid,
        {
            "offgrid.rows": "rows",
            "offgrid.days_without": "without",
            "offgrid.days_with": "with",
            "offgrid.days_with_9in10": "nine",
            "offgrid.horizon_days": "horizon",
            "offgrid.met": "met",
            "offgrid.spells": "spells",
        },
        watts="array.watts",
        usable_wh="battery.usable_wh",
        use_wh_day="use.daily_wh",
        reason="use.reason",
        days_away="use.days_away",
        night_share_percent="weather.night_share_percent",
        months="use.months",
        factors="harvest.monthly_factors",
        limit_rows="harvest.limit_rows",
        sun_rows="sun.rows",
        shade_percent="shade.share_percent?",
        spells="weather.spells",
        days="weather.spell_days",
        lag_1="weather.lag_1",
    ),
    bind(
        verdict,
        {"solar.worth": "worth", "solar.why": "why", "array.recommended_w": "watts"},
        **_AIM,
    ),
    bind(by_month, "solar.rows", watts="array.watts", **_AIM),
    bind(
        worth.size_against,
        "array.size_against",
        watts="array.watts",
        recommended="array.recommended_w?",
    ),
)
