"""How much sealant the job takes, from each joint to whole cartridges."""

from __future__ import annotations

import math

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, positive, within
from planner.errors import OutOfRangeError


def bead_area_mm2(*, width_mm: float, height_mm: float, shape: str) -> float:
    """Return the cross-section of a bead, which is also its volume in ml for each metre.

    Args:
        width_mm: Width, or diameter of a round bead [mm], more than 0.
        height_mm: Height [mm], more than 0; for a round or half-round bead it is not used.
        shape: ``round``, ``half_round``, ``triangle`` or ``flat``.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        π d²/4, π w²/8, w h / 2 and w h.

    References:
        .. [1] Geometry.
    """
    positive("width_mm", width_mm)
    positive("height_mm", height_mm)
    areas = {
        "round": math.pi / 4 * width_mm**2,
        "half_round": math.pi / 8 * width_mm**2,
        "triangle": width_mm * height_mm / 2,
        "flat": width_mm * height_mm,
    }
    if shape not in areas:
        raise OutOfRangeError("shape", shape, "one of " + ", ".join(areas))
    return areas[shape]


def bead_length_m(*, cartridge_ml: float, area_mm2: float) -> float:
    """Return how far a cartridge [ml] goes at a cross-section [mm²], both more than 0."""
    positive("cartridge_ml", cartridge_ml)
    positive("area_mm2", area_mm2)
    return cartridge_ml / area_mm2


class HoleSeal(Struct, frozen=True):
    """What fills and covers one bolt hole.

    Attributes:
        bolt_mm: Bolt diameter.
        hole_mm: Hole diameter.
        depth_mm: Thickness of the roof that is sealed around the shank.
        chamfer_mm: Width of the chamfer at the outer face.
        bed_area_mm2: Area of the foot or washer that is bedded.
        bed_mm: Thickness of the bed.
        edge_mm: Length of the edge that gets a fillet.
        fillet_mm: Leg of the fillet.
    """

    bolt_mm: float
    hole_mm: float
    depth_mm: float
    chamfer_mm: float
    bed_area_mm2: float
    bed_mm: float
    edge_mm: float
    fillet_mm: float


def hole_volume_ml(*, seal: HoleSeal) -> float:
    """Return the sealant at one bolted foot: ring round the shank, chamfer, bed and fillet.

    Args:
        seal: The hole; the hole is at least the bolt, everything else 0 or more [mm].

    Raises:
        OutOfRangeError: If a dimension is out of range.

    Notes:
        Ring π/4 (D² - d²) t; chamfer at 45° as a ring of triangular section c²/2 at its centroid
        D/2 + c/3; bed A t; fillet l f²/2. Squeeze-out is in the waste.

    References:
        .. [1] Geometry.
    """
    positive("bolt_mm", seal.bolt_mm)
    within("hole_mm", seal.hole_mm, seal.bolt_mm, seal.bolt_mm + 10)
    for name in ("depth_mm", "chamfer_mm", "bed_area_mm2", "bed_mm", "edge_mm", "fillet_mm"):
        not_negative(name, getattr(seal, name))
    ring = math.pi / 4 * (seal.hole_mm**2 - seal.bolt_mm**2) * seal.depth_mm
    centroid = seal.hole_mm / 2 + seal.chamfer_mm / 3
    chamfer = seal.chamfer_mm**2 / 2 * 2 * math.pi * centroid
    bed = seal.bed_area_mm2 * seal.bed_mm
    fillet = seal.edge_mm * seal.fillet_mm**2 / 2
    return (ring + chamfer + bed + fillet) / 1000


def box_volume_ml(
    *, length_mm: float, width_mm: float, flange_mm: float, bed_mm: float, fillet_mm: float
) -> float:
    """Return the sealant under and around the flange of a cable entry box.

    Args:
        length_mm: Outer length [mm], more than twice the flange.
        width_mm: Outer width [mm], more than twice the flange.
        flange_mm: Width of the flange that is bedded [mm], more than 0.
        bed_mm: Thickness of the bed [mm], more than 0.
        fillet_mm: Leg of the fillet round the edge [mm], 0 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("flange_mm", flange_mm)
    positive("bed_mm", bed_mm)
    not_negative("fillet_mm", fillet_mm)
    for name, size in (("length_mm", length_mm), ("width_mm", width_mm)):
        above_to(name, size, 2 * flange_mm, 2000)
    inner = (length_mm - 2 * flange_mm) * (width_mm - 2 * flange_mm)
    bed = (length_mm * width_mm - inner) * bed_mm
    return (bed + 2 * (length_mm + width_mm) * fillet_mm**2 / 2) / 1000


class Cartridges(Struct, frozen=True):
    """Sealant to buy: volume with waste [ml] and whole cartridges."""

    volume_ml: float
    count: int


def cartridges(*, volume_ml: float, cartridge_ml: float, waste_pct: float = 10.0) -> Cartridges:
    """Return how many cartridges a volume takes.

    Args:
        volume_ml: Volume in the joints [ml], 0 or more.
        cartridge_ml: Content of a cartridge [ml], more than 0.
        waste_pct: Left in nozzle and tube, squeezed out, tooled off [%], 0 to 200.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] 10 % waste: practice, read on a secondary page.
    """
    not_negative("volume_ml", volume_ml)
    positive("cartridge_ml", cartridge_ml)
    within("waste_pct", waste_pct, 0, 200)
    volume = volume_ml * (1 + waste_pct / 100)
    return Cartridges(volume, math.ceil(volume / cartridge_ml - 1e-9))
