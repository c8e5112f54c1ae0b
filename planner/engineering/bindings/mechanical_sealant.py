"""Bind adhesive ribbons and the sealant of the whole job to their facts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.engineering import bonding, sealant
from planner.engineering.bindings.mechanical_air import Rows, is_bonded, row_of
from planner.engineering.bindings.mechanical_bond import (
    bond_need,
    movement_mm,
    ribbon_mm,
    ribbons_of,
    thickness_mm,
)
from planner.engineering.bindings.mechanical_feet import panels
from planner.engineering.bindings.mechanical_mounts import ROW_FACTS
from planner.ledger import Binding, bind

BOX = {"box_mm": "limit.entry_box_mm", "box_width_mm": "limit.entry_box_width_mm"}
"""Arguments of ``entry_ml`` and the facts that they are read from."""


def bond(*, method: str, rows: Rows, **given: Any) -> dict[str, Any] | None:
    """Return ribbon, area, use, movement and thickness of the chosen bonded mount."""
    row = row_of(rows, "mount", method)
    if not is_bonded(method) or row is None:
        return None
    sizes = list(panels(given))
    widths = [ribbon_mm(given, method, panel) for panel in sizes]
    laid = [
        bonding.ribbon_area_laid_cm2(
            length_m=ribbons_of(given, method, panel)[1] * panel.count, width_mm=width
        )
        for panel, width in zip(sizes, widths, strict=True)
    ]
    movement = max(movement_mm(given, method, panel) for panel in sizes)
    thickness = max(thickness_mm(given, method, panel) for panel in sizes)
    return {
        "area": sum(bond_need(given, panel).area_cm2 * panel.count for panel in sizes),
        "laid": sum(laid),
        "ribbon": row["ribbon_m"],
        "width": min(widths),
        "use": row["utilisation_percent"],
        "movement": movement,
        "thickness": thickness,
        "strain": bonding.shear_strain_pct(movement_mm=movement, thickness_mm=thickness),
    }


def quantities(
    *,
    method: str,
    mount_ml: float | None,
    anchors: Sequence[Any] | None,
    entry_kind: str | None,
    box_mm: float,
    box_width_mm: float,
    foot_ml: float,
    cartridge_ml: float,
    waste_percent: float,
) -> dict[str, Any]:
    """Return sealant and adhesive for the whole job, in millilitres and cartridges."""
    bonded = is_bonded(method)
    adhesive = (mount_ml or 0.0) if bonded else 0.0
    seal = (0.0 if bonded else mount_ml or 0.0) + foot_ml * len(anchors or ())
    seal += entry_ml(entry_kind, box_mm, box_width_mm)
    buy = {"cartridge_ml": cartridge_ml, "waste_pct": waste_percent}
    sealing = sealant.cartridges(volume_ml=seal, **buy)
    bonding_ = sealant.cartridges(volume_ml=adhesive, **buy)
    return {
        "seal": sealing.volume_ml,
        "bond": bonding_.volume_ml,
        "total": sealing.volume_ml + bonding_.volume_ml,
        "count": sealing.count,
        "bond_count": bonding_.count,
    }


def entry_ml(kind: str | None, box_mm: float, box_width_mm: float) -> float:
    """Return the sealant of the cable entry: of a box, or of one or two small flanges."""
    box = sealant.box_volume_ml(
        length_mm=box_mm, width_mm=box_width_mm, flange_mm=15, bed_mm=1.5, fillet_mm=5
    )
    flange = sealant.box_volume_ml(length_mm=60, width_mm=60, flange_mm=20, bed_mm=1, fillet_mm=3)
    return {"entry_box": box, "single_glands": 2 * flange, "portable_inlet": flange}.get(
        kind or "", 0.0
    )


def entry_bead_cm2(*, kind: str, box_mm: float, box_width_mm: float) -> float | None:
    """Return the bedded area of the cable entry, of the same sizes as its sealant."""
    return {"entry_box": ring_cm2(box_mm, box_width_mm, 15),
            "single_glands": 2 * ring_cm2(60, 60, 20),
            "portable_inlet": ring_cm2(60, 60, 20)}.get(kind)


def ring_cm2(length_mm: float, width_mm: float, flange_mm: float) -> float:
    """Return the area of a flange round an opening."""
    inner = (length_mm - 2 * flange_mm) * (width_mm - 2 * flange_mm)
    return (length_mm * width_mm - inner) / 100


BINDINGS: tuple[Binding, ...] = (
    bind(entry_bead_cm2, "entry.bead_cm2", kind="entry.kind", **BOX),
    bind(
        bond,
        {
            "bond.area_cm2": "area",
            "bond.laid_cm2": "laid",
            "bond.ribbon_m": "ribbon",
            "bond.ribbon_mm": "width",
            "bond.utilisation_percent": "use",
            "bond.movement_mm": "movement",
            "bond.thickness_mm": "thickness",
            "bond.strain_percent": "strain",
        },
        method="mount.method",
        rows="mounts.rows",
        **ROW_FACTS,
    ),
    bind(
        quantities,
        {
            "sealant.seal_ml": "seal",
            "sealant.bond_ml": "bond",
            "sealant.total_ml": "total",
            "sealant.cartridges": "count",
            "sealant.bond_cartridges": "bond_count",
        },
        method="mount.method",
        mount_ml="mount.sealant_ml?",
        anchors="retention.anchors?",
        entry_kind="entry.kind?",
        **BOX,
        foot_ml="limit.anchor_seal_ml",
        cartridge_ml="limit.cartridge_ml",
        waste_percent="limit.sealant_waste_percent",
    ),
)
