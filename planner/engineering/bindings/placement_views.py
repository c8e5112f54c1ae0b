"""Bind shade, sightlines and the comparison of candidate panels to their facts."""

from __future__ import annotations

from typing import Any

from planner.engineering.bindings.placement_answers import (
    FEET,
    ROOF,
    WISHES,
    Rows,
    noon_sun,
    outline,
    roof_plan,
    wishes_of,
)
from planner.engineering.placement_compare import Candidate, CandidateRow, compare_candidates
from planner.engineering.placement_model import Rect
from planner.engineering.shade import noon_shade, shadow_length
from planner.engineering.sightline import Profile, SideView, sightlines
from planner.ledger import Binding, bind


def shade(
    *,
    panels: Rows,
    latitude_deg: float,
    mount_height_mm: float,
    frame_height_mm: float,
    **roof: Any,
) -> dict[str, Any] | None:
    """Return the shade on the panels at winter noon, and how far each obstacle throws its own."""
    sun = noon_sun(latitude_deg)
    if sun is None:
        return None
    items = roof_plan(**roof).obstacles
    top = mount_height_mm + frame_height_mm
    noon = noon_shade(
        panels=_rects(panels), obstacles=items, sun_elevation_deg=sun, panel_top_mm=top
    )
    rows = [
        {
            "name": item.name,
            "height_mm": item.height_mm,
            "reach_mm": shadow_length(
                obstacle_height_mm=item.height_mm, sun_elevation_deg=sun, panel_top_mm=top
            ),
        }
        for item in items
    ]
    return {
        "share": 100 * noon.mean_share, "worst": 100 * noon.worst_share, "sun": sun, "rows": rows,
    }


def _rects(panels: Rows) -> list[Rect]:
    return [
        Rect(p["x_mm"], p["x_mm"] + p["length_mm"], p["y_mm"], p["y_mm"] + p["width_mm"])
        for p in panels
    ]


def sight(
    *,
    panels: Rows,
    vehicle_height_mm: float,
    crown_mm_per_m: float,
    eye_height_mm: float,
    mount_height_mm: float,
    frame_height_mm: float,
    opening_mm: float | None,
    opening_angle_deg: float | None,
    **roof: Any,
) -> list[dict[str, Any]]:
    """Return from where the panels can be seen, on each side, with the roof shut and open.

    The edge of the usable roof is taken as what hides them, as far below the highest point of the
    van as its tallest obstacle and its crown say.
    """
    plan = roof_plan(**roof)
    # The answer is the fall half a metre off the centre line; a crown falls with the square.
    crown = crown_mm_per_m * (plan.width_mm / 1000) ** 2
    tallest = max((item.height_mm for item in plan.obstacles), default=0.0)
    glass = _rects(panels)
    profile = Profile(
        roof_length_mm=plan.length_mm,
        roof_width_mm=plan.width_mm,
        edge_height_mm=vehicle_height_mm - tallest - crown,
        x0_mm=min(rect.x0 for rect in glass),
        x1_mm=max(rect.x1 for rect in glass),
        y0_mm=min(rect.y0 for rect in glass),
        y1_mm=max(rect.y1 for rect in glass),
        stands_mm=mount_height_mm + frame_height_mm,
        crown_mm=crown,
    )
    views = sightlines(
        profile=profile, eye_height_mm=eye_height_mm, lift=plan.lift,
        opening_mm=opening_mm or 0.0, opening_angle_deg=opening_angle_deg or 0.0,
    )
    return [_view_row(view) for view in views]


def _view_row(view: SideView) -> dict[str, Any]:
    metres = view.sight.distance_mm / 1000
    near = view.sight.seen == "beyond" and metres < 0.1
    shown = f"{metres:.1f} m" if metres < 10 else f"{metres:.0f} m"
    words = {
        "always": "from any distance",
        "never": "not at all",
        "beyond": f"from {shown} outwards",
        "within": f"only from nearer than {shown}",
    }["always" if near else view.sight.seen]
    distance = None if view.sight.seen in ("always", "never") else metres
    return {"side": view.side, "roof": view.roof, "seen": words, "distance_m": distance}


def candidates(
    *,
    listed: Rows,
    count: int,
    rated_w: float,
    length_mm: float,
    width_mm: float,
    mass_kg: float,
    **answers: Any,
) -> list[dict[str, Any]] | None:
    """Return the chosen panel and every candidate on the same roof, one row each."""
    if not listed:
        return None
    feet = {name: answers.pop(name) for name in FEET}
    roof = {name: answers.pop(name) for name in ROOF}
    feet["rib_flat_mm"] = roof["rib_flat_mm"]
    chosen = Candidate(
        outline("the panel of this job", length_mm, width_mm, feet), rated_w, mass_kg,
        answers["frame_height_mm"], count,
    )
    others = [
        Candidate(outline(row["name"], row["length_mm"], row["width_mm"], feet),
                  row["rated_w"], row["mass_kg"], row["frame_height_mm"])
        for row in listed
    ]
    rows = compare_candidates(
        roof=roof_plan(**roof), candidates=[chosen, *others],
        mount_height_mm=answers["mount_height_mm"], wishes=wishes_of(**answers),
    )
    return [
        _candidate_row(row, one) for row, one in zip(rows, [chosen, *others], strict=True)
    ]


def _candidate_row(row: CandidateRow, one: Candidate) -> dict[str, Any]:
    """Return a row of plain values; x and y are the first panel's front left corner."""
    first = row.placements[0] if row.placements else None
    return {
        "name": row.name,
        "count": row.count,
        "fits": row.fits,
        "x_mm": first and first.x_mm,
        "y_mm": first and first.y_mm,
        "turned": first and first.turned,
        "length_mm": one.outline.length_mm,
        "width_mm": one.outline.width_mm,
        "watts": row.watts,
        "mass_kg": row.mass_kg,
        "watts_per_kg": row.watts_per_kg,
        "watts_per_m2": row.watts_per_m2,
        "standing_height_mm": row.standing_height_mm,
        "shade_percent": None if row.mean_shade is None else 100 * row.mean_shade,
        "grams_per_added_watt": row.grams_per_added_watt,
        "points": row.score,
        "why_not": row.why_not,
    }


STAND = {
    "mount_height_mm": "mount.bracket_height_mm", "frame_height_mm": "panel.frame_height_mm",
}

BINDINGS: tuple[Binding, ...] = (
    bind(
        shade,
        {
            "shade.share_percent": "share", "shade.worst_percent": "worst",
            "shade.sun_height_deg": "sun", "shade.rows": "rows",
        },
        panels="place.panels",
        latitude_deg="sun.latitude_deg",
        **STAND,
        **ROOF,
    ),
    bind(
        sight,
        "sight.rows",
        panels="place.panels",
        vehicle_height_mm="vehicle.height_mm",
        crown_mm_per_m="roof.crown_mm_per_m",
        eye_height_mm="limit.eye_height_mm",
        opening_mm="lift.opening_mm?",
        opening_angle_deg="lift.opening_angle_deg?",
        **STAND,
        **ROOF,
    ),
    bind(
        candidates,
        "candidates.rows",
        listed="candidates",
        count="panel.count",
        rated_w="panel.rated_w",
        length_mm="panel.length_mm",
        width_mm="panel.width_mm",
        mass_kg="panel.mass_kg",
        **WISHES,
        **ROOF,
        **FEET,
    ),
)
