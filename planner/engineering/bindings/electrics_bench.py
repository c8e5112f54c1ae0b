"""Facts about the bench test: what to read, where, and what a wrong reading means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from planner.engineering.bench_test import (
    Band,
    BenchReading,
    Label,
    Meter,
    Sky,
    array_reading,
    bench_reading,
    bench_table,
    meter_ranges,
)
from planner.engineering.bindings.electrics_array import (
    ARRAY,
    LABEL,
    chosen_strings,
    module_of,
    panel_labels,
)
from planner.engineering.bindings.electrics_ends import as_rows
from planner.engineering.datasheet import datasheet_faults
from planner.engineering.panel_in_light import DULLEST_W_M2, cell_temperature_c
from planner.engineering.solar_position import clear_sky_horizontal_w_m2, noon_height_deg
from planner.engineering.strings import ColdFactor, cold_voc_v
from planner.ledger import Binding, bind
from planner.rounding import down, up

Rows = Sequence[Mapping[str, Any]]
#: Cell temperatures of the columns: winter, a mild day, a warm day, midsummer.
CELLS_C = (10, 25, 40, 55)


def label_of(label: Mapping[str, Any], usual_voc_pct: float, isc_pct_per_c: float) -> Label:
    """Return what the bench test reads of a label; the usual coefficient where it gives none."""
    slope = label.get("voc_pct_per_c")
    return Label(
        voc_v=label["voc_v"],
        isc_a=label["isc_a"],
        imp_a=label["imp_a"],
        voc_pct_per_c=usual_voc_pct if slope is None else slope,
        isc_pct_per_c=isc_pct_per_c,
    )


def bench_rows(
    *, skies: Rows, usual_voc_pct: float, isc_pct_per_c: float, **label: Any
) -> list[dict[str, Any]]:
    """Return the table that the fitter reads beside the panel: a row for each sky."""
    table = bench_table(
        skies=tuple(Sky(row["words"], row["irradiance_w_m2"]) for row in skies),
        cells_c=CELLS_C,
        label=label_of(label, usual_voc_pct, isc_pct_per_c),
    )
    return [
        {"sky": row[0].sky, "light_w_m2": row[0].irradiance_w_m2}
        | {f"cells_at_{reading.cell_c:.0f}": _printed(reading) for reading in row}
        for row in table
    ]


def other_bench_rows(
    *, others: Rows | None, skies: Rows, usual_voc_pct: float, isc_pct_per_c: float
) -> list[dict[str, Any]]:
    """Return the same table for each further, unequal panel whose label can be right."""
    given: dict[str, Any] = {
        "skies": skies,
        "usual_voc_pct": usual_voc_pct,
        "isc_pct_per_c": isc_pct_per_c,
    }
    return [
        {"panel": other["name"]} | row
        for other in others or ()
        if not datasheet_faults(module=module_of(other))
        for row in bench_rows(**given, **other)
    ]


def _printed(reading: BenchReading) -> str:
    return f"{_said(reading.voc_v)} V, {_said(reading.isc_a)} A"


def _said(band: Band) -> str:
    """A band in words, never wider than it is; a narrow one needs more decimals."""
    tried = ((up(band.lowest, to), down(band.highest, to), to) for to in (1, 2, 3, 4))
    low, high, digits = next(one for one in tried if one[0] < one[1])
    return f"{low:.{digits}f} to {high:.{digits}f}"


def bench_day(
    *,
    latitude_deg: float | None,
    start: str | None,
    air_c: float,
    noct_c: float,
) -> dict[str, Any]:
    """Return the light on a flat panel at a clear noon of the first day, and how warm it makes it.

    Without a date or a place, and where a flat panel gets too little light to judge it, the panel
    is turned square to the sun: full light.
    """
    light, height = 1000.0, None
    words = "panel turned square to a clear sun"
    if latitude_deg is not None and start is not None:
        day = datetime.fromisoformat(start).timetuple().tm_yday
        height = noon_height_deg(latitude_deg=latitude_deg, day_of_year=day)
        flat = clear_sky_horizontal_w_m2(sun_height_deg=height)
        if flat >= DULLEST_W_M2:
            light, words = flat, "panel lying flat at a clear noon of the first day"
    cell_c = cell_temperature_c(air_c=air_c, irradiance_w_m2=light, noct_c=noct_c)
    return {"height": height, "light": light, "cell": cell_c, "from": words}


def bench_expected(
    *,
    light_w_m2: float,
    cell_c: float,
    usual_voc_pct: float,
    isc_pct_per_c: float,
    **label: Any,
) -> dict[str, float]:
    """Return the readings that pass in the estimated light of the day."""
    reading = bench_reading(
        sky=Sky("", light_w_m2),
        cell_c=cell_c,
        label=label_of(label, usual_voc_pct, isc_pct_per_c),
    )
    return {
        "voc_low_v": reading.voc_v.lowest,
        "voc_high_v": reading.voc_v.highest,
        "isc_low_a": reading.isc_a.lowest,
        "isc_high_a": reading.isc_a.highest,
    }


def stages(
    *,
    light_w_m2: float,
    cell_c: float,
    arrangement: str | None,
    battery_charge_v: float,
    array_vmp_v: float,
    array_hot_vmp_v: float,
    **given: Any,
) -> list[dict[str, Any]] | None:
    """Return what the meter should read on the bench, on the roof, and at the controller.

    Does not apply where the label of a further panel cannot be right.
    """
    labels = panel_labels(given)
    if any(datasheet_faults(module=module_of(label)) for label in labels):
        return None
    sky = Sky("", light_w_m2)
    readings = [
        bench_reading(
            sky=sky,
            cell_c=cell_c,
            label=label_of(label, given["usual_voc_pct"], given["isc_pct_per_c"]),
        )
        for label in labels
    ]
    strings = chosen_strings(arrangement, given)
    volts, amps = array_reading([[readings[p - 1] for p in string] for string in strings])
    one = readings[0]
    working = _working(given['controller_kind'], battery_charge_v, array_hot_vmp_v, array_vmp_v)
    same = "within 3 % of its bench reading in like light and warmth"
    return [
        _stage("on the bench, each panel", one.voc_v, one.isc_a, "the band of the day"),
        _stage("on the roof, each panel, before plugs are joined", one.voc_v, None, same),
        _stage("at the open isolator, panels joined", volts, amps, "plus on plus, minus on minus"),
        {
            "where": "at the controller, isolator closed, charging",
            "volts": working,
            "amps": "",
            "right": "volts fall from open circuit as current begins to flow",
        },
    ]


def _working(kind: str, battery_charge_v: float, hot_vmp_v: float, vmp_v: float) -> str:
    if kind == "pwm":
        return f"about the battery's, {battery_charge_v:.1f} V or a little more"
    return f"{down(hot_vmp_v, 1):.1f} to {1.1 * vmp_v:.1f} V"


def _stage(where: str, volts: Band, amps: Band | None, right: str) -> dict[str, Any]:
    return {
        "where": where,
        "volts": f"{_said(volts)} V",
        "amps": f"{_said(amps)} A" if amps else "",
        "right": right,
    }


def meter(
    *, coldest_c: float, cold_factors: Rows, others: Rows | None, **label: Any
) -> Meter:
    """Return the least ranges of the meter for one panel, whichever of the job it is."""
    table = tuple(ColdFactor(row["down_to_c"], row["factor"]) for row in cold_factors)
    panels = [module_of(one) for one in (label, *(others or ()))]
    return meter_ranges(
        cold_voc_v=max(
            cold_voc_v(module=panel, coldest_c=coldest_c, table=table) for panel in panels
        ),
        isc_a=max(panel.isc_a for panel in panels),
    )


_COEFFICIENTS = {
    "isc_pct_per_c": "panel.isc_pct_per_c",
    "usual_voc_pct": "limit.bench_voc_pct_per_c",
}
_DAY = {"light_w_m2": "bench.light_w_m2", "cell_c": "bench.cell_c"}

BINDINGS: tuple[Binding, ...] = (
    bind(bench_rows, "bench.rows", skies="table.sky_levels", **_COEFFICIENTS, **LABEL),
    bind(
        other_bench_rows,
        "bench.other_rows",
        others="panel.others?",
        skies="table.sky_levels",
        **_COEFFICIENTS,
    ),
    bind(
        bench_day,
        {
            "bench.sun_height_deg": "height",
            "bench.light_w_m2": "light",
            "bench.cell_c": "cell",
            "bench.light_from": "from",
        },
        latitude_deg="sun.latitude_deg?",
        start="job.start?",
        air_c="site.air_c",
        noct_c="limit.noct_c",
    ),
    bind(
        bench_expected,
        {
            f"bench.{field}": field
            for field in ("voc_low_v", "voc_high_v", "isc_low_a", "isc_high_a")
        },
        **_DAY,
        **_COEFFICIENTS,
        **LABEL,
    ),
    bind(
        stages,
        "bench.stages",
        arrangement="array.arrangement?",
        battery_charge_v="battery.charge_v",
        array_vmp_v="array.vmp_v",
        array_hot_vmp_v="array.hot_vmp_v",
        **_DAY,
        **_COEFFICIENTS,
        **ARRAY,
    ),
    bind(as_rows, "bench.wrong", rows="table.wrong_readings"),
    bind(
        meter,
        {"bench.meter_v": "volts_v", "bench.meter_a": "amps_a"},
        coldest_c="wiring.coldest_c",
        cold_factors="table.cold_factors",
        others="panel.others?",
        **LABEL,
    ),
)
