"""Bind the moving cable between roof and body to its facts."""

from __future__ import annotations

import math
from typing import Any

from planner.engineering import cable_loop
from planner.engineering.lifting import PARALLEL
from planner.engineering.loop_shape import Point, arc_points, u_points
from planner.ledger import Binding, bind

UNMEASURED = {"measured": False, "most": None, "sideways_ok": None}
"""What goes with distances that came from the roof's geometry."""


def distances(
    *,
    closed_mm: float | None,
    open_mm: float | None,
    offset_mm: float,
    hinge: str,
    opening_mm: float,
    opening_deg: float | None,
    shell_mm: float | None,
    body_mm: float | None,
    shut_deg: float | None,
    arm_factor: float,
    askew_mm: float,
) -> dict[str, Any] | None:
    """Return the distances between the anchors: as measured, or from the roof's geometry.

    A tape is laid straight from clamp to clamp, so what was measured holds the sideways step
    already; the loop is planned from the part square to the hinge, and from that step.
    """
    if closed_mm is not None and open_mm is not None:
        # A largest distance under the shut one is told by a finding; the loop is drawn for both.
        ends = _square(closed_mm, offset_mm), _square(max(open_mm, closed_mm), offset_mm)
        travel = _travel_mm(opening_mm, opening_deg, arm_factor)
        return _ends(*ends, offset_mm) | {
            "measured": True,
            "most": closed_mm + travel + askew_mm,
            "sideways_ok": closed_mm + askew_mm >= offset_mm,
        }
    if hinge == PARALLEL:
        far = cable_loop.lifted_distance_mm(height_mm=opening_mm)
        return _ends(0.0, far, offset_mm) | UNMEASURED
    if opening_deg is None or shell_mm is None or body_mm is None:
        return None
    closed, opened = (
        cable_loop.hinged_distance_mm(
            roof_arm_mm=shell_mm,
            body_arm_mm=body_mm,
            opening_deg=angle,
            shut_angle_deg=shut_deg or 0.0,
        )
        for angle in (0.0, opening_deg)
    )
    return _ends(closed, opened, offset_mm) | UNMEASURED


def _square(straight_mm: float, offset_mm: float) -> float:
    """Return the part of a straight distance that lies square to the hinge.

    A step longer than the whole leaves none; where that is more than a tape held askew, a
    finding stops the job.
    """
    return math.sqrt(max(straight_mm**2 - offset_mm**2, 0.0))


def _ends(closed_mm: float, open_mm: float, offset_mm: float) -> dict[str, float]:
    """Return both distances, square to the hinge and straight."""
    return {
        "closed": closed_mm,
        "open": open_mm,
        "straight_closed": math.hypot(closed_mm, offset_mm),
        "straight_open": math.hypot(open_mm, offset_mm),
    }


def _travel_mm(opening_mm: float, opening_deg: float | None, arm_factor: float) -> float:
    """Return the farthest that any point of the shell moves, and with it an anchor.

    On a hinge that is the chord of the free edge, rise / cos(angle / 2). On swinging arms it is
    rise / cos(their mean angle above level); that angle is not asked for, so a factor stands in.
    """
    if opening_deg is None:
        return arm_factor * opening_mm
    return opening_mm / math.cos(math.radians(opening_deg / 2))


def loop(
    *,
    closed_mm: float,
    open_mm: float,
    od_mm: float,
    offset_mm: float,
    coldest_c: float,
    hinge: str,
    opening_deg: float | None,
    over_mm: float,
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
        "most_length": found.length_mm + over_mm,
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
            "loop.straight_closed_mm": "straight_closed",
            "loop.straight_open_mm": "straight_open",
            "loop.sideways_ok": "sideways_ok",
        },
        closed_mm="lift.cable_closed_mm?",
        open_mm="lift.cable_open_mm?",
        offset_mm="lift.cable_offset_mm",
        hinge="lift.hinge",
        opening_mm="lift.opening_mm",
        opening_deg="lift.opening_angle_deg?",
        shell_mm="lift.anchor_shell_mm?",
        body_mm="lift.anchor_body_mm?",
        shut_deg="lift.anchor_angle_deg?",
        arm_factor="limit.arm_travel_factor",
        askew_mm="limit.tape_askew_mm",
    ),
    bind(
        loop,
        {
            "loop.length_mm": "length",
            "loop.most_length_mm": "most_length",
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
        over_mm="limit.loop_over_mm",
    ),
)
