"""Month charts of a plan: sunlight, harvest against use, days off grid."""

from __future__ import annotations

from planner.pack.blocks import Figure
from planner.pack.drawings.charts import Series, month_chart
from planner.pack.facts import Facts
from planner.pack.illustrate import Figures, month_names, number


def sunlight(facts: Facts) -> Figures:
    """Return the sunlight of the place month by month."""
    rows = facts.rows("sun.rows")
    if not rows:
        return ()
    svg = month_chart(
        id_="sunlight",
        title="Sunlight on a flat roof, mean day",
        unit="kWh/m²",
        categories=month_names(rows),
        series=[
            Series("mean day", "tint", [number(r, "kwh_m2_day") for r in rows]),
            Series("one day in five is duller than", "hatch",
                   [number(r, "fifth_kwh_m2_day") for r in rows]),
        ],
    )
    return (Figure(svg, "Sunlight on the flat roof through the year."),)


def harvest(facts: Facts) -> Figures:
    """Return the harvest against the daily use."""
    rows = facts.rows("harvest.rows")
    if not rows:
        return ()
    use = facts.number("use.daily_wh")
    svg = month_chart(
        id_="harvest",
        title="Harvest on a mean day against use",
        unit="Wh",
        categories=month_names(rows),
        series=[Series("harvest", "tint", [number(r, "harvest_wh_day") for r in rows])],
        level=(use, f"use a day, {use:.0f} Wh") if use > 0 else None,
    )
    return (Figure(svg, "What the panel brings on a mean day of each month, losses taken off."),)


def off_grid(facts: Facts) -> Figures:
    """Return the days off grid for the months of use."""
    rows = facts.rows("offgrid.rows")
    if not rows:
        return ()
    away = facts.number("use.days_away")
    columns = (
        ("without panel", "white", "days_without"),
        ("with panel, half of all spells", "tint", "days_with"),
        ("with panel, nine spells in ten", "hatch", "days_with_9in10"),
    )
    svg = month_chart(
        id_="off-grid",
        title="Days off grid from a full battery",
        unit="days",
        categories=month_names(rows),
        series=[Series(name, fill, [number(r, key) for r in rows]) for name, fill, key in columns],
        level=(away, f"days away, {away:.0f}") if away > 0 else None,
    )
    horizon = facts.text("offgrid.horizon_days")
    more = f" A bar of {horizon} means so many or more." if horizon else ""
    return (Figure(svg, f"Days before the battery is empty, starting full.{more}"),)
