"""Bind holes, what lies below them, and the checks of the chosen mount to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.bindings.mechanical_air import Rows, is_bonded
from planner.engineering.bindings.mechanical_bond import bond_need, ribbon_mm, ribbons_of
from planner.engineering.bindings.mechanical_feet import (
    Given,
    bare_core_use,
    feet_of,
    load_of,
    panels,
)
from planner.engineering.bindings.mechanical_layout import ALL_FACTS
from planner.engineering.bindings.mechanical_mounts import BOLTED
from planner.engineering.bonding import ribbon_area_laid_cm2
from planner.engineering.brackets import worst_foot
from planner.engineering.placement_inside import Footing, things_below
from planner.engineering.placement_model import Obstacle
from planner.ledger import Binding, bind
from planner.rounding import down, up

ENTRY_NOTE = "cable entry"
"""What the table of holes says of the hole for the cables."""


def holes(
    *,
    feet: Rows | None,
    method: str,
    retention: Rows | None,
    hole_mm: float | None,
    depth_mm: float,
    kind: str,
    entry_kind: str | None,
    entry_where: str | None,
    entry_x_mm: float | None,
    entry_y_mm: float | None,
    entry_hole_mm: float | None,
) -> list[dict[str, Any]]:
    """Return every hole through the roof: feet, second retention, cable entry."""
    bolts = list(feet or ()) if method in BOLTED else []
    through = [*bolts, *(retention or ())] if kind not in ("none", "bars") else []
    rows = [_hole(row, hole_mm, depth_mm, _note(row)) for row in through]
    through_roof = entry_kind in ("entry_box", "single_glands") and entry_where != "body_side"
    if through_roof and entry_x_mm is not None and entry_y_mm is not None:
        spots = _entry_spots(entry_kind, entry_x_mm, entry_y_mm, entry_hole_mm)
        rows += [_hole(spot, entry_hole_mm, depth_mm, ENTRY_NOTE) for spot in spots]
    return rows


def edge(*, rows: Rows, width_mm: float) -> float | None:
    """Return how near the outermost fixing comes to a side of the roof; the entry tells itself."""
    sides = [min(row["y_mm"], width_mm - row["y_mm"]) for row in rows if row["note"] != ENTRY_NOTE]
    return min(sides, default=None)


def inside(
    *, rows: Rows, things: Rows, kind: str, plate_mm: float, slack_mm: float, clear_mm: float
) -> dict[str, Any]:
    """Return what is fixed below the roof under a fixing, and what a hand cannot get past.

    The cable entry has its own check. Bars that are there already, and ribbons, have no row here,
    rightly: the job makes no hole for them, what the bars' own feet meet below was settled when
    they were fitted and rated, and no panel is hot enough to harm what lies under a roof's skin
    (common practice, no source). What ties a bonded panel through the roof has its row.

    A closed rivet nut is set from outside: it needs no hand below, only that its end and the drill
    hit nothing.
    """
    blind = kind == "rivet_nut"
    marks = [
        Footing(row["name"], row["x_mm"], row["y_mm"],
                (row["diameter_mm"] or 0.0) / 2 if blind else plate_mm / 2)
        for row in rows if row["note"] != ENTRY_NOTE
    ]
    below = [
        Obstacle(row["name"], "other", row["x_mm"], row["y_mm"], row["length_mm"], row["width_mm"])
        for row in things
    ]
    over = things_below(footings=marks, things=below, from_mm=0, to_mm=slack_mm)
    reach = slack_mm if blind else clear_mm
    near = things_below(footings=marks, things=below, from_mm=slack_mm, to_mm=reach)
    return {"something": bool(over), "over": over, "tight": bool(near), "near": near}


def _note(row: Mapping[str, Any]) -> str:
    return "second retention" if str(row["name"]).startswith("R") else "foot"


def _entry_spots(
    kind: str | None, x_mm: float, y_mm: float, hole_mm: float | None
) -> Sequence[dict[str, Any]]:
    """Return one hole under a box, or one for each of two glands, side by side."""
    if kind == "entry_box":
        return [{"name": "entry", "x_mm": x_mm, "y_mm": y_mm}]
    apart = 2 * (hole_mm or 0)
    return [
        {"name": f"entry {number}", "x_mm": x_mm, "y_mm": y_mm + side * apart / 2}
        for number, side in ((1, -1), (2, 1))
    ]


def _hole(
    row: Mapping[str, Any], diameter_mm: float | None, depth_mm: float, note: str
) -> dict[str, Any]:
    return {
        "name": row["name"],
        "x_mm": row["x_mm"],
        "y_mm": row["y_mm"],
        "diameter_mm": diameter_mm,
        "depth_mm": depth_mm,
        "note": note,
    }


def checks(*, method: str, **given: Any) -> dict[str, Any] | None:
    """Return every check of the chosen mount for its hardest-worked panel."""
    if is_bonded(method):
        rows = [_bond_check(given, method)]
        return {"rows": rows, "tension": None, "lift": None, "core": None}
    if method not in BOLTED:
        return None
    rail = method == "bolted_rails"
    found = [(panel, feet_of(given, panel, rail=rail)) for panel in panels(given)]
    known = [(panel, result) for panel, result in found if result is not None]
    if not known:
        return None
    panel, worst = max(known, key=lambda pair: pair[1].governing.utilisation)
    lift, _ = worst_foot(load=load_of(given, panel), feet=worst.feet)
    core = bare_core_use(given, panel, rail=rail, feet=worst.feet)
    rows = [
        {
            "part": check.part,
            "load": up(check.load, 2),
            "bears": down(check.capacity, 2),
            "unit": check.unit,
            "factor": down(check.reached, 1),
            "factor_wanted": check.factor,
            "utilisation_percent": up(100 * check.utilisation),
            "basis": check.basis,
        }
        for check in worst.checks
    ]
    return {
        "rows": rows,
        "tension": worst.checks[0].load,
        "lift": lift,
        "core": None if core is None else 100 * core,
    }


def _bond_check(given: Given, method: str) -> dict[str, Any]:
    panel = max(panels(given), key=lambda one: one.area_m2)
    need = bond_need(given, panel)
    _, ribbon_m, _ = ribbons_of(given, method, panel)
    width = ribbon_mm(given, method, panel)
    laid = ribbon_area_laid_cm2(length_m=ribbon_m, width_mm=width)
    return {
        "part": f"adhesive ribbon, {need.governed_by}",
        "load": up(need.area_cm2),
        "bears": down(laid),
        "unit": "cm²",
        "factor": down(laid / need.area_cm2, 1),
        "factor_wanted": 1,
        "utilisation_percent": up(100 * need.area_cm2 / laid),
        "basis": f"planning assumption; peel not proved ({method.replace('_', ' ')})",
    }


BINDINGS: tuple[Binding, ...] = (
    bind(
        holes,
        "holes.rows",
        feet="feet.positions?",
        method="mount.method",
        retention="retention.anchors?",
        hole_mm="fixing.hole_mm?",
        depth_mm="fixing.roof_mm",
        kind="fixing.kind",
        entry_kind="entry.kind?",
        entry_where="entry.where?",
        entry_x_mm="entry.x_mm?",
        entry_y_mm="entry.y_mm?",
        entry_hole_mm="entry.hole_mm?",
    ),
    bind(
        inside,
        {
            "holes.over_something": "something",
            "holes.over_inside": "over",
            "holes.tight_inside": "tight",
            "holes.near_inside": "near",
        },
        rows="holes.rows",
        things="roof.inside",
        kind="fixing.kind",
        plate_mm="limit.plate_mm",
        slack_mm="limit.inside_slack_mm",
        clear_mm="limit.entry_inside_mm",
    ),
    bind(edge, "holes.edge_mm", rows="holes.rows", width_mm="roof.width_mm"),
    bind(
        checks,
        {
            "feet.checks": "rows",
            "feet.bolt_tension_n": "tension",
            "feet.foot_load_n": "lift",
            "feet.core_use_percent": "core",
        },
        method="mount.method",
        **ALL_FACTS,
    ),
)
