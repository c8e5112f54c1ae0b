"""Bind the list of joints that are sealed or bonded, each with its bead and its times."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.engineering.bindings.mechanical_air import Rows, is_bonded, row_of
from planner.engineering.bindings.mechanical_bond import RAILS, ribbons_of
from planner.engineering.bindings.mechanical_feet import Given, feet_of, panels
from planner.engineering.bindings.mechanical_mounts import BOLTED, ROW_FACTS
from planner.engineering.bindings.mechanical_sealant import BOX, entry_ml
from planner.engineering.laying import window_min
from planner.engineering.mounts import PanelData
from planner.ledger import Binding, bind
from planner.rounding import up

MOUNTS_ALONE = ("bonded_corners", "bonded_rails")
TIMES = {
    "skin_h": "cure.skin_h",
    "rim_h": "cure.rim_h",
    "through_h": "cure.through_h",
    "hose_h": "cure.hose_h",
    "drive_h": "cure.drive_h",
    "open_min": "cure.open_min",
}


def open_min(
    *, at_20c_min: float, halves_k: float, air_c: float, surface_c: float | None
) -> int:
    """Return the whole minutes from laying a bead until the faces meet, fewer in the heat.

    The warmer of air and surface counts; cold adds nothing, since the sheet may not promise it.
    """
    warmest = max(air_c, surface_c if surface_c is not None else air_c)
    return int(at_20c_min * 0.5 ** (max(warmest - 20.0, 0.0) / halves_k) + 1e-9)


def bead_window(
    *,
    method: str,
    open_min: int,
    guns: int,
    set_panel_min: float,
    set_mount_min: float,
    lay_speed: float,
    ring_min: float,
    pace: float,
    **given: Any,
) -> dict[str, Any] | None:
    """Return the minutes from bead to closed joint, one gun and several, and whether they do.

    What is set down at once: a panel with its feet or its whole face, one rail, or one corner.
    """
    lots = [lot for panel in panels(given) for lot in _lots(method, given, panel)]
    if not lots:
        return None
    alone, shared = (
        max(
            window_min(
                **lot,
                set_down_min=set_mount_min if method in MOUNTS_ALONE else set_panel_min,
                lay_speed=lay_speed,
                ring_min=ring_min,
                pace=pace,
                guns=number,
            )
            for lot in lots
        )
        for number in (1, guns)
    )
    return {
        "alone": alone,
        "shared": shared,
        "in_time": alone <= open_min,
        "shared_in_time": shared <= open_min,
    }


def _lots(method: str, given: Given, panel: PanelData) -> Iterator[dict[str, Any]]:
    """Yield rings or ribbon of what is set down at once under one panel."""
    if method in BOLTED:
        result = feet_of(given, panel, rail=method == "bolted_rails")
        if result is not None:
            yield {"rings": result.feet}
    elif is_bonded(method):
        corners, ribbon_m, rail_m = ribbons_of(given, method, panel)
        parts = corners or (RAILS if rail_m else 1)
        yield {"ribbon_m": ribbon_m / parts}


def joints(
    *,
    method: str,
    mount_ml: float | None,
    anchors: Rows | None,
    anchor_ml: float,
    entry_kind: str | None,
    box_mm: float,
    box_width_mm: float,
    bed_mm: float,
    fillet_mm: float,
    bead_width_mm: float,
    bead_height_mm: float,
    bond_mm: float | None,
    **times: float,
) -> list[dict[str, Any]] | None:
    """Return a row for each kind of joint: what it joins, its bead, its volume, its times."""
    laid = f"V {bead_width_mm:g} × {bead_height_mm:g}, pressed to {up(bond_mm or 0, 1):.1f}"
    bed = f"{bed_mm:g} bed, {fillet_mm:g} fillet"
    rows = [
        _row(joint, bead_, volume, times, carries=carries)
        for joint, bead_, volume, carries in _kinds(
            method, mount_ml or 0.0, len(anchors or ()) * anchor_ml,
            entry_ml(entry_kind, box_mm, box_width_mm),
            bed=bed, laid=laid,
        )
        if volume
    ]
    return rows or None


def _kinds(
    method: str, mount_ml: float, anchors_ml: float, at_entry_ml: float, *, bed: str, laid: str
) -> Iterator[tuple[str, str, float, bool]]:
    if is_bonded(method):
        yield "mount bonded to the roof", laid, mount_ml, True
        yield "anchors of the second retention", bed, anchors_ml, False
    else:
        yield "feet and bolt holes", bed, mount_ml, False
    yield "cable entry", bed, at_entry_ml, False


def _row(
    joint: str, bead: str, volume_ml: float, times: Mapping[str, float], *, carries: bool
) -> dict[str, Any]:
    return {
        "joint": joint,
        "bead_mm": bead,
        "volume_ml": up(volume_ml),
        "open_min": times["open_min"],
        "skin_h": up(times["skin_h"], 1),
        "cured_h": up(times["through_h" if carries else "rim_h"]),
        "hose_h": up(times["hose_h"]),
        "drive_h": up(times["drive_h"]),
    }


def prepared(*, finish: str, material: str, rows: Rows) -> str | None:
    """Return how the roof's face is prepared for any joint, by what it is made of."""
    row = row_of(rows, "face", "abs_skin" if material == "abs_skin" else finish)
    return None if row is None else str(row["prep"])


BINDINGS: tuple[Binding, ...] = (
    bind(
        open_min,
        "cure.open_min",
        at_20c_min="limit.open_min",
        halves_k="limit.open_halves_k",
        air_c="site.air_c",
        surface_c="site.surface_c?",
    ),
    bind(
        bead_window,
        {
            "bead.window_min": "alone",
            "bead.shared_min": "shared",
            "bead.in_time": "in_time",
            "bead.shared_in_time": "shared_in_time",
        },
        method="mount.method",
        open_min="cure.open_min",
        guns="limit.guns",
        set_panel_min="limit.set_panel_min",
        set_mount_min="limit.set_mount_min",
        lay_speed="limit.lay_speed",
        ring_min="limit.ring_min",
        pace="work.pace",
        **ROW_FACTS,
    ),
    bind(
        joints,
        "sealant.joints",
        method="mount.method",
        mount_ml="mount.sealant_ml?",
        anchors="retention.anchors?",
        anchor_ml="limit.anchor_seal_ml",
        entry_kind="entry.kind?",
        **BOX,
        bed_mm="limit.bed_mm",
        fillet_mm="limit.fillet_mm",
        bead_width_mm="limit.bead_width_mm",
        bead_height_mm="limit.bead_height_mm",
        bond_mm="bond.thickness_mm?",
        **TIMES,
    ),
    bind(
        prepared,
        "sealant.prep",
        finish="roof.finish",
        material="roof.material",
        rows="table.face_prep",
    ),
)
