"""What a sound panel reads on the bench, for the light and the cell temperature of the day."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.engineering.guards import above_to, positive, within

VOC_BAND_PERCENT = 5.0
ISC_BAND_PERCENT = 10.0
METER_HEADROOM = 1.25
# Share of the open-circuit volts that go with each natural-log step of light, at 25 °C.
LIGHT_COEFFICIENT = 0.05
# The log term was checked down to 300 W/m²; below that a reading proves little.
DULLEST_W_M2, BRIGHTEST_W_M2 = 300.0, 1200.0


@dataclass(frozen=True)
class Band:
    """An expected reading with the lowest and highest that pass."""

    expected: float
    lowest: float
    highest: float


@dataclass(frozen=True)
class BenchReading:
    """What to expect at one light and one cell temperature."""

    sky: str
    irradiance_w_m2: float
    cell_c: float
    voc_v: Band
    isc_a: Band


@dataclass(frozen=True)
class Meter:
    """The least ranges of the meter for the bench test."""

    volts_v: float
    amps_a: float


@dataclass(frozen=True)
class Sky:
    """A level of light in words and in numbers, for a fitter without a light meter."""

    words: str
    irradiance_w_m2: float


def expected_voc_v(
    *,
    voc_v: float,
    voc_pct_per_c: float,
    irradiance_w_m2: float,
    cell_c: float,
) -> float:
    """Return the open-circuit volts of a sound panel.

    Args:
        voc_v: Label value [V], more than 0.
        voc_pct_per_c: Temperature coefficient [% per °C], -1 to 0.
        irradiance_w_m2: Light in the plane of the panel [W/m²], 300 to 1200.
        cell_c: Cell temperature [°C], -20 to 90.

    Returns:
        Volts.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Voc · [1 + β (Tc − 25)] + 0.05 · Voc · (Tc + 273.15)/298.15 · ln(G/1000).
        The light term is the diode's n·Ns·kT/q, which grows with absolute temperature, written
        as a share of Voc: 0.042 is its median over single-diode fits, 0.056 over modules measured
        outdoors, and 0.05 lies between. With a coefficient β measured on the module it keeps both
        families within 3 %. With the label's own β the single-diode fits agree within 3 % for 89 %
        of modules (99 % up to 45 °C) and within 5 % for 98.8 %: the fits shift β, and show it at
        65 °C whatever the light. The common 0.06 without growth reaches 37 % there.

    References:
        IEC 60891:2021 procedure 2 for the form (from memory). The coefficient is ours, half-way
        between the two module databases shipped with general-purpose library pvlib 0.16.
    """
    positive("voc_v", voc_v)
    within("voc_pct_per_c", voc_pct_per_c, -1, 0)
    within("irradiance_w_m2", irradiance_w_m2, DULLEST_W_M2, BRIGHTEST_W_M2)
    within("cell_c", cell_c, -20, 90)
    warm = 1 + voc_pct_per_c / 100 * (cell_c - 25)
    thermal = (cell_c + 273.15) / 298.15
    return voc_v * (warm + LIGHT_COEFFICIENT * thermal * math.log(irradiance_w_m2 / 1000))


def expected_isc_a(
    *, isc_a: float, isc_pct_per_c: float, irradiance_w_m2: float, cell_c: float
) -> float:
    """Return the short-circuit current of a sound panel.

    Args:
        isc_a: Label value [A], more than 0.
        isc_pct_per_c: Temperature coefficient [% per °C], -0.2 to 0.6.
        irradiance_w_m2: Light in the plane of the panel [W/m²], 300 to 1200.
        cell_c: Cell temperature [°C], -20 to 90.

    Returns:
        Amps.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Isc · G/1000 · [1 + α (Tc − 25)].

    References:
        IEC 60891:2021 (from memory).
    """
    positive("isc_a", isc_a)
    within("isc_pct_per_c", isc_pct_per_c, -0.2, 0.6)
    within("irradiance_w_m2", irradiance_w_m2, DULLEST_W_M2, BRIGHTEST_W_M2)
    within("cell_c", cell_c, -20, 90)
    return isc_a * irradiance_w_m2 / 1000 * (1 + isc_pct_per_c / 100 * (cell_c - 25))


def band(*, expected: float, percent: float) -> Band:
    """Return the readings that pass: the expected one, more or less so many percent.

    Args:
        expected: Expected reading, more than 0.
        percent: Width to either side, more than 0 and at most 50.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        IEC 62446-1 clauses 6.4 and 6.5 accept 5 % (from memory); 10 % for the current is common
        practice, since light is hard to read more closely.
    """
    positive("expected", expected)
    above_to("percent", percent, 0, 50)
    return Band(expected, expected * (1 - percent / 100), expected * (1 + percent / 100))


def bench_reading(
    *,
    sky: Sky,
    cell_c: float,
    voc_v: float,
    isc_a: float,
    voc_pct_per_c: float,
    isc_pct_per_c: float,
) -> BenchReading:
    """Return both bands at one light and one cell temperature; arguments as the two above."""
    volts = expected_voc_v(
        voc_v=voc_v,
        voc_pct_per_c=voc_pct_per_c,
        irradiance_w_m2=sky.irradiance_w_m2,
        cell_c=cell_c,
    )
    amps = expected_isc_a(
        isc_a=isc_a,
        isc_pct_per_c=isc_pct_per_c,
        irradiance_w_m2=sky.irradiance_w_m2,
        cell_c=cell_c,
    )
    return BenchReading(
        sky=sky.words,
        irradiance_w_m2=sky.irradiance_w_m2,
        cell_c=cell_c,
        voc_v=band(expected=volts, percent=VOC_BAND_PERCENT),
        isc_a=band(expected=amps, percent=ISC_BAND_PERCENT),
    )


def bench_table(
    *,
    skies: Sequence[Sky],
    cells_c: Sequence[float],
    voc_v: float,
    isc_a: float,
    voc_pct_per_c: float,
    isc_pct_per_c: float,
) -> tuple[tuple[BenchReading, ...], ...]:
    """Return the table that the fitter reads at the van: a row a sky, a column a temperature.

    Args:
        skies: Levels of light, brightest first as printed.
        cells_c: Cell temperatures of the columns [°C].
        voc_v: Label value [V].
        isc_a: Label value [A].
        voc_pct_per_c: Temperature coefficient of the volts [% per °C].
        isc_pct_per_c: Temperature coefficient of the current [% per °C].

    Raises:
        OutOfRangeError: As `expected_voc_v` and `expected_isc_a`.

    References:
        As `expected_voc_v` and `expected_isc_a`.
    """
    return tuple(
        tuple(
            bench_reading(
                sky=sky,
                cell_c=cell_c,
                voc_v=voc_v,
                isc_a=isc_a,
                voc_pct_per_c=voc_pct_per_c,
                isc_pct_per_c=isc_pct_per_c,
            )
            for cell_c in cells_c
        )
        for sky in skies
    )


def meter_ranges(*, cold_voc_v: float, isc_a: float) -> Meter:
    """Return the least ranges of the meter that reads one panel.

    Args:
        cold_voc_v: The panel's open-circuit volts on the coldest morning [V], more than 0.
        isc_a: Label short-circuit current [A], more than 0.

    Raises:
        OutOfRangeError: If an argument is not more than 0.

    References:
        Common practice, no source: current range over 1.25 x Isc.
    """
    positive("cold_voc_v", cold_voc_v)
    positive("isc_a", isc_a)
    return Meter(cold_voc_v, METER_HEADROOM * isc_a)


def cell_temperature_c(*, air_c: float, irradiance_w_m2: float, noct_c: float) -> float:
    """Return the temperature of the cells once they have settled, by Ross.

    Args:
        air_c: Air temperature [°C], -45 to 60.
        irradiance_w_m2: Light in the plane of the panel [W/m²], 0 to 1200.
        noct_c: Nominal operating cell temperature of the label [°C], 33 to 58.

    Returns:
        Temperature [°C]. A panel just carried out is cooler for about ten minutes.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Tc = Ta + (NOCT − 20)/800 · G.

    References:
        Ross 1976, as in general-purpose library pvlib, temperature.ross.
    """
    within("air_c", air_c, -45, 60)
    within("irradiance_w_m2", irradiance_w_m2, 0, BRIGHTEST_W_M2)
    within("noct_c", noct_c, 33, 58)
    return air_c + (noct_c - 20) / 800 * irradiance_w_m2
