"""The energy pages: use, sunlight, harvest, days off grid, the battery by days, the candidates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from planner.pack import month_figures
from planner.pack.blocks import Block, Pair, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.parts import panels
from planner.pack.text import capital, figure, plain

Row = Mapping[str, Any]
#: Heading, fact of rows, column.
MONTHLY = (
    ("Sun [kWh/m² a day]", "sun.rows", "kwh_m2_day"),
    ("One day in five is duller than", "sun.rows", "fifth_kwh_m2_day"),
    ("Harvest [Wh a day]", "harvest.rows", "harvest_wh_day"),
    ("Use [Wh a day]", "harvest.rows", "use_wh_day"),
    ("Days without panel", "offgrid.rows", "days_without"),
    ("Days with, half of spells", "offgrid.rows", "days_with"),
    ("Days with, nine in ten", "offgrid.rows", "days_with_9in10"),
    ("Watts needed", "solar.rows", "needed_w"),
)
DAYS = ("offgrid.days_without", "offgrid.days_with", "offgrid.days_with_9in10")
#: From here on a tenth of a day says nothing.
WHOLE_DAYS = 10


def energy(facts: Facts) -> Sheet | None:
    """Return use, sunlight, harvest, days off grid and the candidate panels."""
    return Sheet.of(
        _use(facts),
        _sun(facts),
        Block("Battery by days", pairs=_days(facts), figures=month_figures.battery(facts)),
        panels.compared(facts),
    )


def days_off_grid(facts: Facts, name: str) -> str:
    """Return days off grid [d] in print: from ten whole days, at the horizon as "or more"."""
    text, value = facts.text(name), facts.number(name)
    horizon = facts.number("offgrid.horizon_days")
    if horizon and value >= horizon:
        return f"{figure(horizon)} d or more"
    return f"{int(value)} d" if text and value >= WHOLE_DAYS else text


def _days(facts: Facts) -> tuple[Pair, ...]:
    return tuple(
        replace(pair, text=days_off_grid(facts, name))
        for name in DAYS
        for pair in facts.pairs(name)
    )


def _use(facts: Facts) -> Block:
    why = facts.text("solar.why")
    return Block(
        "Is it worth it, and how many watts",
        pairs=facts.pairs(
            "use.reason", "use.daily_wh", "use.days_away", "battery.usable_wh", "solar.worth",
            "array.recommended_w", "array.watts", "array.size_against", "offgrid.met"),
        notes=(capital(why),) if why else (),
    )


def _sun(facts: Facts) -> Block:
    source = facts.text("sun.source")
    return Block(
        "Sunlight and harvest",
        pairs=(
            *facts.pairs("sun.year_kwh_m2", "harvest.worst_month", "harvest.worst_wh_day",
                         "shade.share_percent"),
            *_factors(facts),
        ),
        figures=month_figures.harvest(facts),
        tables=_months(facts),
        notes=(f"Sunlight: {source}.",) if source else (),
    )


def _factors(facts: Facts) -> tuple[Pair, ...]:
    """What is left of the rated power after each loss; what loses nothing is left out."""
    return tuple(
        Pair(f"Left after {plain(str(row['factor']))}", f"{figure(row['left_percent'])} %")
        for row in facts.rows("harvest.factors")
        if figure(row["left_percent"]) != "100"
    )


def _months(facts: Facts) -> tuple[Table, ...]:
    """The months of use side by side; the chart has the harvest of all twelve."""
    months = facts.rows("offgrid.rows") or facts.rows("sun.rows")
    columns = [(head, _by_month(facts.rows(name)), key) for head, name, key in MONTHLY
               if facts.rows(name)]
    if not months or not columns:
        return ()
    body = tuple(
        (plain(str(month["month"])),
         *(_cell(key, rows.get(month["number"], {}).get(key)) for _, rows, key in columns))
        for month in months
    )
    horizon = facts.text("offgrid.horizon_days")
    more = f" {horizon} means so many or more." if horizon else ""
    return (Table(f"Month by month.{more}", ("Month", *(head for head, _, _ in columns)), body),)


def _cell(key: str, value: Any) -> str:
    whole = key.startswith("days_") and value is not None and value >= WHOLE_DAYS
    return figure(int(value) if whole else value)


def _by_month(rows: Sequence[Row]) -> Mapping[Any, Row]:
    return {row.get("number"): row for row in rows}
