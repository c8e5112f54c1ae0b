"""What a cable loses and what it carries: volts, watts and amps from standard tables."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, positive, within
from planner.errors import OutOfRangeError

COPPER_PER_K = 0.00393
TABLE_INSULATION_C = 105.0
TABLE_AMBIENT_C = 30.0
#: American sizes as stranded wire is sold, thinnest first; 0 stands for 1/0, -1 for 2/0, and on.
SOLD_GAUGES = (18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3)


class Conductor(Struct, frozen=True):
    """One standard section: a row of the conductor table.

    Attributes:
        section_mm2: Nominal section.
        awg: The American size at or next below it, whose current rating is used; what to buy
            instead of the metric wire is `american_size_to_buy`.
        r20_ohm_per_km: Largest resistance at 20 °C, tinned class 5 copper.
        table_a: Current at 30 °C with 105 °C insulation, from the row of that American size.
    """

    section_mm2: float
    awg: str
    r20_ohm_per_km: float
    table_a: float


class BunchingFactor(Struct, frozen=True):
    """Share of the current allowed for up to so many loaded conductors side by side."""

    up_to: int
    factor: float


def american_area_mm2(*, gauge: int) -> float:
    """Return the copper area of an American wire size.

    Args:
        gauge: Number of the size, -3 to 36; 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0.

    Returns:
        Area [mm²], not rounded.

    Raises:
        OutOfRangeError: If the gauge is out of range.

    Notes:
        d = 0.127 mm · 92^((36 − n)/39), and the area of that circle. A stranded wire of the size
        has about the same copper.

    References:
        ASTM B258 (from memory).
    """
    within("gauge", gauge, -3, 36)
    diameter_mm = 0.127 * math.pow(92, (36 - gauge) / 39)
    return math.pi / 4 * diameter_mm**2


def american_size_to_buy(*, section_mm2: float) -> str:
    """Return the thinnest American size sold that is no thinner than a metric section.

    Args:
        section_mm2: Section that was chosen [mm²], more than 0 and at most 107 (4/0).

    Returns:
        The size as it is printed on the reel, such as ``10`` or ``1/0``.

    Raises:
        OutOfRangeError: If the section is out of range.

    Notes:
        Rounded up: a thinner wire would lose more volts and carry less than was checked.

    References:
        ASTM B258 for the areas (from memory); the sizes that are sold are common practice.

    Examples:
        >>> american_size_to_buy(section_mm2=4.0), american_size_to_buy(section_mm2=50.0)
        ('10', '1/0')
    """
    thickest_mm2 = american_area_mm2(gauge=SOLD_GAUGES[-1])
    above_to("section_mm2", section_mm2, 0, math.floor(thickest_mm2))
    gauge = next(size for size in SOLD_GAUGES if american_area_mm2(gauge=size) >= section_mm2)
    return str(gauge) if gauge > 0 else f"{1 - gauge}/0"


def wire_to_buy(*, section_mm2: float) -> str:
    r"""Return a section as it is bought, metric first and the American size beside it.

    Args:
        section_mm2: As `american_size_to_buy`.

    Examples:
        >>> wire_to_buy(section_mm2=6.0)
        '6\xa0mm² (AWG\xa08)'
    """
    american = american_size_to_buy(section_mm2=section_mm2)
    return f"{section_mm2:g}\u00a0mm² (AWG\u00a0{american})"


def resistance_ohm_per_km(*, r20_ohm_per_km: float, copper_c: float) -> float:
    """Return the resistance of one conductor at its working temperature.

    Args:
        r20_ohm_per_km: Resistance at 20 °C [Ω/km], from the table of the standard; more than 0.
        copper_c: Temperature of the copper, not of the air [°C], -40 to 120.

    Returns:
        Resistance [Ω/km].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        R(T) = R20 · [1 + 0.00393 (T − 20)].

    References:
        IEC 60228 class 5 for R20; IEC 60028 (1925) for 0.00393 per kelvin (from memory).
    """
    positive("r20_ohm_per_km", r20_ohm_per_km)
    within("copper_c", copper_c, -40, 120)
    return r20_ohm_per_km * (1 + COPPER_PER_K * (copper_c - 20))


def loop_drop_v(*, current_a: float, length_m: float, ohm_per_km: float) -> float:
    """Return the volts lost in a two-wire run, there and back.

    Args:
        current_a: Steady current [A], 0 or more.
        length_m: One-way length [m], more than 0 and at most 200; the return is added here.
        ohm_per_km: Resistance of one conductor, warmed [Ω/km], more than 0.

    Returns:
        Volts, not rounded.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        U = 2 · I · L · R. Joints and fuses are not counted.

    References:
        Ohm's law.

    Examples:
        >>> round(loop_drop_v(current_a=10.0, length_m=5.0, ohm_per_km=6.09), 3)
        0.609
    """
    not_negative("current_a", current_a)
    above_to("length_m", length_m, 0, 200)
    positive("ohm_per_km", ohm_per_km)
    return 2 * current_a * length_m * ohm_per_km / 1000


def accepted_drop_v(*, measured_a: float, length_m: float, ohm_per_km: float) -> float:
    """Return the largest drop to accept when the run is tested at a measured current.

    Args:
        measured_a: Current read during the test [A], 0 or more.
        length_m: One-way length [m], more than 0 and at most 200.
        ohm_per_km: Resistance of one conductor, warmed [Ω/km], more than 0.

    Returns:
        Volts: the calculated drop and 0.05 V for joints and meter.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        The 0.05 V is common practice, no source.
    """
    return loop_drop_v(current_a=measured_a, length_m=length_m, ohm_per_km=ohm_per_km) + 0.05


def capacity_a(
    *, table_a: float, insulation_c: float, ambient_c: float, bunching: float = 1.0
) -> float:
    """Return the current that a cable carries without end, where it runs.

    Args:
        table_a: Current at 30 °C air with 105 °C insulation [A], more than 0.
        insulation_c: Temperature its insulation stands [°C], 60 to 105.
        ambient_c: Hottest air around it [°C], -40 to just below ``insulation_c``.
        bunching: Factor for loaded conductors side by side, more than 0 and at most 1.

    Returns:
        Current [A].

    Raises:
        OutOfRangeError: If an argument is out of range; air as hot as the insulation is refused.

    Notes:
        Heat made goes with I², heat shed with the rise: I = I_table · sqrt((Tmax − Ta) / 75) · k.
        For 105 °C insulation this is the usual sqrt((Tmax − Ta)/(Tmax − 30)); a cooler insulation
        starts lower from the same table. Air below 30 °C earns no more than 30 °C does.

    References:
        ABYC E-11 / 33 CFR 183.425 for the table (as restated on secondary pages); the form agrees
        with Canadian Electrical Code Table 5A (0.77 for 105 °C insulation at 60 °C).
    """
    positive("table_a", table_a)
    within("insulation_c", insulation_c, 60, 105)
    above_to("bunching", bunching, 0, 1)
    if not -40 <= ambient_c < insulation_c:
        raise OutOfRangeError("ambient_c", ambient_c, f"-40 to just below {insulation_c:g}")
    air_c = max(ambient_c, TABLE_AMBIENT_C)
    rise = (insulation_c - air_c) / (TABLE_INSULATION_C - TABLE_AMBIENT_C)
    return table_a * math.sqrt(rise) * bunching


def bunching_factor(*, loaded_conductors: int, table: Sequence[BunchingFactor]) -> float:
    """Return the factor for so many loaded conductors side by side.

    Args:
        loaded_conductors: 1 or more.
        table: Rows of the published table, any order.

    Returns:
        The factor of the first row that covers the number.

    Raises:
        OutOfRangeError: If the number is below 1 or beyond the table.

    References:
        ABYC E-11, as restated on a secondary page.
    """
    for row in sorted(table, key=lambda row: row.up_to):
        if 1 <= loaded_conductors <= row.up_to:
            return row.factor
    most = max((row.up_to for row in table), default=0)
    raise OutOfRangeError("loaded_conductors", loaded_conductors, f"1 to {most}")
