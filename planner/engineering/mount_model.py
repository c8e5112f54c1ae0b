"""Mounts, panels and the comparison row that holds what a mount means for a job."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.errors import OutOfRangeError


class MountData(Struct, frozen=True):
    """What a kind of mount weighs and needs, from the table of mounts.

    Attributes:
        id: Name of the mount.
        base_kg: Mass for each panel that does not depend on feet or rails.
        foot_kg: Mass of each foot with its bolt, nut, washer and plate.
        rail_kg_m: Mass of each metre of rail.
        gap_mm: Clear height from roof to the underside of frame or panel.
        foot_seal_ml: Sealant under and around each foot or bolt.
        removable: Whether the panel comes off again without destroying the mount.
    """

    id: str
    base_kg: float
    foot_kg: float
    rail_kg_m: float
    gap_mm: float
    foot_seal_ml: float
    removable: bool


class PanelData(Struct, frozen=True):
    """The panel as every mount sees it, and how many there are."""

    length_mm: float
    width_mm: float
    frame_mm: float
    mass_kg: float
    count: int = 1

    @property
    def area_m2(self) -> float:
        """Area of one panel."""
        return self.length_mm * self.width_mm / 1e6

    def is_size(self, along_mm: float, across_mm: float) -> bool:
        """Whether a placed panel is of this size, either way round."""
        return sorted((along_mm, across_mm)) == sorted((self.length_mm, self.width_mm))


class MountRow(Struct, frozen=True):
    """One mount for this job, all panels together; utilisation is of one panel's weakest part.

    Attributes:
        id: Name of the mount.
        feet: Feet, corners or clamps in all.
        holes: Holes through the roof skin for holding, without the cable entry.
        mass_kg: Mass of the mounts.
        gap_mm: Clear height under the panel.
        standing_mm: Height of the panel's top face above the roof.
        sealant_ml: Sealant and adhesive, waste not counted.
        ribbon_m: Length of adhesive ribbon laid, 0 where bolts or clamps hold.
        drive_h: Hours of cure before driving.
        full_speed_h: Hours before full speed.
        utilisation: Share of the safe capacity in use; None where a rating is unknown.
        governing: The part that gives first.
        basis: Where its capacity comes from.
        removable: Whether the panel comes off again.
        second_retention: Whether something else must hold it too.
    """

    id: str
    feet: int
    holes: int
    mass_kg: float
    gap_mm: float
    standing_mm: float
    sealant_ml: float
    ribbon_m: float
    drive_h: float
    full_speed_h: float
    utilisation: float | None
    governing: str
    basis: str
    removable: bool
    second_retention: bool

    @property
    def holds(self) -> bool:
        """Whether its weakest part is within its safe capacity."""
        return self.utilisation is not None and self.utilisation <= 1


def together(rows: Sequence[MountRow], *, shared: bool = False) -> MountRow:
    """Return one row for panels of several sizes on the same kind of mount.

    Args:
        rows: A row for each size, at least one, all of the same mount.
        shared: Whether all hang on the same part, such as roof bars, so that its use adds up.

    Returns:
        Sums of feet, holes, mass and sealant, the greatest height and wait, and the weakest part.

    Raises:
        OutOfRangeError: If there are no rows.
    """
    if not rows:
        raise OutOfRangeError("rows", "empty", "at least one row")
    worst = max(rows, key=lambda row: row.utilisation if row.utilisation is not None else math.inf)
    used = worst.utilisation
    if shared and used is not None:
        used = sum(row.utilisation or 0.0 for row in rows)
    return replace(
        worst,
        feet=sum(row.feet for row in rows),
        holes=sum(row.holes for row in rows),
        mass_kg=sum(row.mass_kg for row in rows),
        sealant_ml=sum(row.sealant_ml for row in rows),
        ribbon_m=sum(row.ribbon_m for row in rows),
        standing_mm=max(row.standing_mm for row in rows),
        utilisation=used,
        second_retention=any(row.second_retention for row in rows),
    )
