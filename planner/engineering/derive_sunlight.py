"""Derive the shipped table of sunlight, by hand: ``python -m planner.engineering.derive_sunlight``.

Not used at run time. Needs the extra ``derive``. Reads histograms of daily mean horizontal
irradiance (2011 to 2015, 3 degree land grid) out of the package gsee-climate-data, corrects their
bias, and writes ``rules/tables/sunlight.csv`` and the residuals beside this file.

Why a correction: MERRA-2 lets too much sun through the clouds of middle latitudes and too little
through those of the tropics. For every month the ratio of published to raw sunlight is fitted as

    ratio = b0 + b1 k + b2 k² + b3 L/50 + b4 max(0, L − 54)/10 + b5 max(0, 1 − H/4)(k − 0.35)

where k is the raw clearness index (sunlight on the ground over sunlight above the air), L the
absolute latitude and H the sunlight above the air in kWh/m² a day: the last term is for winter,
when fog and low cloud over land are missed most. The terms were chosen among all places by leaving
out one region at a time, which tells how a formula serves a region that it has never seen; the
coefficients come from the places marked ``fit`` alone. The ratio is limited to 0.75 to 1.15, and
under clear skies to at most 0.95, where little cloud is left to be wrong about. Long-term means
weigh more than single typical years; the regions of one small country share a weight. Every third
place in the order of the identifiers, and every place with an annual figure only, is kept out of
the fit (column ``part`` of ``sunlight_references.csv``) and judges it.

Sources, as the package asks: Gelaro et al. 2017, The Modern-Era Retrospective Analysis for Research
and Applications, Version 2 (MERRA-2), Journal of Climate 30(14), 5419-5454, public domain;
Pfenninger and Staffell 2016, Long-term patterns of European PV output using 30 years of validated
hourly reanalysis and satellite data, Energy 114, 1251-1265.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from planner import paths
from planner.engineering import sunlight
from planner.engineering.daylight import extraterrestrial_mj_m2

Array = npt.NDArray[np.float64]

MID_MONTH_DAYS = (15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
REFERENCES = Path(__file__).with_name("sunlight_references.csv")
RESIDUALS = Path(__file__).with_name("sunlight_residuals.csv")
#: Where the sun barely rises, clearness is noise: neither fitted nor corrected.
LEAST_FITTED_KWH_M2 = 0.7


def shipped_table() -> Path:
    """Return where the table that ships lies."""
    return paths.shipped("rules") / "tables" / "sunlight.csv"


class Reference(Struct, frozen=True):
    """A published set of monthly means, or an annual mean, for one place [kWh/m² a day]."""

    place: str
    latitude_deg: float
    longitude_deg: float
    kind: str
    weight: float
    part: str
    months: tuple[float, ...]
    year: float


def references() -> list[Reference]:
    """Return the published values that the correction is fitted to or judged by."""
    with REFERENCES.open(encoding="utf-8", newline="") as file:
        return [_reference(row) for row in csv.DictReader(file)]


def _reference(row: Mapping[str, str]) -> Reference:
    months = tuple(float(row[month]) for month in MONTHS if row[month])
    year = float(row["year"]) if row["year"] else year_mean(months)
    place = row["place"], float(row["latitude_deg"]), float(row["longitude_deg"])
    return Reference(*place, row["kind"], float(row["weight"]), row["part"], months, year)


def year_mean(months: Sequence[float]) -> float:
    """Return the mean of a year's daily sums from its twelve monthly means."""
    return sum(m * d for m, d in zip(months, sunlight.DAYS_IN_MONTH, strict=True)) / 365


def above_air_kwh_m2(latitude_deg: float) -> Array:
    """Return the daily sunlight above the atmosphere in the middle of each month."""
    return np.array(
        [extraterrestrial_mj_m2(latitude_deg=latitude_deg, day_of_year=d) for d in MID_MONTH_DAYS]
    ) / 3.6


class RawCell(Struct, frozen=True):
    """Uncorrected means [kWh/m² a day] and spreads (share of the mean) of one cell."""

    means: Array
    spreads: Array


def raw_cells() -> dict[sunlight.Cell, RawCell]:
    """Return every cell with data, from the package."""
    import gsee_climate_data  # noqa: PLC0415  - the extra 'derive'; tests import this module without

    with gsee_climate_data.load() as data:
        values, weights = data["xk"].astype(float) * 0.024, np.nan_to_num(data["pk"]).astype(float)
        latitudes, longitudes = data["lat"], data["lon"]
    cells: dict[sunlight.Cell, RawCell] = {}
    for row, latitude in enumerate(latitudes):
        for column, longitude in enumerate(longitudes):
            if weights[row, column].any():
                cell = _raw_cell(np.nan_to_num(values[row, column]), weights[row, column])
                cells[int(latitude), int(longitude)] = cell
    return cells


def _raw_cell(values: Array, weights: Array) -> RawCell:
    means, spreads = np.zeros(12), np.ones((12, len(sunlight.RANKS)))
    for month in range(12):  # a month without a histogram is one in which the sun never rises
        total = weights[month].sum()
        if total > 0:
            daily, share = np.maximum(values[month], 0), weights[month] / total
            means[month] = max(float((values[month] * share).sum()), 0)
            middle = np.cumsum(share) - share / 2
            spreads[month] = np.interp(sunlight.RANKS, middle, daily) / max(means[month], 0.001)
    return RawCell(means, spreads)


def raw_means_at(place: Reference, cells: Mapping[sunlight.Cell, RawCell]) -> Array:
    """Return the uncorrected monthly means at a place, interpolated as at run time."""
    weights = sunlight.cell_weights(
        latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg, cells=cells
    )
    return np.array(sum(cells[cell].means * weight for cell, weight in weights.items()))


def terms(clearness: Array, above: Array, latitude_deg: float) -> Array:
    """Return the terms of the fitted ratio, one row a month."""
    one, level = np.ones_like(clearness), abs(latitude_deg)
    place = [one * level / 50, one * max(0.0, level - 54) / 10]
    winter = np.maximum(0, 1 - above / 4) * (clearness - 0.35)
    return np.stack([one, clearness, clearness**2, *place, winter], axis=-1)


def fitted(cells: Mapping[sunlight.Cell, RawCell], places: Sequence[Reference]) -> Array:
    """Return the six coefficients, by weighted least squares over all fitted months.

    A month weighs with the root of its sunlight: summer counts more, yet winter is not lost.
    """
    rows, targets = [], []
    for place in places:
        raw, above = raw_means_at(place, cells), above_air_kwh_m2(place.latitude_deg)
        sunny, published = above > LEAST_FITTED_KWH_M2, np.array(place.months)
        weight = np.sqrt(place.weight * np.sqrt(published[sunny]))
        row = terms(raw[sunny] / above[sunny], above[sunny], place.latitude_deg)
        rows.append(row * weight[:, None])
        targets.append(published[sunny] / raw[sunny] * weight)
    return np.array(np.linalg.lstsq(np.concatenate(rows), np.concatenate(targets), rcond=None)[0])


def ratio(raw: Array, latitude_deg: float, coefficients: Array) -> Array:
    """Return what the raw monthly means are multiplied by."""
    above = above_air_kwh_m2(latitude_deg)
    clearness = raw / np.maximum(above, 0.01)
    free = terms(clearness, above, latitude_deg) @ coefficients
    most = np.interp(clearness, (0.50, 0.65), (1.15, 0.95))
    return np.array(np.where(above > LEAST_FITTED_KWH_M2, np.clip(free, 0.75, most), 1.0))


def write_table(cells: Mapping[sunlight.Cell, RawCell], coefficients: Array) -> None:
    """Write the corrected table: means in 0.01 kWh/m², spreads in per cent of the mean."""
    ends = ("", *(f"_{100 * rank:.0f}" for rank in sunlight.RANKS))
    heads = [month + end for month in MONTHS for end in ends]
    usual = np.median([cell.spreads for cell in cells.values()], axis=(0, 1))
    lines = [",".join(["latitude", "longitude", *heads])]
    lines.append(",".join([sunlight.TYPED_KEY, "", *(f"{100 * share:.0f}" for share in usual)]))
    for (latitude, longitude), cell in sorted(cells.items()):
        means = cell.means * ratio(cell.means, latitude, coefficients)
        numbers = np.concatenate([100 * means[:, None], 100 * cell.spreads], axis=1).round()
        texts = (f"{number:.0f}" for number in numbers.ravel())
        lines.append(",".join([str(latitude), str(longitude), *texts]))
    shipped_table().write_text("\n".join(lines) + "\n", encoding="utf-8")


def residual_rows(table: sunlight.SunTable) -> Iterator[dict[str, Any]]:
    """Yield, for every reference, by how many per cent the shipped table differs from it."""
    for place in references():
        here = sunlight.sunlight_at(
            latitude_deg=place.latitude_deg, longitude_deg=place.longitude_deg, table=table
        )
        means = [month.mean_kwh_m2 for month in here.months]
        row = {"place": place.place, "kind": place.kind, "part": place.part}
        row["year"] = f"{100 * (here.year_kwh_m2 / 365 / place.year - 1):+.1f}"
        pairs = zip(MONTHS, means, place.months, strict=False)
        yield row | {month: f"{100 * (ours / theirs - 1):+.0f}" for month, ours, theirs in pairs}


def write_residuals() -> None:
    """Write the residuals of the table as it is shipped, and print them."""
    table = sunlight.read_table(shipped_table().read_text(encoding="utf-8"))
    with RESIDUALS.open("w", encoding="utf-8", newline="") as file:
        heads = ["place", "kind", "part", "year", *MONTHS]
        out = csv.DictWriter(file, heads, lineterminator="\n")
        out.writeheader()
        out.writerows(residual_rows(table))
    sys.stdout.write(RESIDUALS.read_text(encoding="utf-8"))


def main(arguments: Sequence[str]) -> None:
    """Derive the table anew, or with ``residuals`` only judge the one that is shipped."""
    if "residuals" not in arguments:
        cells = raw_cells()
        coefficients = fitted(cells, [place for place in references() if place.part == "fit"])
        sys.stdout.write(f"coefficients {coefficients.round(3).tolist()}\n")
        write_table(cells, coefficients)
    write_residuals()


if __name__ == "__main__":
    main(sys.argv[1:])
