"""What a sound panel reads on the bench, for the light and the cell temperature of the day."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import above_to, positive
from planner.engineering.panel_in_light import expected_isc_a, expected_voc_v
from planner.errors import OutOfRangeError

VOC_BAND_PERCENT = 5.0
ISC_BAND_PERCENT = 10.0
METER_HEADROOM = 1.25

class Band(Struct, frozen=True):
    """An expected reading with the lowest and highest that pass."""

    expected: float
    lowest: float
    highest: float


_BAND_FIELDS = ("expected", "lowest", "highest")


class Label(Struct, frozen=True):
    """What of a panel's label the bench test reads.

    Attributes:
        voc_pct_per_c: Temperature coefficient of the volts [% per °C].
        isc_pct_per_c: Temperature coefficient of the current [% per °C].
    """

    voc_v: float
    isc_a: float
    imp_a: float
    voc_pct_per_c: float
    isc_pct_per_c: float


class BenchReading(Struct, frozen=True):
    """What to expect at one light and one cell temperature."""

    sky: str
    irradiance_w_m2: float
    cell_c: float
    voc_v: Band
    isc_a: Band


class Meter(Struct, frozen=True):
    """The least ranges of the meter for the bench test."""

    volts_v: float
    amps_a: float


class Sky(Struct, frozen=True):
    """A level of light in words and in numbers, for a fitter without a light meter."""

    words: str
    irradiance_w_m2: float


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


def bench_reading(*, sky: Sky, cell_c: float, label: Label) -> BenchReading:
    """Return both bands at one light and one cell temperature.

    Args:
        sky: The light.
        cell_c: Cell temperature [°C].
        label: What the panel's label says.

    Raises:
        OutOfRangeError: As `expected_voc_v` and `expected_isc_a`.
    """
    positive("isc_a", label.isc_a)
    volts = expected_voc_v(
        voc_v=label.voc_v,
        voc_pct_per_c=label.voc_pct_per_c,
        current_share=label.imp_a / label.isc_a,
        irradiance_w_m2=sky.irradiance_w_m2,
        cell_c=cell_c,
    )
    amps = expected_isc_a(
        isc_a=label.isc_a,
        isc_pct_per_c=label.isc_pct_per_c,
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
    *, skies: Sequence[Sky], cells_c: Sequence[float], label: Label
) -> tuple[tuple[BenchReading, ...], ...]:
    """Return the table that the fitter reads at the van: a row a sky, a column a temperature.

    Args:
        skies: Levels of light, brightest first as printed.
        cells_c: Cell temperatures of the columns [°C].
        label: What the panel's label says.

    Raises:
        OutOfRangeError: As `expected_voc_v` and `expected_isc_a`.
    """
    return tuple(
        tuple(bench_reading(sky=sky, cell_c=cell_c, label=label) for cell_c in cells_c)
        for sky in skies
    )


def array_reading(strings: Sequence[Sequence[BenchReading]]) -> tuple[Band, Band]:
    """Return volts and amps of sound panels joined: a sequence of panels for each string.

    Args:
        strings: The reading of each panel, string by string.

    Returns:
        Open-circuit volts, and short-circuit amps.

    Raises:
        OutOfRangeError: If there is no panel.

    Notes:
        Volts add in a string; strings side by side settle between their own volts. A string gives
        the amps of its weakest panel at least and of its strongest at most; strings add.

    References:
        Circuit laws.
    """
    if not strings or not all(strings):
        raise OutOfRangeError("strings", strings, "one panel or more in each string")
    volts = [_summed([panel.voc_v for panel in string]) for string in strings]
    amps = [_spanned([panel.isc_a for panel in string]) for string in strings]
    return _spanned(volts), _summed(amps)


def _summed(bands: Sequence[Band]) -> Band:
    return Band(*(sum(getattr(one, name) for one in bands) for name in _BAND_FIELDS))


def _spanned(bands: Sequence[Band]) -> Band:
    middle = sum(one.expected for one in bands) / len(bands)
    return Band(middle, min(one.lowest for one in bands), max(one.highest for one in bands))


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
