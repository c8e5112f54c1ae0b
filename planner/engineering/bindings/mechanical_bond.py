"""From the facts of a job to adhesive: what a panel needs, and the ribbons a mount has room for."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Any

from planner.engineering import bonding, mounts
from planner.engineering.bindings.mechanical_air import row_of
from planner.engineering.bindings.mechanical_feet import Given, load_of
from planner.engineering.mounts import PanelData
from planner.engineering.wind import GRAVITY_M_S2

CORNERS = 4
RAILS = 2
FRAME = "panel_frame"
BOND_FACTS = {
    "gust_n_mm2": "limit.gust_n_mm2",
    "standing_n_mm2": "limit.standing_n_mm2",
    "bead_width_mm": "limit.bead_width_mm",
    "bead_height_mm": "limit.bead_height_mm",
    "bond_mm": "limit.bond_mm",
    "per_movement": "limit.bond_per_movement",
    "warming_k": "limit.warming_k",
    "side_mounts": "limit.side_mounts",
    "face_pitch_mm": "limit.face_pitch_mm",
    "parts": "table.part_expansion",
    "data": "table.mount_data",
}


def bond_need(given: Given, panel: PanelData) -> bonding.BondNeed:
    """Return the ribbon area that one panel needs; its weight stands for the load that stays."""
    load = load_of(given, panel)
    return bonding.bond_need(
        gust_n=load.inertia.with_uplift_n(load.uplift_n),
        permanent_n=panel.mass_kg * GRAVITY_M_S2,
        gust_stress_n_mm2=given["gust_n_mm2"],
        permanent_stress_n_mm2=given["standing_n_mm2"],
    )


def movement_mm(given: Given, name: str, panel: PanelData) -> float:
    """Return how far a bonded mount and the roof grow apart with heat, from end to end.

    Mounts at the corners grow by themselves and are carried apart by the frame that joins them.
    What is bonded moves from its middle outwards, so the farthest points lie on the diagonal.
    """
    part = row_of(given["parts"], "part", name)
    skin = row_of(given["skins"], "material", given["material"])
    if part is None or skin is None:
        return 0.0
    diagonal_mm = hypot(panel.length_mm, panel.width_mm)
    if name != "bonded_corners":
        return _apart_mm(given, diagonal_mm, part, skin)
    mount = _apart_mm(given, given["foot_length_mm"], part, skin)
    frame = row_of(given["parts"], "part", FRAME)
    return mount + (0.0 if frame is None else _apart_mm(given, diagonal_mm, frame, skin))


def _apart_mm(
    given: Given, length_mm: float, part: Mapping[str, Any], skin: Mapping[str, Any]
) -> float:
    return bonding.heat_movement_mm(
        length_mm=length_mm,
        first_cte_um_m_k=part["expansion_um_m_k"],
        second_cte_um_m_k=skin["expansion_um_m_k"],
        warming_k=given["warming_k"],
    )


def thickness_mm(given: Given, name: str, panel: PanelData) -> float:
    """Return the finished thickness of a bond that follows the heat."""
    return bonding.bond_thickness_mm(
        movement_mm=movement_mm(given, name, panel),
        least_mm=given["bond_mm"],
        per_end_movement=given["per_movement"],
    )


def ribbon_mm(given: Given, name: str, panel: PanelData) -> float:
    """Return the width of a ribbon pressed down to the thickness of its bond."""
    return bonding.squeezed_width_mm(
        bead_width_mm=given["bead_width_mm"],
        bead_height_mm=given["bead_height_mm"],
        thickness_mm=thickness_mm(given, name, panel),
    )


def corner_mounts(given: Given, panel: PanelData) -> tuple[int, float]:
    """Return corners and side mounts of one panel, added in pairs as needed, and their ribbon."""
    each_m = next(
        row["ribbon_m_foot"] for row in given["data"] if row["mount"] == "bonded_corners"
    )
    needed_m = bonding.ribbon_length_m(
        area_cm2=bond_need(given, panel).area_cm2,
        width_mm=ribbon_mm(given, "bonded_corners", panel),
    )
    feet = CORNERS
    while feet * each_m < needed_m and feet < CORNERS + given["side_mounts"]:
        feet += 2
    return feet, feet * each_m


def rail_m(panel: PanelData) -> float:
    """Return the rail under one panel: two, each as long as the panel's long side [m]."""
    return RAILS * max(panel.length_mm, panel.width_mm) / 1000


def ribbons_of(given: Given, name: str, panel: PanelData) -> tuple[int, float, float]:
    """Return feet, metres of ribbon and metres of rail of one bonded panel."""
    if name == "bonded_corners":
        return (*corner_mounts(given, panel), 0.0)
    if name == "bonded_rails":
        row = next(row for row in given["data"] if row["mount"] == name)
        return 0, rail_m(panel) * row["ribbons_rail"], rail_m(panel)
    long, short = max(panel.length_mm, panel.width_mm), min(panel.length_mm, panel.width_mm)
    face = mounts.face_ribbon_m(length_mm=long, width_mm=short, pitch_mm=given["face_pitch_mm"])
    return 0, face, 0.0
