"""Adhesive ribbons that hold a mount: area, length, thickness and movement with heat."""

from __future__ import annotations

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, positive, within

GUST_STRESS_N_MM2 = 0.05
PERMANENT_STRESS_N_MM2 = 0.02
"""Design stresses on the squeezed ribbon. Planning assumptions, far below lap-shear figures."""


class BondNeed(Struct, frozen=True):
    """Ribbon area that a bonded mount needs, and which load asks for it."""

    area_cm2: float
    governed_by: str


def ribbon_area_cm2(*, load_n: float, stress_n_mm2: float) -> float:
    """Return the squeezed area of adhesive that carries a load.

    Args:
        load_n: Load [N], 0 or more.
        stress_n_mm2: Design stress [N/mm²], above 0 to 1. Count ribbons, never the footprint.

    Returns:
        Area [cm²].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        A = F / σ. Peel is not covered: that is why an end stop or second retention is needed.

    References:
        .. [1] Planning assumption for the stress; no published value was found.
    """
    not_negative("load_n", load_n)
    above_to("stress_n_mm2", stress_n_mm2, 0, 1)
    return load_n / stress_n_mm2 / 100


def bond_need(
    *,
    gust_n: float,
    permanent_n: float,
    gust_stress_n_mm2: float = GUST_STRESS_N_MM2,
    permanent_stress_n_mm2: float = PERMANENT_STRESS_N_MM2,
) -> BondNeed:
    """Return the ribbon area that both the gust and the standing load are content with.

    Args:
        gust_n: Uplift and the hardest pull of braking or cornering, at once [N], 0 or more.
        permanent_n: Load that never goes away [N], 0 or more: the weight on a raised, tilted roof.
        gust_stress_n_mm2: Design stress for short loads [N/mm²], above 0 to 1.
        permanent_stress_n_mm2: Design stress for standing loads [N/mm²], above 0 to 1.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    gust = ribbon_area_cm2(load_n=gust_n, stress_n_mm2=gust_stress_n_mm2)
    standing = ribbon_area_cm2(load_n=permanent_n, stress_n_mm2=permanent_stress_n_mm2)
    return BondNeed(max(gust, standing), "gust" if gust >= standing else "standing load")


def squeezed_width_mm(
    *, bead_width_mm: float, bead_height_mm: float, thickness_mm: float
) -> float:
    """Return how wide a triangular bead becomes when pressed down to its spacers.

    Args:
        bead_width_mm: Width at the foot of the bead [mm], more than 0.
        bead_height_mm: Height of the bead [mm], more than the finished thickness.
        thickness_mm: Finished thickness [mm], above 0 to the bead height.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Same volume: w = (b h / 2) / t.

    References:
        .. [1] Geometry.
    """
    positive("bead_width_mm", bead_width_mm)
    positive("bead_height_mm", bead_height_mm)
    above_to("thickness_mm", thickness_mm, 0, bead_height_mm)
    return bead_width_mm * bead_height_mm / 2 / thickness_mm


def ribbon_length_m(*, area_cm2: float, width_mm: float) -> float:
    """Return the length of ribbon of a width [mm], more than 0, that makes up an area [cm²]."""
    not_negative("area_cm2", area_cm2)
    positive("width_mm", width_mm)
    return area_cm2 * 100 / width_mm / 1000


def ribbon_area_laid_cm2(*, length_m: float, width_mm: float) -> float:
    """Return the area of a ribbon of a length [m] and squeezed width [mm], both more than 0."""
    positive("length_m", length_m)
    positive("width_mm", width_mm)
    return length_m * 1000 * width_mm / 100


def heat_movement_mm(
    *, length_mm: float, first_cte_um_m_k: float, second_cte_um_m_k: float, warming_k: float
) -> float:
    """Return how far two bonded parts grow apart over their length.

    Args:
        length_mm: Length bonded [mm], more than 0.
        first_cte_um_m_k: Expansion of one part [µm/(m K)], 0 to 200.
        second_cte_um_m_k: Expansion of the other [µm/(m K)], 0 to 200.
        warming_k: Change of temperature [K], 0 to 120.

    Returns:
        Difference over the whole length [mm]; half of it shows at each end.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Δ = L · |α1 - α2| · ΔT, both parts at the same temperature.

    References:
        .. [1] Elementary physics; expansion figures from handbooks.
    """
    positive("length_mm", length_mm)
    within("first_cte_um_m_k", first_cte_um_m_k, 0, 200)
    within("second_cte_um_m_k", second_cte_um_m_k, 0, 200)
    within("warming_k", warming_k, 0, 120)
    return length_mm * abs(first_cte_um_m_k - second_cte_um_m_k) * 1e-6 * warming_k


def bond_thickness_mm(
    *, movement_mm: float, least_mm: float = 3.0, per_end_movement: float = 2.0
) -> float:
    """Return the finished thickness that lets the parts move without tearing the bond.

    Args:
        movement_mm: Movement over the whole length [mm], 0 or more.
        least_mm: Thickness below which no elastic bond is laid [mm], more than 0.
        per_end_movement: Thickness asked for each millimetre of movement at an end [1], 1 to 10.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        t = max(least, 2 · Δ/2).

    References:
        .. [1] Common practice: 2 to 3 mm for dissimilar parts, twice the movement at an end.
    """
    not_negative("movement_mm", movement_mm)
    positive("least_mm", least_mm)
    within("per_end_movement", per_end_movement, 1, 10)
    return max(least_mm, per_end_movement * movement_mm / 2)


def shear_strain_pct(*, movement_mm: float, thickness_mm: float) -> float:
    """Return how far the bond leans at its ends.

    Args:
        movement_mm: Movement over the whole length [mm], 0 or more.
        thickness_mm: Finished thickness [mm], more than 0.

    Returns:
        Shear strain at an end [%].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        γ = (Δ/2) / t.
    """
    not_negative("movement_mm", movement_mm)
    positive("thickness_mm", thickness_mm)
    return movement_mm / 2 / thickness_mm * 100


def second_retention_needed(*, area_m2: float, top_speed_kmh: float) -> bool:
    """Return whether a panel held by adhesive alone must also be held by something else.

    Args:
        area_m2: Panel area [m²], more than 0.
        top_speed_kmh: Highest speed that the owner states [km/h], more than 0.

    Returns:
        True from 0.7 m² or above 110 km/h; below that an end stop is enough.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] Common practice, no source.
    """
    positive("area_m2", area_m2)
    positive("top_speed_kmh", top_speed_kmh)
    return area_m2 >= 0.7 or top_speed_kmh > 110
