"""Every way of holding the panel worked out for this job, one comparison row each."""

from __future__ import annotations

from msgspec import Struct

from planner.engineering import bonding
from planner.engineering.cure import CureTimes
from planner.engineering.feet import FeetResult
from planner.engineering.guards import not_negative, positive
from planner.engineering.mount_model import MountData, MountRow, PanelData, together
from planner.engineering.wind import GRAVITY_M_S2
from planner.errors import OutOfRangeError

__all__ = [
    "MountData", "MountRow", "PanelData", "Ribbons", "bolted_row", "bonded_row", "clamped_row",
    "face_ribbon_m", "together",
]

def _check_panel(panel: PanelData) -> None:
    """Refuse a panel whose size, mass or number is out of range."""
    for name in ("length_mm", "width_mm", "mass_kg"):
        positive(name, getattr(panel, name))
    not_negative("frame_mm", panel.frame_mm)
    if not panel.count >= 1:
        raise OutOfRangeError("count", panel.count, "1 or more")


def bolted_row(
    *,
    mount: MountData,
    panel: PanelData,
    result: FeetResult,
    cure: CureTimes,
    rail_m: float = 0.0,
) -> MountRow:
    """Return the row of brackets or rails that are bolted through the roof.

    Args:
        mount: The mount's data.
        panel: The panel.
        result: Feet and checks for one panel, from ``choose_feet``.
        cure: Times of a bedded joint.
        rail_m: Rail for each panel [m], 0 or more; 0 for brackets.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    _check_panel(panel)
    not_negative("rail_m", rail_m)
    feet = result.feet * panel.count
    weakest = result.governing
    return MountRow(
        id=mount.id,
        feet=feet,
        holes=feet,
        mass_kg=panel.count * (mount.base_kg + mount.rail_kg_m * rail_m) + feet * mount.foot_kg,
        gap_mm=mount.gap_mm,
        standing_mm=mount.gap_mm + panel.frame_mm,
        sealant_ml=feet * mount.foot_seal_ml,
        ribbon_m=0.0,
        drive_h=cure.drive_h,
        full_speed_h=cure.full_speed_h,
        utilisation=weakest.utilisation,
        governing=weakest.part,
        basis=weakest.basis,
        removable=mount.removable,
        second_retention=False,
    )


class Ribbons(Struct, frozen=True):
    """Adhesive of a bonded mount: metres for each panel, bead section, and squeezed width."""

    length_m: float
    bead_area_mm2: float
    width_mm: float


def bonded_row(
    *,
    mount: MountData,
    panel: PanelData,
    feet: int,
    ribbons: Ribbons,
    need: bonding.BondNeed,
    cure: CureTimes,
    top_speed_kmh: float,
    rail_m: float = 0.0,
) -> MountRow:
    """Return the row of corners, rails or a whole face held by adhesive alone.

    Args:
        mount: The mount's data.
        panel: The panel.
        feet: Corners and side mounts for each panel, 0 or more; 0 for rails and a whole face.
        ribbons: Ribbons that the mount has room for.
        need: Ribbon area that one panel needs.
        cure: Times of a joint that carries load.
        top_speed_kmh: Highest speed that the owner states [km/h], more than 0.
        rail_m: Rail for each panel [m], 0 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    _check_panel(panel)
    not_negative("feet", feet)
    not_negative("rail_m", rail_m)
    positive("bead_area_mm2", ribbons.bead_area_mm2)
    laid = bonding.ribbon_area_laid_cm2(length_m=ribbons.length_m, width_mm=ribbons.width_mm)
    each_kg = mount.base_kg + mount.rail_kg_m * rail_m + mount.foot_kg * feet
    return MountRow(
        id=mount.id,
        feet=feet * panel.count,
        holes=0,
        mass_kg=panel.count * each_kg,
        gap_mm=mount.gap_mm,
        standing_mm=mount.gap_mm + panel.frame_mm,
        sealant_ml=panel.count * ribbons.length_m * ribbons.bead_area_mm2,
        ribbon_m=panel.count * ribbons.length_m,
        drive_h=cure.drive_h,
        full_speed_h=cure.full_speed_h,
        utilisation=need.area_cm2 / laid,
        governing=f"adhesive ribbon, {need.governed_by}",
        basis="planning assumption; peel not proved",
        removable=mount.removable,
        second_retention=bonding.second_retention_needed(
            area_m2=panel.area_m2, top_speed_kmh=top_speed_kmh
        ),
    )


BARS_UPLIFT = "roof bars, uplift"
BARS_WEIGHT = "roof bars, weight"


def bars_use(
    *,
    carried_kg: float,
    uplift_n: float,
    bars_rated_kg: float,
    bars_uplift_kg: float | None,
    uplift_share: float,
) -> tuple[float, float]:
    """Return the share of their strength that roof bars are used to, pulled up and weighed down.

    Args:
        carried_kg: Panels and their clamps on all bars together [kg], 0 or more.
        uplift_n: Uplift on the same panels [N], 0 or more.
        bars_rated_kg: Rated load of all bars together [kg], more than 0.
        bars_uplift_kg: As for ``clamped_row``; so is ``uplift_share``.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        lifted = F / (g · held), carried = m / rating; held = the maker's word, or share · rating.

    References:
        As for ``clamped_row``.
    """
    not_negative("carried_kg", carried_kg)
    not_negative("uplift_n", uplift_n)
    positive("bars_rated_kg", bars_rated_kg)
    if not 0 < uplift_share <= 1:
        raise OutOfRangeError("uplift_share", uplift_share, "more than 0 to 1")
    held = uplift_share * bars_rated_kg if bars_uplift_kg is None else bars_uplift_kg
    positive("bars_uplift_kg", held)
    return uplift_n / GRAVITY_M_S2 / held, carried_kg / bars_rated_kg


def clamped_row(
    *,
    mount: MountData,
    panel: PanelData,
    clamps: int,
    uplift_n: float,
    bars_rated_kg: float | None,
    bars_uplift_kg: float | None,
    uplift_share: float,
) -> MountRow:
    """Return the row of clamps to rated roof bars that are already on the van.

    Args:
        mount: The mount's data.
        panel: The panel.
        clamps: Clamps for each panel, 4 or more.
        uplift_n: Uplift on one panel [N], 0 or more.
        bars_rated_kg: Rated load of all bars together [kg], more than 0; None if unknown.
        bars_uplift_kg: What their maker says they hold against being pulled up [kg], more than
            0; None if unknown.
        uplift_share: What of the rating is counted against uplift while that is unknown, more
            than 0 to 1.

    Returns:
        The row. The rating is for load that presses down, so it does not prove the uplift.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        used = the greater share of ``bars_use``.

    References:
        The share is a planning assumption. ISO 11154 (roof load carriers) tests the lifting force
        apart from the load that presses down (contents list of its draft part 2), so the printed
        rating does not prove it; no published uplift rating was found.
    """
    _check_panel(panel)
    not_negative("uplift_n", uplift_n)
    if not clamps >= 4:
        raise OutOfRangeError("clamps", clamps, "4 or more")
    mass = panel.count * (mount.base_kg + clamps * mount.foot_kg)
    used, part = None, "unknown rating of the bars"
    basis = f"maker's rating; {100 * uplift_share:.0f} % of it counted against uplift, assumed"
    if bars_rated_kg is not None:
        lifted, carried = bars_use(
            carried_kg=panel.count * panel.mass_kg + mass,
            uplift_n=panel.count * uplift_n,
            bars_rated_kg=bars_rated_kg,
            bars_uplift_kg=bars_uplift_kg,
            uplift_share=uplift_share,
        )
        used = max(carried, lifted)
        part = BARS_UPLIFT if lifted > carried else BARS_WEIGHT
    return MountRow(
        id=mount.id,
        feet=panel.count * clamps,
        holes=0,
        mass_kg=mass,
        gap_mm=mount.gap_mm,
        standing_mm=mount.gap_mm + panel.frame_mm,
        sealant_ml=0.0,
        ribbon_m=0.0,
        drive_h=0.0,
        full_speed_h=0.0,
        utilisation=used,
        governing=part,
        basis=basis if bars_uplift_kg is None else "maker's ratings",
        removable=mount.removable,
        second_retention=False,
    )


def face_ribbon_m(
    *, length_mm: float, width_mm: float, pitch_mm: float, edge_mm: float = 30.0
) -> float:
    """Return the ribbon laid under a whole face: parallel runs that leave air between them.

    Args:
        length_mm: Length of the panel, along the runs [mm], more than twice the edge.
        width_mm: Width of the panel [mm], more than twice the edge.
        pitch_mm: From one run to the next [mm], more than 0.
        edge_mm: Clear edge [mm], 0 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("pitch_mm", pitch_mm)
    not_negative("edge_mm", edge_mm)
    for name, size in (("length_mm", length_mm), ("width_mm", width_mm)):
        if not size > 2 * edge_mm:
            raise OutOfRangeError(name, size, f"more than {2 * edge_mm:g}")
    runs = int((width_mm - 2 * edge_mm) // pitch_mm) + 1
    return runs * (length_mm - 2 * edge_mm) / 1000
