"""Bind the place of the panels, and what stands on ribs, to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from planner.engineering.bindings import placement_entry, placement_views
from planner.engineering.bindings.placement_answers import (
    FEET,
    ROOF,
    WISHES,
    Rows,
    outline,
    roof_plan,
    wishes_of,
)
from planner.engineering.placement import (
    Arrangement,
    PanelOutline,
    Placement,
    RoofPlan,
    WhyNot,
    Wishes,
    free_rectangles,
    obstacle_faults,
    place_panel,
    place_panels,
)
from planner.engineering.placement_model import Ribs
from planner.engineering.placement_ribs import mounts_on_ribs
from planner.errors import OutOfRangeError
from planner.ledger import Binding, bind

MOST_PANELS = 4
PLACE = (
    "fits", "on_flats", "x_mm", "y_mm", "length_mm", "width_mm", "turned", "centre_x_mm",
    "centre_y_mm", "score", "in_line", "panels", "rows", "reasons", "why_not", "governs",
    "margin_that_fits_mm", "in_the_way", "free_rows",
)


def place(
    *,
    count: int,
    length_mm: float,
    width_mm: float,
    others: Rows | None,
    **answers: Any,
) -> dict[str, Any]:
    """Return where the panels go, or why they do not fit.

    On ribs where no place lets every foot land, the panels are placed as on a smooth roof and
    ``on_flats`` says so: packers or rails may still carry them.
    """
    feet = {name: answers.pop(name) for name in FEET}
    feet["rib_flat_mm"] = answers["rib_flat_mm"]
    plan = roof_plan(**{name: answers.pop(name) for name in ROOF})
    panels = _outlines(count, length_mm, width_mm, others or (), feet)
    wishes = wishes_of(**answers)
    best, why = _best(plan, panels, wishes)
    on_flats = (why is None or why.governs != "ribs") if plan.ribs else None
    if on_flats is False:
        plan = replace(plan, ribs=None)
        best, why = _best(plan, panels, wishes)
    facts = _found(best, panels, wishes) if best else _missing(why)
    rows = _rows(plan, panels, wishes, best) if best else None
    return dict.fromkeys(PLACE) | facts | {
        "on_flats": on_flats if best else None, "rows": rows, "free_rows": _free_rows(plan),
    }


def _outlines(
    count: int, length_mm: float, width_mm: float, others: Rows,
    feet: Mapping[str, float | None],
) -> list[PanelOutline]:
    """Return every panel, the equal ones first."""
    panels = [outline(f"panel {n + 1}", length_mm, width_mm, feet) for n in range(count)]
    for row in others:
        panels += [
            outline(_numbered(row, n), row["length_mm"], row["width_mm"], feet)
            for n in range(int(row["count"]))
        ]
    if len(panels) > MOST_PANELS:
        raise OutOfRangeError(
            "others", len(panels) - count, f"at most {MOST_PANELS} panels on the roof in all"
        )
    return panels


def _numbered(row: Mapping[str, Any], index: int) -> str:
    return f"{row['name']} {index + 1}" if int(row["count"]) > 1 else str(row["name"])


def _best(
    plan: RoofPlan, panels: Sequence[PanelOutline], wishes: Wishes
) -> tuple[Arrangement | None, WhyNot | None]:
    fit = place_panels(roof=plan, panels=panels, wishes=wishes)
    return fit.arrangement, fit.why_not


def _found(
    best: Arrangement, panels: Sequence[PanelOutline], wishes: Wishes
) -> dict[str, Any]:
    """Return the facts of an arrangement; x, y, length and width are those of the whole array."""
    places = best.placements
    x0, y0 = min(p.x_mm for p in places), min(p.y_mm for p in places)
    area = [p.length_mm * p.width_mm for p in panels]
    return {
        "fits": True,
        "x_mm": x0,
        "y_mm": y0,
        "length_mm": max(p.x_mm + p.length_along_x_mm for p in places) - x0,
        "width_mm": max(p.y_mm + p.width_along_y_mm for p in places) - y0,
        "turned": places[0].turned,
        "centre_x_mm": _mean([p.x_mm + p.length_along_x_mm / 2 for p in places], area),
        "centre_y_mm": _mean([p.y_mm + p.width_along_y_mm / 2 for p in places], area),
        "score": 100 * best.score / wishes.weights.total if wishes.weights.total else None,
        "in_line": best.in_line,
        "panels": [_panel_row(p) for p in places],
        "reasons": [
            f"{r.text}: {r.points:.1f} of {r.out_of:g} points" for r in best.reasons
            if r.out_of and (len(places) > 1 or r.wish != "in_line")
        ],
    }


def _mean(values: Sequence[float], weights: Sequence[float]) -> float:
    pairs = zip(values, weights, strict=True)
    return sum(value * weight for value, weight in pairs) / sum(weights)


def _panel_row(item: Placement) -> dict[str, Any]:
    return {
        "name": item.name,
        "x_mm": item.x_mm,
        "y_mm": item.y_mm,
        "length_mm": item.length_along_x_mm,
        "width_mm": item.width_along_y_mm,
        "turned": item.turned,
    }


def _missing(why: WhyNot | None) -> dict[str, Any]:
    if why is None:
        return {}
    return {
        "fits": False,
        "why_not": why.text,
        "governs": why.governs,
        "margin_that_fits_mm": why.margin_that_fits_mm,
        "in_the_way": list(why.in_the_way),
    }


def _rows(
    plan: RoofPlan, panels: Sequence[PanelOutline], wishes: Wishes, best: Arrangement
) -> list[dict[str, Any]]:
    """Return ranked places; for several panels only the chosen arrangement, one row a panel."""
    places = best.placements
    if len(panels) == 1:
        places = place_panel(roof=plan, panel=panels[0], wishes=wishes, limit=4).ranked
    return [
        {"rank": rank if len(panels) == 1 else 1, **_panel_row(item), "points": item.score,
         "reasons": "; ".join(_costs(item)) or "nothing"}
        for rank, item in enumerate(places, 1)
    ]


def _costs(item: Placement) -> list[str]:
    """Return what costs a place points, in words."""
    return [reason.text for reason in item.reasons if reason.out_of - reason.points > 0.05]


def _free_rows(plan: RoofPlan) -> list[dict[str, float]]:
    return [
        {"x_mm": r.x_mm, "y_mm": r.y_mm, "length_mm": r.length_mm, "width_mm": r.width_mm}
        for r in free_rectangles(roof=plan)[:5]
    ]


def obstacles(**roof: Any) -> dict[str, Any]:
    """Return what looks wrong with the list of obstacles."""
    faults = obstacle_faults(roof=roof_plan(**roof))
    return {"notes": faults, "sound": not faults}


def ribs(
    *, pitch_mm: float, flat_mm: float, height_mm: float, mounts: Rows, own_foot_mm: float
) -> dict[str, Any]:
    """Return which mounts can stand on the ribs, and the packer that the others need."""
    feet = {row["mount"]: float(row["foot_mm"]) for row in mounts}
    labels = {row["mount"]: row["label"] for row in mounts}
    feet["own"], labels["own"] = own_foot_mm, "the foot that you measured"
    verdicts = mounts_on_ribs(
        ribs=Ribs("lengthwise", pitch_mm, flat_mm, 0.0, height_mm), feet_mm=feet
    )
    rows = [
        {"mount": labels[v.mount], "foot_mm": v.foot_mm, "lands": v.lands, "spare_mm": v.spare_mm,
         "packer_length_mm": v.packer_length_mm or None,
         "packer_height_mm": v.packer_height_mm or None, "verdict": v.text}
        for v in verdicts
    ]
    return {"rows": rows, "some": any(v.lands for v in verdicts)}


PANELS = {
    "count": "panel.count", "length_mm": "panel.length_mm", "width_mm": "panel.width_mm",
    "others": "panel.others?",
}

BINDINGS: tuple[Binding, ...] = (
    bind(place, {f"place.{name}": name for name in PLACE}, **PANELS, **ROOF, **FEET, **WISHES),
    bind(obstacles, {"place.obstacle_notes": "notes", "place.obstacles_sound": "sound"}, **ROOF),
    bind(
        ribs,
        {"place.rib_rows": "rows", "place.rib_mount": "some"},
        pitch_mm="roof.rib_pitch_mm",
        flat_mm="roof.rib_flat_mm",
        height_mm="roof.rib_height_mm",
        mounts="table.rib_feet",
        own_foot_mm="mount.foot_width_mm",
    ),
    *placement_entry.BINDINGS,
    *placement_views.BINDINGS,
)
