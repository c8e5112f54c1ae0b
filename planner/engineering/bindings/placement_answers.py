"""Turn answers about roof, panels and mounts into what placing panels needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.placement_model import (
    Foot,
    Obstacle,
    PanelOutline,
    Ribs,
    RoofPlan,
    Weights,
    Wishes,
)
from planner.engineering.shade import winter_noon_elevation

Rows = Sequence[Mapping[str, Any]]

ROOF = {
    "roof_length_mm": "roof.length_mm",
    "roof_width_mm": "roof.width_mm",
    "edge_margin_mm": "roof.edge_margin_mm",
    "obstacles": "roof.obstacles?",
    "moves": "roof.moves?",
    "hinge": "lift.hinge?",
    "rib_direction": "roof.rib_direction?",
    "rib_pitch_mm": "roof.rib_pitch_mm?",
    "rib_flat_mm": "roof.rib_flat_mm?",
    "rib_height_mm": "roof.rib_height_mm?",
    "rib_first_mm": "roof.rib_first_mm?",
    "clear_mm": "gate.clear_vent_mm",
    "flue_clear_mm": "limit.flue_clear_mm",
}
"""Arguments of ``roof_plan`` and the facts that they are read from."""

FEET = {
    "frame_to_bolt_mm": "mount.bracket_edge_mm?",
    "foot_length_mm": "mount.foot_length_mm?",
    "foot_width_mm": "mount.foot_width_mm?",
}
"""What ``outline`` needs of the brackets, besides the flat between ribs."""

WISHES = {
    "latitude_deg": "sun.latitude_deg?",
    "mount_height_mm": "mount.bracket_height_mm",
    "frame_height_mm": "panel.frame_height_mm",
    "set_back_mm": "limit.front_setback_mm",
    "panel_gap_mm": "limit.panel_gap_mm",
    "moving": "roof.moves?",
    "lift_points": "points.lift",
    "fixed_points": "points.lift_fixed",
    "shade_points": "points.shade",
    "set_back_points": "points.set_back",
    "centreline_points": "points.centreline",
    "in_line_points": "points.in_line",
}
"""Arguments of ``wishes_of`` and the facts that they are read from."""


def roof_plan(
    *,
    roof_length_mm: float,
    roof_width_mm: float,
    edge_margin_mm: float,
    obstacles: Rows | None,
    moves: bool | None,
    hinge: str | None,
    rib_direction: str | None,
    rib_pitch_mm: float | None,
    rib_flat_mm: float | None,
    rib_height_mm: float | None,
    rib_first_mm: float | None,
    clear_mm: float,
    flue_clear_mm: float,
) -> RoofPlan:
    """Return the roof plan; an obstacle without a height counts as flat."""
    items = tuple(
        Obstacle(
            row["name"], row["kind"], row["x_mm"], row["y_mm"], row["length_mm"],
            row["width_mm"], row.get("height_mm") or 0.0,
            flue_clear_mm if row["kind"] == "flue" else clear_mm,
        )
        for row in obstacles or ()
    )
    ribs = None
    if rib_direction and rib_pitch_mm and rib_flat_mm:
        ribs = Ribs(
            rib_direction, rib_pitch_mm, rib_flat_mm, rib_first_mm or 0.0, rib_height_mm or 0.0
        )
    lift = hinge if moves and hinge else "fixed"
    return RoofPlan(roof_length_mm, roof_width_mm, edge_margin_mm, items, lift, ribs)


def outline(
    name: str, length_mm: float, width_mm: float, feet: Mapping[str, float | None]
) -> PanelOutline:
    """Return a panel with a foot on each of its two long sides, if it stands on brackets.

    All feet of a side share one row, so one stands for all where ribs run along the rows. Where
    ribs cross the rows each foot can be moved along its side to a flat, unless it is longer than
    any flat.
    """
    edge, foot_length, foot_width = (
        feet[key] for key in ("frame_to_bolt_mm", "foot_length_mm", "foot_width_mm")
    )
    if edge is None or foot_length is None or foot_width is None:
        return PanelOutline(name, length_mm, width_mm)
    long_first = length_mm >= width_mm
    side, across = (length_mm, width_mm) if long_first else (width_mm, length_mm)
    flat = feet["rib_flat_mm"]
    along = foot_length if flat is not None and foot_length > flat else 0.0
    rows = [Foot(side / 2, bolt, along, foot_width) for bolt in (-edge, across + edge)]
    return PanelOutline(
        name, length_mm, width_mm, tuple(foot if long_first else foot.turned() for foot in rows)
    )


def wishes_of(
    *,
    latitude_deg: float | None,
    mount_height_mm: float,
    frame_height_mm: float,
    set_back_mm: float,
    panel_gap_mm: float,
    moving: bool | None,
    lift_points: float,
    fixed_points: float,
    shade_points: float,
    set_back_points: float,
    centreline_points: float,
    in_line_points: float,
) -> Wishes:
    """Return the wishes; the cable has no say, as its entry is placed after the panels."""
    return Wishes(
        sun_elevation_deg=noon_sun(latitude_deg),
        panel_top_mm=mount_height_mm + frame_height_mm,
        set_back_mm=set_back_mm,
        panel_gap_mm=panel_gap_mm,
        weights=Weights(
            lift=lift_points if moving else fixed_points,
            shade=shade_points,
            set_back=set_back_points,
            centreline=centreline_points,
            cable=0.0,
            in_line=in_line_points,
        ),
    )


def noon_sun(latitude_deg: float | None) -> float | None:
    """Return the height of the winter noon sun, or ``None`` where it stays down or is unknown."""
    if latitude_deg is None or abs(latitude_deg) > 66:
        return None
    return winter_noon_elevation(latitude_deg=latitude_deg)
