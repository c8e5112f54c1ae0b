"""Bind where feet go, and which mounts find flat roof to stand on, to their facts."""

from __future__ import annotations

from functools import partial
from typing import Any

from planner.engineering.bindings.mechanical_bond import corner_mounts
from planner.engineering.bindings.mechanical_feet import Given, feet_of, panels
from planner.engineering.bindings.mechanical_mounts import BOLTED, ROW_FACTS
from planner.engineering.foot_places import Flats, FootPlan, Panel, place_feet, rib_flats
from planner.engineering.mounts import PanelData
from planner.ledger import Binding, bind

RIB_FACTS = {
    "roof_length_mm": "roof.length_mm",
    "roof_width_mm": "roof.width_mm",
    "shape": "roof.shape",
    "rib_direction": "roof.rib_direction?",
    "rib_pitch_mm": "roof.rib_pitch_mm?",
    "rib_flat_mm": "roof.rib_flat_mm?",
    "rib_first_mm": "roof.rib_first_mm?",
}
"""Arguments of ``flats_of`` and the facts that they are read from."""
PLACE_FACTS = {"placed": "place.panels", "inset_mm": "limit.foot_inset_mm", **RIB_FACTS}


def flats_of(given: Given) -> Flats | None:
    """Return the flat bands of a ribbed roof, or None for a smooth one."""
    if given["shape"] != "ribbed":
        return None
    lengthwise = given["rib_direction"] == "lengthwise"
    return rib_flats(
        axis="y" if lengthwise else "x",
        pitch_mm=given["rib_pitch_mm"],
        flat_mm=given["rib_flat_mm"],
        extent_mm=given["roof_width_mm"] if lengthwise else given["roof_length_mm"],
        first_mm=given["rib_first_mm"],
    )


def _foot_extent_mm(given: Given, panel: Panel, flats: Flats | None) -> float:
    """Return the foot's extent in the direction in which the flats follow each other."""
    along = flats is None or (flats.axis == "x") == panel.long_side_on_x
    return float(given["foot_length_mm"] if along else given["foot_width_mm"])


def _feet_count(given: Given, name: str, panel: PanelData) -> int:
    """Return the feet of one panel on a mount that stands on feet, else 0."""
    if name == "bonded_corners":
        return corner_mounts(given, panel)[0]
    if name in BOLTED:
        result = feet_of(given, panel, rail=name == "bolted_rails")
        return result.feet if result else 0
    return 0


def _offset_mm(given: Given, name: str) -> float:
    """Return how far outside the frame the bolt or the middle of the foot lies."""
    if name == "bolted_brackets":
        return float(given["frame_to_bolt_mm"])
    return 0.0


def foot_plans(given: Given, name: str) -> list[tuple[str, FootPlan]]:
    """Return the feet of every placed panel on one mount, by the panel's name."""
    sizes = list(panels(given))
    flats = flats_of(given)
    plans = []
    for number, row in enumerate(given["placed"], 1):
        spot = Panel(row["x_mm"], row["y_mm"], row["length_mm"], row["width_mm"])
        size = next((one for one in sizes if one.is_size(spot.along_x_mm, spot.along_y_mm)), None)
        count = _feet_count(given, name, size) if size else 0
        if not count:
            continue
        plan = place_feet(
            panel=spot,
            feet=count,
            inset_mm=_inset_mm(given, spot),
            frame_to_bolt_mm=_offset_mm(given, name),
            foot_mm=_foot_extent_mm(given, spot, flats),
            flats=flats,
        )
        plans.append((str(row.get("name") or f"panel {number}"), plan))
    return plans


def _inset_mm(given: Given, panel: Panel) -> float:
    """Return the inset, drawn in on a panel too short for it."""
    return float(min(given["inset_mm"], max(panel.along_x_mm, panel.along_y_mm) / 4))


def possible(*, name: str, **given: Any) -> dict[str, Any]:
    """Return whether a mount finds sound flat places on this roof, and what to change."""
    if name == "full_bond":
        why = "" if given["shape"] == "smooth" else "A sheet would bridge the hollows of the ribs."
    elif name in ("bonded_rails", "bolted_rails"):
        why = _rail_problem(given)
    else:
        problems = [plan.problem for _, plan in foot_plans(given, name) if plan.problem]
        why = problems[0] if problems else ""
    return {"possible": not why, "why": why or None}


def _rail_problem(given: Given) -> str:
    if given["shape"] == "smooth" or given["rib_flat_mm"] >= given["rail_width_mm"]:
        return ""
    return (
        f"The flats are {given['rib_flat_mm']:.0f} mm wide; a rail needs "
        f"{given['rail_width_mm']:.0f} mm."
    )


def bars_possible(*, bars: str, rated_kg: float | None) -> bool:
    """Return whether there are bars whose rating is known."""
    return bars == "rated" and rated_kg is not None


def layout(*, method: str, **given: Any) -> dict[str, Any]:
    """Return the feet of the chosen mount, and whether they all stand on sound flat roof."""
    plans = foot_plans(given, method)
    spots = [(panel, foot) for panel, plan in plans for foot in plan.feet]
    rows = [
        {
            "number": number,
            "name": f"F{number}",
            "panel": panel,
            "side": foot.side,
            "x_mm": round(foot.roof_x_mm, 1),
            "y_mm": round(foot.roof_y_mm, 1),
            "panel_x_mm": round(foot.panel_x_mm, 1),
            "panel_y_mm": round(foot.panel_y_mm, 1),
        }
        for number, (panel, foot) in enumerate(spots, 1)
    ]
    problems = [plan.problem for _, plan in plans if plan.problem]
    on_feet = bool(plans)
    return {
        "count": len(rows) if on_feet and not problems else None,
        "rows": rows or None,
        "fit": not problems if on_feet else None,
        "advice": " ".join(problems) or None,
    }


ALL_FACTS = {**ROW_FACTS, **PLACE_FACTS}

BINDINGS: tuple[Binding, ...] = (
    *(
        bind(
            partial(possible, name=name),
            {f"{name}.possible": "possible", f"{name}.why": "why"},
            **ALL_FACTS,
        )
        for name in ("bolted_brackets", "bonded_corners", "bonded_rails", "bolted_rails",
                     "full_bond")
    ),
    bind(
        bars_possible,
        "roof_bar_clamps.possible",
        bars="roof.bars",
        rated_kg="roof.bars_rated_kg?",
    ),
    bind(
        layout,
        {
            "feet.count": "count",
            "feet.positions": "rows",
            "feet.fit": "fit",
            "feet.advice": "advice",
        },
        method="mount.method",
        **ALL_FACTS,
    ),
)
