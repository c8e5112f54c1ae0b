"""What each part of a bolted foot can bear: bolt, bracket, skin and core."""

from __future__ import annotations

import math

from planner.engineering.guards import above_to, not_negative, positive
from planner.errors import OutOfRangeError

MAX_BOLT_MM = 20.0


def stress_area_mm2(*, diameter_mm: float, pitch_mm: float) -> float:
    """Return the area of a metric thread that counts in tension.

    Args:
        diameter_mm: Nominal diameter [mm], above 0 to 20.
        pitch_mm: Pitch [mm], above 0 and less than half the diameter.

    Returns:
        Stress area [mm²].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        A = π/4 · (d - 0.9382 P)².

    References:
        .. [1] ISO 898-1:2013, clause 9.1.6.1.
    """
    above_to("diameter_mm", diameter_mm, 0, MAX_BOLT_MM)
    above_to("pitch_mm", pitch_mm, 0, diameter_mm / 2)
    return math.pi / 4 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def proof_load_n(*, area_mm2: float, proof_n_mm2: float) -> float:
    """Return the tension at which a bolt begins to stay longer.

    Args:
        area_mm2: Stress area [mm²], more than 0.
        proof_n_mm2: 0.2 % proof stress [N/mm²], more than 0: 450 for A2-70, 600 for A4-80.

    Returns:
        Tension [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = A · Rp0.2.

    References:
        .. [1] ISO 3506-1:2020, table of mechanical properties (read on a secondary page).
    """
    positive("area_mm2", area_mm2)
    positive("proof_n_mm2", proof_n_mm2)
    return area_mm2 * proof_n_mm2


def bolt_shear_n(*, area_mm2: float, tensile_n_mm2: float) -> float:
    """Return the sideways load at which a bolt breaks with its thread in the joint.

    Args:
        area_mm2: Stress area [mm²], more than 0.
        tensile_n_mm2: Tensile strength [N/mm²], more than 0: 700 for A2-70, 800 for A4-80.

    Returns:
        Shear load [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = 0.5 · A · Rm. The lower of the two factors in use (0.5 and 0.6), since stainless
        threads are cold worked.

    References:
        .. [1] EN 1993-1-8:2005, Table 3.4, factor for a thread in the shear plane (read on a
           secondary page).
    """
    positive("area_mm2", area_mm2)
    positive("tensile_n_mm2", tensile_n_mm2)
    return 0.5 * area_mm2 * tensile_n_mm2


def bracket_stress_n_mm2(
    *, load_n: float, arm_mm: float, width_mm: float, hole_mm: float, thickness_mm: float
) -> float:
    """Return the bending stress in the foot of a bracket, at the bolt.

    Args:
        load_n: Lift on the bracket [N], 0 or more.
        arm_mm: Distance from frame to bolt [mm], 0 or more.
        width_mm: Width of the bracket [mm], more than the hole.
        hole_mm: Bolt hole [mm], 0 or more; it is taken out of the width.
        thickness_mm: Thickness of the foot [mm], more than 0.

    Returns:
        Stress [N/mm²].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        σ = P e / ((b - d) t² / 6): the foot as a cantilever held by the bolt.

    References:
        .. [1] Elementary beam theory.
    """
    not_negative("load_n", load_n)
    not_negative("arm_mm", arm_mm)
    not_negative("hole_mm", hole_mm)
    positive("thickness_mm", thickness_mm)
    if not hole_mm < width_mm < math.inf:
        raise OutOfRangeError("width_mm", width_mm, f"more than the hole of {hole_mm:g} mm")
    return load_n * arm_mm / ((width_mm - hole_mm) * thickness_mm**2 / 6)


def pull_through_n(*, outline_mm: float, skin_mm: float, shear_n_mm2: float) -> float:
    """Return the tension at which a washer or plate punches through the skin.

    Args:
        outline_mm: Length of the edge that would shear [mm], more than 0: π D for a washer,
            twice length plus width for a plate.
        skin_mm: Thickness of the skin it bears on [mm], more than 0.
        shear_n_mm2: Shear strength of the skin [N/mm²], more than 0. For hand-laid laminate the
            interlaminar value, 17.25 at 30 % glass by mass.

    Returns:
        Tension [N]. An estimate: real laminates vary, so print it as untested.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = outline · t · τ.

    References:
        .. [1] ISO 12215-5:2008, Table C.4: τ = 22.5 - 17.5 ψ (from memory); for metal sheet
           EN 1993-1-8:2005, Table 3.4, punching: τ = 0.6 fu (read on a secondary page).
    """
    positive("outline_mm", outline_mm)
    positive("skin_mm", skin_mm)
    positive("shear_n_mm2", shear_n_mm2)
    return outline_mm * skin_mm * shear_n_mm2


def laminate_shear_n_mm2(*, glass_fraction: float) -> float:
    """Return the shear strength between the layers of chopped-strand laminate.

    Args:
        glass_fraction: Glass by mass [1], 0.2 to 0.5.

    Returns:
        Interlaminar shear strength [N/mm²].

    Raises:
        OutOfRangeError: If the fraction is out of range.

    Notes:
        τ = 22.5 - 17.5 ψ.

    References:
        .. [1] ISO 12215-5:2008, Table C.4 (from memory).
    """
    if not 0.2 <= glass_fraction <= 0.5:
        raise OutOfRangeError("glass_fraction", glass_fraction, "0.2 to 0.5")
    return 22.5 - 17.5 * glass_fraction


def bearing_n(*, diameter_mm: float, skin_mm: float, bearing_n_mm2: float) -> float:
    """Return the sideways load at which a bolt ploughs through the edge of its hole.

    Args:
        diameter_mm: Bolt diameter [mm], above 0 to 20.
        skin_mm: Thickness of the skin [mm], more than 0.
        bearing_n_mm2: Bearing strength of the skin [N/mm²], more than 0.

    Returns:
        Load [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = d t σ.

    References:
        .. [1] Elementary mechanics; EN 1993-1-8:2005, Table 3.4, has the same form.
    """
    above_to("diameter_mm", diameter_mm, 0, MAX_BOLT_MM)
    positive("skin_mm", skin_mm)
    positive("bearing_n_mm2", bearing_n_mm2)
    return diameter_mm * skin_mm * bearing_n_mm2


def core_load_n(*, area_mm2: float, crush_n_mm2: float) -> float:
    """Return the clamp or pull at which the core under a washer is crushed.

    Args:
        area_mm2: Area of the washer or plate on the core [mm²], more than 0.
        crush_n_mm2: Compressive strength of the core [N/mm²], more than 0.

    Returns:
        Load [N]. The skin spreads it further; that help is left out.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = A σ.

    References:
        .. [1] Elementary mechanics.
    """
    positive("area_mm2", area_mm2)
    positive("crush_n_mm2", crush_n_mm2)
    return area_mm2 * crush_n_mm2


def washer_outline_mm(*, diameter_mm: float) -> float:
    """Return the length of a washer's rim: diameter [mm], more than 0, to outline [mm]."""
    positive("diameter_mm", diameter_mm)
    return math.pi * diameter_mm


def washer_area_mm2(*, diameter_mm: float, hole_mm: float) -> float:
    """Return the bearing area of a washer.

    Args:
        diameter_mm: Outer diameter [mm], more than the hole.
        hole_mm: Hole [mm], 0 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    not_negative("hole_mm", hole_mm)
    if not hole_mm < diameter_mm < math.inf:
        raise OutOfRangeError("diameter_mm", diameter_mm, f"more than the hole of {hole_mm:g} mm")
    return math.pi / 4 * (diameter_mm**2 - hole_mm**2)
