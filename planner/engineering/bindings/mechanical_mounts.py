"""Bind the comparison of mounts, and the figures of the chosen one, to their facts."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

from planner.engineering import mounts
from planner.engineering.bindings.mechanical_air import Rows, row_of, times
from planner.engineering.bindings.mechanical_bond import (
    BOND_FACTS,
    CORNERS,
    bond_need,
    rail_m,
    ribbon_mm,
    ribbons_of,
    thickness_mm,
)
from planner.engineering.bindings.mechanical_feet import (
    FEET_FACTS,
    PANEL_FACTS,
    Given,
    bolt_of,
    feet_of,
    panels,
    uplift_of,
)
from planner.engineering.mounts import MountData, MountRow, PanelData
from planner.engineering.sealant import HoleSeal, hole_volume_ml
from planner.ledger import Binding, bind

MOUNTS = (
    "bolted_brackets",
    "bonded_corners",
    "bonded_rails",
    "bolted_rails",
    "roof_bar_clamps",
    "full_bond",
)
BOLTED = ("bolted_brackets", "bolted_rails")
ANCHORS = {"tether": 1, "bolts": 2}
"""Anchors of each panel, by the kind of second retention."""
CHOICE_FACTS = {
    "bracket_kg": "mount.bracket_mass_kg",
    "top_speed_kmh": "vehicle.top_speed_kmh",
    "bars_rated_kg": "roof.bars_rated_kg?",
    "bars_uplift_kg": "roof.bars_uplift_kg?",
    "bars_uplift_percent": "limit.bars_uplift_percent",
    "factor": "cure.factor",
    "clock": "cure.clock",
    "through_h": "cure.through_h",
    "skin_high_mm": "roof.thickness_mm.high",
    "foot_width_mm": "mount.foot_width_mm",
    "rail_width_mm": "limit.rail_width_mm",
    "bed_mm": "limit.bed_mm",
    "chamfer_mm": "limit.chamfer_mm",
    "fillet_mm": "limit.fillet_mm",
    "cure": "table.cure_times",
}
ROW_FACTS = {**PANEL_FACTS, **FEET_FACTS, **BOND_FACTS, **CHOICE_FACTS}
FIELDS = (
    "mass_kg",
    "height_mm",
    "gap_mm",
    "feet",
    "holes",
    "sealant_ml",
    "handle_h",
    "drive_h",
    "utilisation_percent",
    "governing",
)


def _mount(given: Given, name: str) -> MountData:
    """Return the data of a mount; brackets and corners have the height and mass that was told."""
    row = next(row for row in given["data"] if row["mount"] == name)
    own = name in ("bolted_brackets", "bonded_corners")
    return MountData(
        id=name,
        base_kg=row["base_kg"],
        foot_kg=row["foot_kg"] + (given["bracket_kg"] if own else 0.0),
        rail_kg_m=row["rail_kg_m"],
        gap_mm=given["bracket_height_mm"] if own else row["gap_mm"],
        foot_seal_ml=_foot_seal_ml(given, name) if name in BOLTED else 0.0,
        removable=row["removable"],
    )


def _foot_seal_ml(given: Given, name: str) -> float:
    """Return the sealant at one bolt: under the bracket's foot, or as much of a rail."""
    bolt = bolt_of(given)
    width = given["rail_width_mm"] if name == "bolted_rails" else given["foot_width_mm"]
    length = given["foot_length_mm"]
    seal = HoleSeal(
        bolt_mm=bolt.diameter_mm,
        hole_mm=bolt.hole_mm,
        depth_mm=given["skin_high_mm"],
        chamfer_mm=given["chamfer_mm"],
        bed_area_mm2=length * width,
        bed_mm=given["bed_mm"],
        edge_mm=2 * (length + width),
        fillet_mm=given["fillet_mm"],
    )
    return hole_volume_ml(seal=seal)


def _times(given: Given, joint: str) -> Any:
    return times(
        joint=joint,
        factor=given["factor"],
        clock=given["clock"],
        through_h=given["through_h"],
        table=given["cure"],
    )


def _bonded(given: Given, name: str, panel: PanelData) -> MountRow | None:
    """Work out a bonded mount; None where heat asks for a bond thicker than its bead is high."""
    if thickness_mm(given, name, panel) >= given["bead_height_mm"]:
        return None
    feet, ribbon_m, rail = ribbons_of(given, name, panel)
    return mounts.bonded_row(
        mount=_mount(given, name),
        panel=panel,
        feet=feet,
        ribbons=mounts.Ribbons(
            length_m=ribbon_m,
            bead_area_mm2=given["bead_width_mm"] * given["bead_height_mm"] / 2,
            width_mm=ribbon_mm(given, name, panel),
        ),
        need=bond_need(given, panel),
        cure=_times(given, "bonded"),
        top_speed_kmh=given["top_speed_kmh"],
        rail_m=rail,
    )


def _bolted(given: Given, name: str, panel: PanelData) -> MountRow | None:
    rail = name == "bolted_rails"
    result = feet_of(given, panel, rail=rail)
    if result is None:
        return None
    return mounts.bolted_row(
        mount=_mount(given, name),
        panel=panel,
        result=result,
        cure=_times(given, "bedded"),
        rail_m=rail_m(panel) if rail else 0.0,
    )


def _clamped(given: Given, name: str, panel: PanelData) -> MountRow | None:
    return mounts.clamped_row(
        mount=_mount(given, name),
        panel=panel,
        clamps=CORNERS,
        uplift_n=uplift_of(given, panel),
        **bars_of(given),
    )


def bars_of(given: Given) -> dict[str, Any]:
    """Return what is known of the roof bars."""
    return {
        "bars_rated_kg": given["bars_rated_kg"],
        "bars_uplift_kg": given["bars_uplift_kg"],
        "uplift_share": given["bars_uplift_percent"] / 100,
    }


_WAYS: Mapping[str, Callable[[Given, str, PanelData], MountRow | None]] = {
    "bolted_brackets": _bolted,
    "bonded_corners": _bonded,
    "bonded_rails": _bonded,
    "bolted_rails": _bolted,
    "roof_bar_clamps": _clamped,
    "full_bond": _bonded,
}


def mount_rows(**given: Any) -> list[dict[str, Any]]:
    """Return a row for every mount that can be worked out for this job."""
    found = []
    for name in MOUNTS:
        rows = [_WAYS[name](given, name, panel) for panel in panels(given)]
        known = [row for row in rows if row is not None]
        if len(known) == len(rows):
            whole = mounts.together(known, shared=name == "roof_bar_clamps")
            found.append(_printed(given, whole))
    return found


def _printed(given: Given, row: MountRow) -> dict[str, Any]:
    joint = "bonded" if row.ribbon_m else "bedded"
    handle_h = _times(given, joint).handle_h if row.drive_h else 0.0
    used = row.utilisation
    return {
        "mount": row.id,
        "mass_kg": row.mass_kg,
        "height_mm": row.standing_mm,
        "gap_mm": row.gap_mm,
        "feet": row.feet,
        "holes": row.holes,
        "sealant_ml": row.sealant_ml,
        "ribbon_m": row.ribbon_m,
        "handle_h": handle_h,
        "drive_h": row.drive_h,
        "full_speed_h": row.full_speed_h,
        "utilisation_percent": None if used is None else 100 * used,
        "governing": row.governing,
        "basis": row.basis,
        "removable": row.removable,
        "second_retention": row.second_retention,
    }


def pick(*, name: str, rows: Sequence[Mapping[str, Any]]) -> Mapping[str, Any]:
    """Return the row of one mount, or nothing where it could not be worked out."""
    return row_of(rows, "mount", name) or dict.fromkeys((*FIELDS, "ribbon_m", "full_speed_h"))


def chosen(
    *, method: str, rows: Rows, retention: str | None, count: int, others: Rows | None
) -> dict[str, Any]:
    """Return the row of the chosen mount, with the holes of its second retention counted in."""
    row = dict(pick(name=method, rows=rows))
    if method == "loose":
        return row | {"holes": 0, "mass_kg": 0.0}
    held = count + sum(int(other["count"]) for other in others or ())
    return row | {"holes": (row["holes"] or 0) + ANCHORS.get(retention or "none", 0) * held}


BINDINGS: tuple[Binding, ...] = (
    bind(mount_rows, "mounts.rows", **ROW_FACTS),
    *(
        bind(
            partial(pick, name=name),
            {f"{name}.{field}": field for field in FIELDS},
            rows="mounts.rows",
        )
        for name in MOUNTS
    ),
    bind(
        chosen,
        {f"mount.{field}": field for field in (*FIELDS, "full_speed_h")},
        method="mount.method",
        rows="mounts.rows",
        retention="mount.retention?",
        count="panel.count",
        others="panel.others?",
    ),
)
