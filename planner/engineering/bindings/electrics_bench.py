"""Facts about the bench test, and faults of the panel's label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from planner.engineering.bench_test import (
    DULLEST_W_M2,
    BenchReading,
    Meter,
    Sky,
    bench_reading,
    bench_table,
    cell_temperature_c,
    meter_ranges,
)
from planner.engineering.bindings.electrics_array import module_of
from planner.engineering.datasheet import datasheet_faults
from planner.engineering.solar_position import clear_sky_horizontal_w_m2, noon_height_deg
from planner.engineering.strings import ColdFactor, cold_voc_v
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]
#: Cell temperatures of the columns: winter, a mild day, a warm day, midsummer.
CELLS_C = (10, 25, 40, 55)


def bench_rows(
    *,
    voc_v: float,
    isc_a: float,
    voc_pct_per_c: float | None,
    isc_pct_per_c: float,
    usual_voc_pct: float,
    skies: Rows,
) -> list[dict[str, Any]]:
    """Return the table that the fitter reads beside the panel: a row for each sky."""
    table = bench_table(
        skies=tuple(Sky(row["words"], row["irradiance_w_m2"]) for row in skies),
        cells_c=CELLS_C,
        voc_v=voc_v,
        isc_a=isc_a,
        voc_pct_per_c=usual_voc_pct if voc_pct_per_c is None else voc_pct_per_c,
        isc_pct_per_c=isc_pct_per_c,
    )
    return [
        {"sky": row[0].sky, "light_w_m2": row[0].irradiance_w_m2}
        | {f"cells_at_{reading.cell_c:.0f}": _printed(reading) for reading in row}
        for row in table
    ]


def _printed(reading: BenchReading) -> str:
    volts, amps = reading.voc_v, reading.isc_a
    return (
        f"{volts.lowest:.1f} to {volts.highest:.1f} V, {amps.lowest:.1f} to {amps.highest:.1f} A"
    )


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
    voc_v: float,
    isc_a: float,
    voc_pct_per_c: float | None,
    isc_pct_per_c: float,
    usual_voc_pct: float,
) -> dict[str, float]:
    """Return the readings that pass in the estimated light of the day."""
    reading = bench_reading(
        sky=Sky("", light_w_m2),
        cell_c=cell_c,
        voc_v=voc_v,
        isc_a=isc_a,
        voc_pct_per_c=usual_voc_pct if voc_pct_per_c is None else voc_pct_per_c,
        isc_pct_per_c=isc_pct_per_c,
    )
    return {
        "voc_low_v": reading.voc_v.lowest,
        "voc_high_v": reading.voc_v.highest,
        "isc_low_a": reading.isc_a.lowest,
        "isc_high_a": reading.isc_a.highest,
    }


def meter(*, coldest_c: float, cold_factors: Rows, **label: Any) -> Meter:
    """Return the least ranges of the meter for one panel."""
    panel = module_of(label)
    table = tuple(ColdFactor(row["down_to_c"], row["factor"]) for row in cold_factors)
    cold_v = cold_voc_v(module=panel, coldest_c=coldest_c, table=table)
    return meter_ranges(cold_voc_v=cold_v, isc_a=panel.isc_a)


def label_faults(
    *,
    isc_pct_per_c: float,
    length_mm: float | None,
    width_mm: float | None,
    panels: float,
    controller_kind: str,
    nominal_v: float,
    **label: Any,
) -> dict[str, Any]:
    """Return what cannot be right on the label, in words, and how much of it."""
    area_m2 = length_mm * width_mm / 1e6 if length_mm and width_mm else None
    faults = datasheet_faults(
        module=module_of(label),
        isc_pct_per_c=isc_pct_per_c,
        area_m2=area_m2,
        count=int(panels),
        controller_kind=controller_kind,
        battery_nominal_v=nominal_v,
    )
    return {
        "count": len(faults),
        "says": " ".join(message for _, message in faults),
        "rows": [{"answer": field, "fault": message} for field, message in faults],
    }


_COEFFICIENTS = {
    "voc_pct_per_c": "panel.voc_pct_per_c?",
    "isc_pct_per_c": "panel.isc_pct_per_c",
    "usual_voc_pct": "limit.bench_voc_pct_per_c",
}
_FIGURES = ("rated_w", "voc_v", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a")
_LABEL = {name: f"panel.{name}" for name in _FIGURES} | {"voc_pct_per_c": "panel.voc_pct_per_c?"}

BINDINGS: tuple[Binding, ...] = (
    bind(
        bench_rows,
        "bench.rows",
        voc_v="panel.voc_v",
        isc_a="panel.isc_a",
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
        light_w_m2="bench.light_w_m2",
        cell_c="bench.cell_c",
        voc_v="panel.voc_v",
        isc_a="panel.isc_a",
        **_COEFFICIENTS,
    ),
    bind(
        meter,
        {"bench.meter_v": "volts_v", "bench.meter_a": "amps_a"},
        coldest_c="wiring.coldest_c",
        cold_factors="table.cold_factors",
        **_LABEL,
    ),
    bind(
        label_faults,
        {"label.faults": "count", "label.says": "says", "label.rows": "rows"},
        isc_pct_per_c="panel.isc_pct_per_c",
        length_mm="panel.length_mm?",
        width_mm="panel.width_mm?",
        panels="panel.count",
        controller_kind="controller.kind",
        nominal_v="battery.nominal_v",
        **_LABEL,
    ),
)
