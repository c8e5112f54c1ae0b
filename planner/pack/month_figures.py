"""Charts of a plan: twelve months of harvest against use, and the battery day by day."""

from __future__ import annotations

from planner.pack.blocks import Figure
from planner.pack.drawings.charts import Line, Series, day_chart, month_chart
from planner.pack.facts import Facts
from planner.pack.illustrate import Figures, month_names, number


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


SPELLS = (("good spell", "solid", "good_wh"), ("middling spell", "long", "middling_wh"),
          ("bad spell", "short", "bad_wh"))  # fmt: skip


def battery(facts: Facts) -> Figures:
    """Return what the battery holds through a good, a middling and a bad spell of weather."""
    rows = facts.rows("offgrid.spells")
    if not rows:
        return ()
    month = facts.text("harvest.worst_month")
    svg = day_chart(
        id_="battery",
        title=f"Battery at dawn{f' in {month}' if month else ''}, full on day 0",
        unit="Wh that may be taken",
        days=[int(number(row, "day")) for row in rows],
        lines=[Line(name, kind, [number(r, key) for r in rows]) for name, kind, key in SPELLS],
    )
    return (Figure(svg, "Three spells of weather drawn from the same month: dull days come "
                   "together. At 0 the battery is as empty as it may get."),)
