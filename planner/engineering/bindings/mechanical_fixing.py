"""Bind one fixing, from head to nut, to its facts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from planner.engineering import fixings
from planner.engineering.bindings.mechanical_air import Rows, row_of
from planner.engineering.bindings.mechanical_feet import Given
from planner.engineering.fixings import SectionPart
from planner.ledger import Binding, bind

THROUGH = ("through_bolt", "through_bolt_sleeve")
FIELDS = (
    "bolt", "diameter", "length", "hole", "stack", "plate", "sleeve", "packing", "inside", "room",
    "past", "first", "final", "limit", "clamp", "fits", "advice",
)


def roof_mm(*, skin_mm: float, core_mm: float, inner_skin_mm: float | None) -> float:
    """Return the whole thickness of the roof at its thicker end."""
    return skin_mm + core_mm + (inner_skin_mm or 0.0)


def stack_of(given: Given, *, skin_mm: float) -> list[SectionPart]:
    """Return the parts that the bolt clamps, outside to inside, for a thickness of skin."""
    washer = row_of(given["washers"], "size", given["bolt_size"]) or given["washers"][0]
    parts = [
        SectionPart("washer", washer["thickness_mm"]),
        SectionPart("foot", given["foot_mm"]),
        SectionPart("sealant bed", given["bed_mm"]),
    ]
    if given["core_mm"] > 0:
        parts += [
            SectionPart("outer skin", skin_mm),
            SectionPart("core, sleeve or filled", given["core_mm"]),
            SectionPart("inner skin", given["inner_skin_mm"] or 0.0),
        ]
    else:
        parts.append(SectionPart("roof skin", skin_mm))
    return [
        *parts,
        SectionPart("lining, pressed", given["lining_mm"] or 0.0, inside=True),
        SectionPart("plate", given["plate_thick_mm"], inside=True),
        SectionPart("inner washer", washer["thickness_mm"], inside=True),
    ]


def fixing(**given: Any) -> dict[str, Any] | None:
    """Return bolt, hole, stack, reach inside and torque of one fixing."""
    if given["kind"] not in (*THROUGH, "rivet_nut"):
        return None
    size = given["bolt_size"]
    diameter = _column(given["bolts"], size, "diameter_mm")
    hole = fixings.hole_mm(
        bolt_mm=diameter,
        medium_fit_mm=_column(given["holes"], size, "hole_mm"),
        plastic=given["material"] == "abs_skin",
        plastic_over_mm=given["plastic_mm"],
    )
    torque = _torque(given)
    clamp = None
    if torque["final_nm"] is not None:
        clamp = fixings.preload_n(
            torque_nm=torque["final_nm"], diameter_mm=diameter, nut_factor=given["nut_factor"]
        )
    facts = dict.fromkeys(FIELDS) | {
        "bolt": size,
        "diameter": diameter,
        "hole": hole,
        "first": torque["first_nm"],
        "final": torque["final_nm"],
        "limit": torque["limit"],
        "clamp": clamp,
    }
    return facts | (_through(given) if given["kind"] in THROUGH else _rivet_nut(given, diameter))


def _column(rows: Rows, size: str, column: str) -> float:
    row = row_of(rows, "size", size) or rows[0]
    return float(row[column])


def _torque(given: Given) -> Mapping[str, Any]:
    """Return first and final torque, limited by bolt and roof, whichever is softer."""
    row = row_of(given["skin_torques"], "material", given["material"])
    bolt_nm = _column(given["bolt_torques"], given["bolt_size"], "torque_nm")
    if row is None:
        return {"first_nm": None, "final_nm": None, "limit": None}
    softest = fixings.softest_torque(limits_nm={"bolt": bolt_nm, row["limit"]: row["final_nm"]})
    limit = softest.limited_by
    if given["kind"] == "rivet_nut" and limit == row["limit"]:
        limit = "rivet nut in thin sheet"
    return {
        "first_nm": min(row["first_nm"], softest.torque_nm),
        "final_nm": softest.torque_nm,
        "limit": limit,
    }


def _through(given: Given) -> dict[str, Any]:
    """Return length, stack and reach inside of a bolt through the roof."""
    thick = stack_of(given, skin_mm=given["skin_high_mm"])
    nut = _column(given["nuts"], given["bolt_size"], "height_mm")
    lengths = [row["length_mm"] for row in given["lengths"]]
    needed = fixings.needed_length_mm(parts=thick, nut_height_mm=nut)
    if needed > lengths[-1]:
        return {
            "advice": f"The stack needs a bolt of {needed:.0f} mm; the longest is "
            f"{lengths[-1]:.0f} mm. Fix each skin to a filled insert instead of bolting through.",
            "plate": _plate(given),
            "fits": False,
        }
    bolt = fixings.choose_bolt(parts=thick, nut_height_mm=nut, lengths_mm=lengths)
    washer = _column(given["washers"], given["bolt_size"], "thickness_mm")
    packing = fixings.packing_washers(packing_mm=bolt.packing_mm, washer_mm=washer)
    extra = [SectionPart("packing washer", washer, inside=True)] * packing
    low = _column(given["heads"], given["bolt_size"], "height_mm")
    return {
        "length": bolt.length_mm,
        "past": bolt.past_nut_mm - packing * washer,
        "packing": packing,
        "stack": [
            {"part": part.name, "thickness_mm": part.thickness_mm}
            for part in [*thick, *extra]
            if part.thickness_mm > 0
        ],
        "plate": _plate(given),
        **_reach(given, bolt.length_mm, low),
        "sleeve": fixings.sleeve_length_mm(total_mm=given["roof_mm"])[0]
        if given["kind"] == "through_bolt_sleeve"
        else None,
    }


def _plate(given: Given) -> str:
    side, thick = given["plate_mm"], given["plate_thick_mm"]
    return f"{side:.0f} × {side:.0f} × {thick:.0f} mm, corners rounded"


def _reach(given: Given, length_mm: float, head_mm: float) -> dict[str, Any]:
    """Return how far the fixing stands below the roof, what is free, and which way round suits.

    The thinner end of an assumed skin is counted here: the bolt then stands out farther.
    """
    thin = stack_of(given, skin_mm=given["skin_low_mm"])
    nut_inside = length_mm - sum(part.thickness_mm for part in thin if not part.inside)
    head_inside = head_mm + sum(part.thickness_mm for part in thin if part.inside)
    inside = head_inside if given["head"] == "inside" else nut_inside
    clear = given["clear_mm"]
    if clear is None:
        return {"inside": inside, "advice": None, "room": None, "fits": True}
    room = clear - fixings.KEEP_CLEAR_MM
    way = fixings.way_round(
        nut_inside_mm=nut_inside,
        head_inside_mm=head_inside,
        underside_clear_mm=clear,
        reach_shut=bool(given["reach_shut"]),
    )
    return {"inside": inside, "advice": way.reason, "room": max(room, 0.0), "fits": inside <= room}


def _rivet_nut(given: Given, diameter_mm: float) -> dict[str, Any]:
    """Return the screw of a rivet nut: washers, foot, bed, and how far it reaches into the nut.

    Two diameters of thread reach into the nut, the sheet counted in. The closed end lies a little
    farther: a screw that touches it is tight against the nut and not against the foot. So washers
    go under the head until the screw stops short of the end with the bed at its thinnest.
    """
    washer = _column(given["washers"], given["bolt_size"], "thickness_mm")
    outside = washer + given["foot_mm"] + given["bed_mm"]
    lengths = [row["length_mm"] for row in given["lengths"]]
    length = fixings.next_length_mm(needed_mm=outside + 2 * diameter_mm, lengths_mm=lengths)
    depth = 2 * diameter_mm + given["nut_end_mm"]
    thinner = max(given["bed_mm"] - given["bed_least_mm"], 0.0)
    over = max(length - outside + thinner - depth, 0.0)
    packing = fixings.packing_washers(packing_mm=over, washer_mm=washer)
    reach = length - outside - packing * washer
    fits = reach >= given["nut_reach"] * diameter_mm
    return {
        "length": length if fits else None,
        "packing": packing,
        "fits": fits,
        "advice": None if fits else "No length with washers both holds in the closed nut and "
        "stops short of its end: take a nut with a longer body.",
        "hole": _column(given["rivet_nuts"], given["bolt_size"], "hole_mm"),
        "stack": _screw_stack(given, washer, packing, depth),
    }


def _screw_stack(
    given: Given, washer_mm: float, packing: int, depth_mm: float
) -> list[dict[str, Any]]:
    sheet = given["skin_high_mm"]
    parts = [
        SectionPart("washer", washer_mm),
        *[SectionPart("packing washer", washer_mm)] * packing,
        SectionPart("foot or tether eye", given["foot_mm"]),
        SectionPart("sealant bed", given["bed_mm"]),
        SectionPart("roof skin", sheet),
        SectionPart("closed rivet nut", max(depth_mm - sheet, depth_mm / 2)),
    ]
    return [{"part": part.name, "thickness_mm": part.thickness_mm} for part in parts]


FIXING_FACTS = {
    "kind": "fixing.kind",
    "head": "fixing.head?",
    "material": "roof.material",
    "skin_low_mm": "roof.thickness_mm.low",
    "skin_high_mm": "roof.thickness_mm.high",
    "core_mm": "roof.core_mm",
    "inner_skin_mm": "roof.inner_skin_mm?",
    "lining_mm": "roof.lining_mm?",
    "roof_mm": "fixing.roof_mm",
    "foot_mm": "mount.foot_thickness_mm",
    "bed_mm": "limit.bed_mm",
    "bed_least_mm": "limit.bed_least_mm",
    "nut_end_mm": "limit.rivet_nut_end_mm",
    "nut_reach": "limit.rivet_nut_reach",
    "plastic_mm": "limit.plastic_hole_mm",
    "nut_factor": "limit.nut_factor",
    "plate_mm": "limit.plate_mm",
    "plate_thick_mm": "limit.plate_thick_mm",
    "clear_mm": "lift.underside_clear_mm?",
    "reach_shut": "lift.nuts_reachable_shut?",
    "bolt_size": "limit.bolt_size",
    "bolts": "table.bolts",
    "holes": "table.clearance_holes",
    "nuts": "table.locking_nuts",
    "heads": "table.low_heads",
    "lengths": "table.bolt_lengths",
    "washers": "table.washers",
    "bolt_torques": "table.bolt_torques",
    "skin_torques": "table.skin_torques",
    "rivet_nuts": "table.rivet_nuts",
}

BINDINGS: tuple[Binding, ...] = (
    bind(
        roof_mm,
        "fixing.roof_mm",
        skin_mm="roof.thickness_mm.high",
        core_mm="roof.core_mm",
        inner_skin_mm="roof.inner_skin_mm?",
    ),
    bind(
        fixing,
        {
            "fixing.bolt": "bolt",
            "fixing.bolt_mm": "diameter",
            "fixing.bolt_length_mm": "length",
            "fixing.hole_mm": "hole",
            "fixing.stack": "stack",
            "fixing.plate": "plate",
            "fixing.sleeve_mm": "sleeve",
            "fixing.packing_washers": "packing",
            "fixing.projection_mm": "inside",
            "fixing.projection_limit_mm": "room",
            "fixing.thread_past_nut_mm": "past",
            "fixing.torque_first_nm": "first",
            "fixing.torque_final_nm": "final",
            "fixing.torque_limit": "limit",
            "fixing.clamp_n": "clamp",
            "fixing.fits": "fits",
            "fixing.advice": "advice",
        },
        **FIXING_FACTS,
    ),
)
