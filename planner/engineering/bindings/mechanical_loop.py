"""Bind the moving cable between roof and body to its facts."""

from __future__ import annotations

import math
from typing import Any

from planner.engineering import cable_loop
from planner.engineering.lifting import PARALLEL
from planner.engineering.loop_shape import Point, arc_points, u_points
from planner.ledger import Binding, bind


def distances(
    *,
    closed_mm: float | None,
    open_mm: float | None,
    hinge: str,
    opening_mm: float,
    opening_deg: float | None,
    shell_mm: float | None,
    body_mm: float | None,
    shut_deg: float | None,
) -> dict[str, Any] | None:
    """Return the distances between the anchors: as measured, or from the roof's geometry."""
    if closed_mm is not None and open_mm is not None:
        # A largest distance under the shut one is told by a finding; the loop is drawn for both.
        return {"closed": closed_mm, "open": max(open_mm, closed_mm), "measured": True,
                "most": closed_mm + _travel_mm(opening_mm, opening_deg)}
    if hinge == PARALLEL:
        far = cable_loop.lifted_distance_mm(height_mm=opening_mm)
        return {"closed": 0.0, "open": far, "measured": False, "most": None}
    if opening_deg is None or shell_mm is None or body_mm is None:
        return None
    ends = [
        cable_loop.hinged_distance_mm(
            roof_arm_mm=shell_mm,
            body_arm_mm=body_mm,
            opening_deg=angle,
            shut_angle_deg=shut_deg or 0.0,
        )
        for angle in (0.0, opening_deg)
    ]
    return {"closed": ends[0], "open": ends[1], "measured": False, "most": None}


def _travel_mm(opening_mm: float, opening_deg: float | None) -> float:
    """Return the farthest that any point of the shell moves, and with it an anchor.

    On a hinge that is the chord of the free edge, rise / cos(angle / 2); on a level lift the
    rise, with a quarter for arms that swing. A tape held askew gets 20 mm.
    """
    if opening_deg is None:
        return 1.25 * opening_mm + 20
    return opening_mm / math.cos(math.radians(opening_deg / 2)) + 20


def loop(
    *,
    closed_mm: float,
    open_mm: float,
    od_mm: float,
    offset_mm: float,
    coldest_c: float,
    hinge: str,
    opening_deg: float | None,
) -> dict[str, Any]:
    """Return the moving cable: length, bend, surplus, outline, and what to move."""
    found = cable_loop.plan_loop(
        shut_mm=closed_mm,
        greatest_mm=open_mm,
        cable_od_mm=od_mm,
        side_offset_mm=offset_mm,
        below_freezing=coldest_c < 0,
    )
    changes = list(found.changes)
    if changes and hinge != PARALLEL and opening_deg:
        changes.append(_nearer(found.radius_mm, opening_deg))
    return {
        "length": found.length_mm,
        "radius": found.radius_mm,
        "excess": found.excess_mm,
        "tail": found.tail_mm,
        "width": found.width_mm,
        "depth": found.depth_mm,
        "offset": 0.0 if found.plain_u else 2 * found.radius_mm,
        "fits": not changes,
        "advice": " ".join(changes) or "A plain loop fits.",
        "shut": _rows(_shut(found, closed_mm, offset_mm)),
        "open": _rows(_open(found, open_mm, offset_mm)),
    }


def _nearer(radius_mm: float, opening_deg: float) -> str:
    """Return how near the hinge a crossing would move no more than the cable's own U."""
    arm = cable_loop.crossing_arm_mm(chord_mm=2 * radius_mm, opening_deg=opening_deg)
    return f"Within {arm:.0f} mm of the hinge the cable moves less than the width of its own bend."


def _shut(found: cable_loop.Loop, closed_mm: float, offset_mm: float) -> tuple[Point, ...]:
    free = found.length_mm - 2 * found.tail_mm
    apart = (closed_mm**2 + offset_mm**2) ** 0.5
    if found.plain_u and free >= 3.1416 * apart / 2:
        return u_points(width_mm=apart, length_mm=free)
    return arc_points(chord_mm=apart, length_mm=free)


def _open(found: cable_loop.Loop, open_mm: float, offset_mm: float) -> tuple[Point, ...]:
    apart = (open_mm**2 + offset_mm**2) ** 0.5
    return arc_points(chord_mm=apart, length_mm=found.length_mm - 2 * found.tail_mm)


def _rows(points: tuple[Point, ...]) -> list[dict[str, float]]:
    return [{"x_mm": round(x, 1), "y_mm": round(y, 1)} for x, y in points]


BINDINGS: tuple[Binding, ...] = (
    bind(
        distances,
        {
            "loop.closed_mm": "closed",
            "loop.open_mm": "open",
            "loop.measured": "measured",
            "loop.most_open_mm": "most",
        },
        closed_mm="lift.cable_closed_mm?",
        open_mm="lift.cable_open_mm?",
        hinge="lift.hinge",
        opening_mm="lift.opening_mm",
        opening_deg="lift.opening_angle_deg?",
        shell_mm="lift.anchor_shell_mm?",
        body_mm="lift.anchor_body_mm?",
        shut_deg="lift.anchor_angle_deg?",
    ),
    bind(
        loop,
        {
            "loop.length_mm": "length",
            "loop.radius_mm": "radius",
            "loop.excess_mm": "excess",
            "loop.tail_mm": "tail",
            "loop.width_mm": "width",
            "loop.depth_mm": "depth",
            "loop.offset_needed_mm": "offset",
            "loop.fits": "fits",
            "loop.advice": "advice",
            "loop.points": "shut",
            "loop.points_open": "open",
        },
        closed_mm="loop.closed_mm",
        open_mm="loop.open_mm",
        od_mm="entry.cable_od_mm",
        offset_mm="lift.cable_offset_mm",
        coldest_c="wiring.coldest_c",
        hinge="lift.hinge",
        opening_deg="lift.opening_angle_deg?",
    ),
)
