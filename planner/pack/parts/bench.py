"""What the meter should read, from the bench to the controller, and what a wrong reading means."""

from __future__ import annotations

from msgspec.structs import replace

from planner.pack.blocks import Table
from planner.pack.facts import Facts

NAMES = {"sky": "Light", "light_w_m2": "W/m²", "cells_at_10": "Cells at 10 °C",
         "cells_at_25": "25 °C", "cells_at_40": "40 °C", "cells_at_55": "55 °C"}  # fmt: skip
HARD_SPACE = "\u00a0"


def tables(facts: Facts) -> tuple[Table, ...]:
    """Return the bands of the bench test, the readings of each stage, and the wrong ones."""
    bands = (
        *facts.table("bench.rows", "Expected on the bench, by light and temperature of the cells",
                     names=NAMES),
        *facts.table("bench.other_rows", "The further panels on the bench", names=NAMES),
    )
    stages = facts.table(
        "bench.stages", "From the bench to the controller, in the light expected on the day",
        names={"amps": "Short-circuit amps", "right": "Right when"})
    return (
        *(_unbroken(table, _cells(table)) for table in bands),
        *(_unbroken(table, range(1, 3)) for table in stages),
        *facts.table("bench.wrong", "What a wrong reading means", names={
            "reading": "Reading", "means": "What it means", "do": "What to do"}),
    )


def _cells(table: Table) -> range:
    return range(table.head.index(NAMES["cells_at_10"]), len(table.head))


def _unbroken(table: Table, columns: range) -> Table:
    """Return the table with each band in these columns on one line."""
    rows = tuple(
        tuple(_whole(cell) if index in columns else cell for index, cell in enumerate(row))
        for row in table.rows
    )
    return replace(table, rows=rows)


def _whole(bands: str) -> str:
    return bands.replace(" ", HARD_SPACE).replace(f",{HARD_SPACE}", ", ")


def meter(facts: Facts) -> str:
    """Return which ranges the meter needs and what light the readings are for."""
    volts, amps = facts.text("bench.meter_v"), facts.text("bench.meter_a")
    if not (volts and amps):
        return ""
    joined = ""
    if facts.number("array.panels") > 1 and facts.has("array.cold_v", "isolator.amps_a"):
        joined = (f" for one panel; where all are joined, volts above {facts.text('array.cold_v')},"
                  f" amps above {facts.text('isolator.amps_a')}")
    said = (f"Meter on d.c.: volts on a range above {volts}, amps on one above {amps}{joined}. "
            "Amps in the meter's own socket or with a d.c. clamp. Cover the panel before a probe "
            "goes on or comes off; short it only through the meter.")
    light, warm = facts.text("bench.light_w_m2"), facts.text("bench.cell_c")
    if not (light and warm):
        return said
    how = facts.text("bench.light_from")
    return f"{said} Expected on the day: {light}, cells at {warm}, {how}."
