"""A panel's volts on the coldest morning and on the hottest roof, and the limit on them."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import positive, within
from planner.errors import OutOfRangeError

MANUAL_FACTOR = 1.25
# Operating volts fall faster with heat than open-circuit volts do; 1.2 x the open-circuit volts
# per degree stays on the low side for nine in ten modules of the database used in the tests.
HOT_VOLTS_FACTOR = 1.2


class Module(Struct, frozen=True):
    """One panel as its label states it, at standard test conditions.

    Attributes:
        voc_pct_per_c: Change of open-circuit volts [% per °C], negative; None if unknown.
        max_series_fuse_a: Largest fuse its maker allows.
    """

    rated_w: float
    voc_v: float
    vmp_v: float
    isc_a: float
    imp_a: float
    max_series_fuse_a: float
    voc_pct_per_c: float | None = None


class ColdFactor(Struct, frozen=True):
    """One band of the cold table: the factor holds down to and including ``down_to_c``."""

    down_to_c: float
    factor: float


class VoltageLimit(Struct, frozen=True):
    """The most that the array may ever reach, and whose limit it is."""

    limit_v: float
    governed_by: str


def cold_factor(
    *, coldest_c: float, voc_pct_per_c: float | None, table: Sequence[ColdFactor]
) -> float:
    """Return by what to multiply the label's open-circuit volts for the coldest morning.

    Args:
        coldest_c: Lowest daylight air temperature [°C], -60 to 25.
        voc_pct_per_c: Temperature coefficient [% per °C], -1 to 0; None if unknown.
        table: Bands of the published table, used when the coefficient is unknown.

    Returns:
        Factor, 1 or more.

    Raises:
        OutOfRangeError: If a number is out of range, or the table ends above the temperature.

    Notes:
        1 + β (T − 25); without β the band that holds T, and between two bands the colder one.
        Cells before sunrise are as cold as the air, so the air temperature is used.

    References:
        NEC 690.7(A)(1) and Table 690.7(A); IEC 62548 clause 7.2.
    """
    within("coldest_c", coldest_c, -60, 25)
    if voc_pct_per_c is not None:
        within("voc_pct_per_c", voc_pct_per_c, -1, 0)
        return 1 + voc_pct_per_c / 100 * (coldest_c - 25)
    if coldest_c == 25:
        return 1.0
    bands = sorted(table, key=lambda band: -band.down_to_c)
    for band in bands:
        if coldest_c >= band.down_to_c:
            return band.factor
    lowest = bands[-1].down_to_c if bands else 25
    raise OutOfRangeError(
        "coldest_c",
        coldest_c,
        f"{lowest:g} or more where the panel's temperature coefficient is unknown",
    )


def cold_voc_v(
    *,
    module: Module,
    coldest_c: float,
    table: Sequence[ColdFactor],
    manual_asks_125: bool = False,
) -> float:
    """Return one panel's open-circuit volts on the coldest bright morning.

    Args:
        module: The panel.
        coldest_c: Lowest daylight air temperature where the van is used or stored [°C], -60 to 25.
        table: Bands for a panel without a known coefficient.
        manual_asks_125: True only if this module's manual says to add a quarter.

    Returns:
        Volts.

    Raises:
        OutOfRangeError: As `cold_factor`, or if the label's volts are not more than 0.

    References:
        NEC 690.7(A). The 1.25 of some module manuals comes on top of it.
    """
    positive("voc_v", module.voc_v)
    factor = cold_factor(coldest_c=coldest_c, voc_pct_per_c=module.voc_pct_per_c, table=table)
    return module.voc_v * factor * (MANUAL_FACTOR if manual_asks_125 else 1.0)


def voltage_limit(
    *, controller_max_pv_v: float, battery_v: float, stated_difference_v: float | None
) -> VoltageLimit:
    """Return the smaller of the controller's two limits on array volts.

    Args:
        controller_max_pv_v: Absolute maximum at the panel terminals [V], more than 0.
        battery_v: Lowest battery volts in use [V], more than 0.
        stated_difference_v: Most that the maker lets the array stand above the battery [V];
            None where none is stated.

    Returns:
        The limit and which of the two it is.

    Raises:
        OutOfRangeError: If a number is not more than 0.

    References:
        Controller manuals; common practice, no source.
    """
    positive("controller_max_pv_v", controller_max_pv_v)
    positive("battery_v", battery_v)
    absolute = VoltageLimit(controller_max_pv_v, "the controller's absolute limit")
    if stated_difference_v is None:
        return absolute
    positive("stated_difference_v", stated_difference_v)
    above = VoltageLimit(battery_v + stated_difference_v, "battery volts + stated difference")
    return min(absolute, above, key=lambda limit: limit.limit_v)


def hot_vmp_v(*, module: Module, cell_c: float) -> float:
    """Return one panel's operating volts with hot cells.

    Args:
        module: The panel; without a coefficient -0.37 % per °C is used, the steepest of the source.
        cell_c: Cell temperature [°C], 25 to 100.

    Returns:
        Volts, on the low side.

    Raises:
        OutOfRangeError: If the temperature is out of range or a voltage not more than 0.

    Notes:
        Vmp + 1.2 · β · Voc · (Tc − 25).

    References:
        Coefficients of small modules: EPJ Photovoltaics 2018, pv180007, Table 2. The 1.2 is ours,
        checked in the tests against general-purpose library pvlib.
    """
    within("cell_c", cell_c, 25, 100)
    positive("voc_v", module.voc_v)
    positive("vmp_v", module.vmp_v)
    slope_pct = -0.37 if module.voc_pct_per_c is None else module.voc_pct_per_c
    within("voc_pct_per_c", slope_pct, -1, 0)
    return module.vmp_v + HOT_VOLTS_FACTOR * slope_pct / 100 * module.voc_v * (cell_c - 25)
