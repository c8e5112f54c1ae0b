"""Bind mass, axles, height and the cable's hole to their facts."""

from __future__ import annotations

from typing import Any

from msgspec.structs import asdict

from planner.engineering import payload
from planner.engineering.bindings.mechanical_air import Rows
from planner.engineering.bindings.mechanical_feet import PANEL_FACTS, panels
from planner.ledger import Binding, bind

ENTRY_SLACK_MM = 6.0
"""Room over two cables side by side in the hole under an entry box."""


def masses(
    *,
    mount_kg: float | None,
    sealant_ml: float | None,
    sealant_kg_l: float,
    entry_kind: str | None,
    entry_kg: float,
    roof_cable_m: float,
    inside_cable_m: float,
    cable_kg_m: float,
    inside_kg: float,
    allowance_percent: float,
    method: str,
    hinge: str | None,
    **given: Any,
) -> dict[str, Any]:
    """Return what the job adds to the vehicle, part by part, and what of it rides on the roof."""
    panel_kg = sum(panel.mass_kg * panel.count for panel in panels(given))
    roof_cable_m = 0.0 if method == "loose" else roof_cable_m
    on_roof = {
        "panels": panel_kg,
        "mounts and fixings": mount_kg or 0.0,
        "sealant and adhesive": (sealant_ml or 0.0) / 1000 * sealant_kg_l,
        "cable on the roof": 2 * roof_cable_m * cable_kg_m,
        "cable entry": 0.0 if entry_kind in (None, "over_the_edge") else entry_kg,
    }
    inside = {
        "cable inside": 2 * inside_cable_m * cable_kg_m,
        "controller, fuse and battery cable": inside_kg,
    }
    roof = payload.added_mass(
        parts_kg=on_roof, spare_payload_kg=0, allowance_pct=allowance_percent
    )
    whole = payload.added_mass(
        parts_kg={**on_roof, **inside}, spare_payload_kg=0, allowance_pct=allowance_percent
    )
    return {
        "rows": [
            {"part": part, "mass_kg": round(mass, 2), "where": where}
            for where, parts in (("stowed" if method == "loose" else "roof", on_roof),
                                 ("inside", inside))
            for part, mass in parts.items()
            if mass
        ],
        "roof": roof.with_allowance_kg if method != "loose" else None,
        "lift": roof.with_allowance_kg if hinge and method != "loose" else None,
        "whole": whole.with_allowance_kg,
    }


def payload_left(*, spare_kg: float, added_kg: float) -> float:
    """Return the payload that is left when the job is done."""
    return payload.added_mass(
        parts_kg={"job": added_kg}, spare_payload_kg=spare_kg, allowance_pct=0
    ).payload_left_kg


def axles(
    *, added_kg: float, wheelbase_mm: float, edge_mm: float, centre_mm: float
) -> payload.AxleShares:
    """Return the axle shares, all of the added mass counted at the middle of the panels."""
    return payload.axle_shares(
        mass_kg=added_kg, behind_front_mm=edge_mm + centre_mm, wheelbase_mm=wheelbase_mm
    )


def height(
    *, height_mm: float, standing_mm: float, obstacles: Rows, doubt_mm: float, notice_mm: float
) -> dict[str, Any]:
    """Return the new height: the panel's top over the roof, or what stood higher before.

    Today's height counts as measured over the tallest stiff thing on the list. An aerial bends
    away under a straight edge; were it counted, the roof below it would come out too low.
    """
    stiff = [row for row in obstacles if row.get("kind") != "aerial" and row["height_mm"]]
    tallest = max(stiff, key=lambda row: float(row["height_mm"]), default=None)
    highest = float(tallest["height_mm"]) if tallest else 0.0
    found = payload.new_height(
        height_mm=height_mm,
        highest_item_mm=highest,
        panel_top_mm=standing_mm,
        doubt_mm=doubt_mm,
        notice_mm=notice_mm,
    )
    return {
        **asdict(found),
        "over": tallest["name"] if tallest else None,
        "over_mm": highest if tallest else None,
        "skin_mm": height_mm - highest,
    }


def entry_hole(*, kind: str, od_mm: float, glands: Rows) -> dict[str, Any]:
    """Return the hole for the cables: a gland that grips one, or room for two under a box.

    Of the glands that grip the cable, the one in the middle of whose range it lies.
    """
    fitting = [row for row in glands if row["low_mm"] <= od_mm <= row["high_mm"]]
    gland = min(
        fitting, key=lambda row: abs((row["low_mm"] + row["high_mm"]) / 2 - od_mm), default=None
    )
    if kind == "entry_box":
        hole: float | None = round(2 * od_mm + ENTRY_SLACK_MM)
    else:
        hole = gland["hole_mm"] if gland and kind in ("single_glands", "portable_inlet") else None
    return {"hole": hole, "gland": gland["thread"] if gland else None}


def gap_ok(*, gap_mm: float, box_mm: float, over_mm: float, under_panel: bool) -> bool:
    """Return whether an entry under a panel leaves room to take the lid off its box."""
    return not under_panel or gap_mm >= box_mm + over_mm


BINDINGS: tuple[Binding, ...] = (
    bind(
        masses,
        {
            "mass.rows": "rows",
            "mass.roof_kg": "roof",
            "lift.added_kg": "lift",
            "mass.added_kg": "whole",
        },
        mount_kg="mount.mass_kg?",
        sealant_ml="sealant.total_ml?",
        sealant_kg_l="limit.sealant_kg_l",
        entry_kind="entry.kind?",
        entry_kg="limit.entry_kg",
        roof_cable_m="limit.roof_cable_m",
        inside_cable_m="wiring.roof_to_controller_m",
        cable_kg_m="limit.cable_kg_m",
        inside_kg="limit.inside_kg",
        allowance_percent="limit.mass_allowance_percent",
        method="mount.method",
        hinge="lift.hinge?",
        **{**PANEL_FACTS, "length_mm": "panel.length_mm?", "width_mm": "panel.width_mm?",
           "frame_mm": "panel.frame_height_mm?"},
    ),
    bind(
        payload_left,
        "mass.payload_left_kg",
        spare_kg="vehicle.spare_payload_kg",
        added_kg="mass.added_kg",
    ),
    bind(
        axles,
        {"mass.front_kg": "front_kg", "mass.rear_kg": "rear_kg"},
        added_kg="mass.added_kg",
        wheelbase_mm="vehicle.wheelbase_mm",
        edge_mm="roof.front_edge_behind_axle_mm",
        centre_mm="place.centre_x_mm",
    ),
    bind(
        height,
        {
            "height.new_mm": "height_mm",
            "height.low_mm": "low_mm",
            "height.high_mm": "high_mm",
            "height.added_mm": "added_mm",
            "height.notice": "notice",
            "height.over": "over",
            "height.over_mm": "over_mm",
            "height.skin_mm": "skin_mm",
        },
        height_mm="vehicle.height_mm",
        standing_mm="mount.height_mm",
        obstacles="roof.obstacles",
        doubt_mm="limit.height_doubt_mm",
        notice_mm="limit.notice_mm",
    ),
    bind(
        entry_hole,
        {"entry.hole_mm": "hole", "entry.gland": "gland"},
        kind="entry.kind",
        od_mm="entry.cable_od_mm",
        glands="table.glands",
    ),
    bind(
        gap_ok,
        "entry.gap_ok",
        gap_mm="mount.gap_mm",
        box_mm="entry.box_height_mm",
        over_mm="limit.gland_over_box_mm",
        under_panel="entry.under_panel",
    ),
)
