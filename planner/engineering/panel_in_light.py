"""Volts, amps and warmth of a sound panel in a given light, from its label."""

from __future__ import annotations

import math

from planner.engineering.guards import positive, within

# Share of the open-circuit volts that go with each natural-log step of light, at 25 °C.
LIGHT_COEFFICIENT = 0.048
# Slope of the volts in warm light, from the label's own: see `warm_slope_pct_per_c`.
SLOPE_FIXED_PCT, SLOPE_OF_LABEL, SLOPE_OF_KNEE_PCT = -0.47, 0.83, 0.42
# The log term was checked down to 300 W/m²; below that a reading proves little.
DULLEST_W_M2, BRIGHTEST_W_M2 = 300.0, 1200.0


def warm_slope_pct_per_c(*, voc_pct_per_c: float, current_share: float) -> float:
    """Return how the open-circuit volts of a sound panel fall with heat, from its label.

    Args:
        voc_pct_per_c: The label's temperature coefficient [% per °C], -1 to 0.
        current_share: The label's Imp/Isc, 0.5 to 1.

    Returns:
        Change [% per °C]; negative.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        −0.47 + 0.83 β + 0.42 Imp/Isc. A label whose Imp is far below its Isc tells of a soft knee,
        so of a diode whose volts fall faster with heat, and single-diode fits to labels fall about
        a tenth faster than the printed β. The line is 0.7 of a least-squares line through those
        fits and 0.3 of the printed β, which is what modules measured outdoors follow.

    References:
        The line is ours, from every second crystalline module of the CEC database shipped with
        general-purpose library pvlib 0.16; the other half checks it.
    """
    within("voc_pct_per_c", voc_pct_per_c, -1, 0)
    within("current_share", current_share, 0.5, 1)
    return SLOPE_FIXED_PCT + SLOPE_OF_LABEL * voc_pct_per_c + SLOPE_OF_KNEE_PCT * current_share


def expected_voc_v(
    *,
    voc_v: float,
    voc_pct_per_c: float,
    current_share: float,
    irradiance_w_m2: float,
    cell_c: float,
) -> float:
    """Return the open-circuit volts of a sound panel.

    Args:
        voc_v: Label value [V], more than 0.
        voc_pct_per_c: The label's temperature coefficient [% per °C], -1 to 0.
        current_share: The label's Imp/Isc, 0.5 to 1.
        irradiance_w_m2: Light in the plane of the panel [W/m²], 300 to 1200.
        cell_c: Cell temperature [°C], -20 to 90.

    Returns:
        Volts.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Voc · [1 + β' (Tc − 25)] + 0.048 · Voc · (Tc + 273.15)/298.15 · ln(G/1000), β' being
        `warm_slope_pct_per_c`. The light term is the diode's n·Ns·kT/q, which grows with absolute
        temperature, written as a share of Voc: 0.042 is its median over single-diode fits, 0.056
        over modules measured outdoors. Within 3 % from 300 to 1000 W/m² and 5 to 65 °C for 95.6 %
        of the single-diode fits and 97 % of the modules measured outdoors; with the printed β
        alone it was 89 and 97 %. This is for the bench: the coldest morning takes the printed β.

    References:
        IEC 60891:2021 procedure 2 for the form (from memory). The coefficients are ours, from the
        two module databases shipped with general-purpose library pvlib 0.16.
    """
    positive("voc_v", voc_v)
    within("irradiance_w_m2", irradiance_w_m2, DULLEST_W_M2, BRIGHTEST_W_M2)
    within("cell_c", cell_c, -20, 90)
    slope_pct = warm_slope_pct_per_c(voc_pct_per_c=voc_pct_per_c, current_share=current_share)
    thermal = (cell_c + 273.15) / 298.15
    light = LIGHT_COEFFICIENT * thermal * math.log(irradiance_w_m2 / 1000)
    return voc_v * (1 + slope_pct / 100 * (cell_c - 25) + light)


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
