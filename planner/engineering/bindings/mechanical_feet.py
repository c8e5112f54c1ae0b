"""From the facts of a job to the bolted feet of one panel: bolt, bracket, skin, load, checks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from planner.engineering import strength
from planner.engineering.bindings.mechanical_air import row_of
from planner.engineering.brackets import Bolt, Bracket, Load, Skin, check_foot
from planner.engineering.feet import FeetResult, choose_feet
from planner.engineering.mounts import PanelData
from planner.engineering.wind import inertia, uplift_n

Given = Mapping[str, Any]

PLATE_CORNER_MM = 5.0
"""Radius to which the corners of a plate are rounded; it shortens the edge that would shear."""

PANEL_FACTS = {
    "length_mm": "panel.length_mm",
    "width_mm": "panel.width_mm",
    "frame_mm": "panel.frame_height_mm",
    "mass_kg": "panel.mass_kg",
    "count": "panel.count",
    "others": "panel.others?",
}
FEET_FACTS = {
    "pressure_pa": "wind.pressure_pa",
    "coefficient": "wind.coefficient",
    "forward_g": "limit.inertia_forward_g",
    "sideways_g": "limit.inertia_sideways_g",
    "rearward_g": "limit.inertia_rearward_g",
    "bracket_height_mm": "mount.bracket_height_mm",
    "frame_to_bolt_mm": "mount.bracket_edge_mm?",
    "bolt_to_toe_mm": "mount.bracket_toe_mm?",
    "foot_length_mm": "mount.foot_length_mm",
    "foot_thickness_mm": "mount.foot_thickness_mm",
    "material": "roof.material",
    "skin_mm": "roof.thickness_mm.low",
    "core_mm": "roof.core_mm",
    "core_kind": "roof.core_kind?",
    "inner_skin_mm": "roof.inner_skin_mm?",
    "front_share": "limit.front_share",
    "factor_bolt": "limit.factor_bolt",
    "factor_bracket": "limit.factor_bracket",
    "factor_skin": "limit.factor_skin",
    "factor_core": "limit.factor_core",
    "bracket_n_mm2": "limit.bracket_n_mm2",
    "bolt_proof_n_mm2": "limit.bolt_proof_n_mm2",
    "bolt_tensile_n_mm2": "limit.bolt_tensile_n_mm2",
    "coupon_n": "limit.coupon_n",
    "plate_mm": "limit.plate_mm",
    "bolt_size": "limit.bolt_size",
    "bolts": "table.bolts",
    "holes": "table.clearance_holes",
    "skins": "table.skin_strength",
    "cores": "table.core_strength",
    "rail": "table.rail_foot",
    "minimum": "table.feet_minimum",
}


def panels(given: Given) -> Iterator[PanelData]:
    """Yield every size of panel: the equal ones first, then the others as listed."""
    yield PanelData(
        given["length_mm"],
        given["width_mm"],
        given["frame_mm"],
        given["mass_kg"],
        int(given["count"]),
    )
    for other in given["others"] or ():
        yield PanelData(
            other["length_mm"],
            other["width_mm"],
            other["frame_height_mm"],
            other["mass_kg"],
            int(other["count"]),
        )


def plate_outline_mm(side_mm: float) -> float:
    """Return the edge of a square plate with rounded corners that would shear the skin."""
    corners = strength.washer_outline_mm(diameter_mm=2 * PLATE_CORNER_MM)
    return 4 * side_mm - 8 * PLATE_CORNER_MM + corners


def plate_area_mm2(side_mm: float, hole_mm: float) -> float:
    """Return what of a square plate bears: its rounded corners and its hole do not."""
    hole = math.pi / 4 * hole_mm**2
    return side_mm**2 - (4 - math.pi) * PLATE_CORNER_MM**2 - hole


def bolt_of(given: Given) -> Bolt:
    """Return the bolt of the job; a size that no table knows falls to the first of it."""
    size = row_of(given["bolts"], "size", given["bolt_size"]) or given["bolts"][0]
    hole = row_of(given["holes"], "size", size["size"]) or given["holes"][0]
    return Bolt(
        size["diameter_mm"],
        size["pitch_mm"],
        hole["hole_mm"],
        given["bolt_proof_n_mm2"],
        given["bolt_tensile_n_mm2"],
    )


def skin_of(given: Given, *, sleeve: bool = True) -> Skin | None:
    """Return what the plate bears on, or None for a roof that no table knows.

    In a cored roof the plate bears on the inner skin. A sleeve or filled hole takes the clamp
    past the core; without one the core itself would have to bear the pull.
    """
    row = row_of(given["skins"], "material", given["material"])
    if row is None:
        return None
    cored = given["core_mm"] > 0
    crush = 0.0
    if cored and not sleeve:
        core = row_of(given["cores"], "core", given["core_kind"]) or given["cores"][0]
        crush = core["crush_n_mm2"]
    return Skin(
        thickness_mm=given["inner_skin_mm"] or given["skin_mm"] if cored else given["skin_mm"],
        shear_n_mm2=row["shear_n_mm2"],
        bearing_n_mm2=row["bearing_n_mm2"],
        outline_mm=plate_outline_mm(given["plate_mm"]),
        spread_area_mm2=plate_area_mm2(given["plate_mm"], bolt_of(given).hole_mm),
        core_crush_n_mm2=crush,
        coupon_n=given["coupon_n"],
    )


def bracket_of(given: Given, *, rail: bool) -> Bracket | None:
    """Return the foot: a rail from the table, or the bracket; None where there is no frame."""
    if rail:
        return Bracket(**given["rail"][0], yield_n_mm2=given["bracket_n_mm2"])
    if given["frame_to_bolt_mm"] is None or given["bolt_to_toe_mm"] is None:
        return None
    return Bracket(
        given["frame_to_bolt_mm"],
        given["bolt_to_toe_mm"],
        given["foot_length_mm"],
        given["foot_thickness_mm"],
        given["bracket_n_mm2"],
    )


def uplift_of(given: Given, panel: PanelData) -> float:
    """Return the uplift on one panel."""
    return uplift_n(
        pressure_pa=given["pressure_pa"],
        area_m2=panel.area_m2,
        coefficient=given["coefficient"],
    )


def load_of(given: Given, panel: PanelData) -> Load:
    """Return what comes onto one panel."""
    return Load(
        uplift_n=uplift_of(given, panel),
        inertia=inertia(
            mass_kg=panel.mass_kg,
            forward_g=given["forward_g"],
            sideways_g=given["sideways_g"],
            rearward_g=given["rearward_g"],
        ),
        height_mm=given["bracket_height_mm"] + panel.frame_mm / 2,
        rows_apart_mm=min(panel.length_mm, panel.width_mm),
        front_share=given["front_share"],
    )


def factors_of(given: Given) -> dict[str, float]:
    """Return the safety factors by part."""
    return {part: given[f"factor_{part}"] for part in ("bolt", "bracket", "skin", "core")}


def bare_core_use(given: Given, panel: PanelData, *, rail: bool, feet: int) -> float | None:
    """Return the share of its safe strength that a core without a sleeve would be used to."""
    skin, bracket = skin_of(given, sleeve=False), bracket_of(given, rail=rail)
    if skin is None or bracket is None or not skin.core_crush_n_mm2:
        return None
    checks = check_foot(
        load=load_of(given, panel),
        feet=feet,
        bracket=bracket,
        bolt=bolt_of(given),
        skin=skin,
        factors=factors_of(given),
    )
    return checks[-1].utilisation


def feet_of(given: Given, panel: PanelData, *, rail: bool) -> FeetResult | None:
    """Return number and checks of the feet of one panel, or None where it cannot be bolted so."""
    skin, bracket = skin_of(given), bracket_of(given, rail=rail)
    if skin is None or bracket is None:
        return None
    return choose_feet(
        area_m2=panel.area_m2,
        load=load_of(given, panel),
        bracket=bracket,
        bolt=bolt_of(given),
        skin=skin,
        factors=factors_of(given),
        steps=[(row["most_m2"], row["feet"]) for row in given["minimum"]],
    )
