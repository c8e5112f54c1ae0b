"""Bind the place of the cable entry, and what is fixed below it, to their facts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec.structs import asdict, replace

from planner.engineering.bindings.placement_answers import ROOF, Rows, roof_plan
from planner.engineering.placement_entry import EntrySpot, entry_spot
from planner.engineering.placement_inside import Footing, things_below
from planner.engineering.placement_model import Obstacle, Rect, RoofPlan
from planner.ledger import Binding, bind

GIVES = {
    "entry.x_mm": "x_mm", "entry.y_mm": "y_mm",
    "entry.under_panel": "under_panel", "entry.on_flat": "on_flat",
    "entry.in_airbag_strip": "in_strip", "entry.clear_inside": "clear_inside",
    "entry.over_something": "over_something", "entry.over_inside": "over_inside",
}


def entry(
    *,
    kind: str,
    where: str,
    panels: Rows,
    box_mm: float,
    panel_clear_mm: float,
    rooflight_clear_mm: float,
    rib_clear_mm: float,
    airbags: bool,
    airbag_zone_mm: float,
    inside: Rows | None,
    inside_clear_mm: float,
    inside_slack_mm: float,
    **roof: Any,
) -> dict[str, Any] | None:
    """Return where the cable goes through the surveyed roof, if it goes through that at all.

    What is fixed below the roof counts for the entry alone. First a place is sought that keeps
    a hand's width from all of it, then one that just misses it; where neither is found the entry
    is placed without it, and what lies under it is named. Nothing is said of what nobody listed.
    Where nothing else is left it is placed in the strip of the airbags, and that is said too.
    """
    elsewhere = where == "body_side" or (where == "fixed_roof" and roof["moves"])
    if kind not in ("entry_box", "single_glands") or elsewhere:
        return None
    plan = roof_plan(**roof)
    edges = [max(plan.edge_margin_mm, airbag_zone_mm)] if airbags else []
    rects = [
        Rect(p["x_mm"], p["x_mm"] + p["length_mm"], p["y_mm"], p["y_mm"] + p["width_mm"])
        for p in panels
    ]
    for tried in _tries(plan, [*edges, plan.edge_margin_mm],
                        _below(inside or (), inside_clear_mm),
                        _below(inside or (), inside_slack_mm)):
        spot = entry_spot(
            roof=tried, panels=rects, box_mm=box_mm, panel_clear_mm=panel_clear_mm,
            rooflight_clear_mm=rooflight_clear_mm, rib_clear_mm=rib_clear_mm,
        )
        if spot:
            room = _room(spot, box_mm, inside, inside_slack_mm, inside_clear_mm)
            strip = airbags and _from_side_mm(spot, box_mm, plan.width_mm) < airbag_zone_mm
            return {**asdict(spot), **room, "in_strip": strip}
    return None


def _from_side_mm(spot: EntrySpot, box_mm: float, roof_mm: float) -> float:
    """Return how near the entry's flange comes to a side of the roof, along which airbags run."""
    return round(min(spot.y_mm, roof_mm - spot.y_mm) - box_mm / 2, 3)


def _tries(
    plan: RoofPlan, edges: list[float], clear: tuple[Obstacle, ...], missed: tuple[Obstacle, ...]
) -> Iterator[RoofPlan]:
    """Yield the roof as the entry should see it, from the strictest to the one that ignores most.

    A place that just misses what lies below comes before one in the strip of the airbags.
    """
    below = list(dict.fromkeys((clear, missed)))
    tries = [(margin, things) for margin in edges for things in below]
    for margin, things in [*tries, *((margin, ()) for margin in edges)]:
        yield replace(plan, edge_margin_mm=margin, obstacles=(*plan.obstacles, *things))


def _below(inside: Rows, clear_mm: float) -> tuple[Obstacle, ...]:
    """Return what is fixed below the roof as things to keep the entry away from."""
    return tuple(
        Obstacle(row["name"], "other", row["x_mm"], row["y_mm"], row["length_mm"],
                 row["width_mm"], 0.0, clear_mm)
        for row in inside
    )


def _room(
    spot: EntrySpot, box_mm: float, inside: Rows | None, slack_mm: float, clear_mm: float
) -> dict[str, Any]:
    """Return what lies under the entry and near it; nothing where nobody listed it."""
    if inside is None:
        return {"clear_inside": None, "over_something": None, "over_inside": None}
    square = [Footing("cable entry", spot.x_mm, spot.y_mm, box_mm / 2)]
    things = _below(inside, clear_mm)
    over = things_below(footings=square, things=things, from_mm=0, to_mm=slack_mm)
    near = things_below(footings=square, things=things, from_mm=0, to_mm=clear_mm)
    return {"clear_inside": not near, "over_something": bool(over), "over_inside": over}


BINDINGS: tuple[Binding, ...] = (
    bind(
        entry,
        GIVES,
        kind="entry.kind",
        where="entry.where",
        panels="place.panels",
        box_mm="limit.entry_box_mm",
        panel_clear_mm="limit.entry_clear_mm",
        rooflight_clear_mm="limit.entry_rooflight_mm",
        rib_clear_mm="limit.entry_rib_mm",
        airbags="vehicle.curtain_airbags",
        airbag_zone_mm="limit.airbag_zone_mm",
        inside="roof.inside?",
        inside_clear_mm="limit.entry_inside_mm",
        inside_slack_mm="limit.inside_slack_mm",
        **ROOF,
    ),
)
