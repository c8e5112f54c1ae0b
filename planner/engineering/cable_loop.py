"""The moving cable between roof and body: how long, how tight it may bend, and where it goes."""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.guards import above_to, not_negative, positive, within
from planner.engineering.loop_shape import arc_radius_mm
from planner.errors import OutOfRangeError


def moving_radius_mm(
    *, cable_od_mm: float, maker_radius_mm: float | None = None, below_freezing: bool = False
) -> float:
    """Return the tightest bend that a cable which moves may make.

    Args:
        cable_od_mm: Outer diameter [mm], above 0 to 40.
        maker_radius_mm: The maker's radius for a moving cable [mm], more than 0; None takes five
            diameters, as cable data to EN 50618 give.
        below_freezing: Whether the roof is moved below 0 °C.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        R = max(maker, 8 · OD), or 10 · OD in frost.

    References:
        .. [1] Cable data to EN 50618, 5 · OD when flexing (read on two secondary pages); 8 and
           10 · OD are common practice.
    """
    above_to("cable_od_mm", cable_od_mm, 0, 40)
    maker = 5 * cable_od_mm if maker_radius_mm is None else maker_radius_mm
    positive("maker_radius_mm", maker)
    return max(maker, (10 if below_freezing else 8) * cable_od_mm)


def hinged_distance_mm(
    *, roof_arm_mm: float, body_arm_mm: float, opening_deg: float, shut_angle_deg: float = 0.0
) -> float:
    """Return the distance between the two anchors of a hinged roof at an opening.

    Args:
        roof_arm_mm: a, from the hinge axis to the anchor on the roof [mm], more than 0.
        body_arm_mm: b, from the hinge axis to the anchor on the body [mm], more than 0.
        opening_deg: Opening angle [°], 0 to 90.
        shut_angle_deg: φ0, angle between the two arms with the roof shut [°], 0 to 90.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        d = √(a² + b² - 2 a b cos(φ0 + θ)); with a = b = r and φ0 = 0 it is 2 r sin(θ/2).

    References:
        .. [1] Cosine rule.
    """
    positive("roof_arm_mm", roof_arm_mm)
    positive("body_arm_mm", body_arm_mm)
    within("opening_deg", opening_deg, 0, 90)
    within("shut_angle_deg", shut_angle_deg, 0, 90)
    angle = math.radians(shut_angle_deg + opening_deg)
    square = roof_arm_mm**2 + body_arm_mm**2 - 2 * roof_arm_mm * body_arm_mm * math.cos(angle)
    return math.sqrt(max(square, 0.0))  # rounding can leave a hair below 0 when shut


def crossing_arm_mm(*, chord_mm: float, opening_deg: float) -> float:
    """Return how far from the hinge a crossing may lie if it is to open no more than a chord.

    Args:
        chord_mm: Distance wanted between the anchors, roof open [mm], more than 0.
        opening_deg: Opening angle [°], above 0 to 90.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        r = d / (2 sin(θ/2)), both anchors at the same distance from the hinge.
    """
    positive("chord_mm", chord_mm)
    above_to("opening_deg", opening_deg, 0, 90)
    return chord_mm / (2 * math.sin(math.radians(opening_deg) / 2))


def lifted_distance_mm(
    *, height_mm: float, fore_aft_mm: float = 0.0, side_mm: float = 0.0
) -> float:
    """Return the distance between the two anchors of a parallel lift at one position.

    Args:
        height_mm: Height of the roof anchor over the body anchor [mm], 0 or more.
        fore_aft_mm: Offset along the van at that position [mm], either sign.
        side_mm: Offset across the van [mm], either sign.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        d = √(h² + x² + y²). A lift that swings may be farthest apart half way: measure five
        positions and take the largest.
    """
    not_negative("height_mm", height_mm)
    within("fore_aft_mm", fore_aft_mm, -5000, 5000)
    within("side_mm", side_mm, -5000, 5000)
    return math.hypot(height_mm, fore_aft_mm, side_mm)


class Loop(Struct, frozen=True):
    """The free cable between two strain reliefs, and whether its surplus can be stowed shut.

    Attributes:
        radius_mm: Tightest bend allowed.
        tail_mm: Straight part held at each strain relief.
        length_mm: Least free length, tails included.
        governed_by: ``reach`` or ``bend``: which rule set the length.
        excess_mm: Surplus with the roof shut.
        plain_u: Whether a plain U fits between the anchors without a bend under the radius.
        width_mm: Room that the loop takes side to side, roof shut, cable included.
        depth_mm: Room that it takes from the anchors down.
        bend_mm: Radius of the loop as it lies, roof shut.
        changes: What to move or change, empty when all is well.
    """

    radius_mm: float
    tail_mm: float
    length_mm: float
    governed_by: str
    excess_mm: float
    plain_u: bool
    width_mm: float
    depth_mm: float
    bend_mm: float
    changes: tuple[str, ...]


class Room(Struct, frozen=True):
    """Space for the loop with the roof shut [mm]: across, and down from the anchors."""

    width_mm: float
    depth_mm: float


def tail_length_mm(*, cable_od_mm: float) -> float:
    """Return the straight part to hold at each strain relief: three diameters, at least 20 mm."""
    above_to("cable_od_mm", cable_od_mm, 0, 40)
    return max(3 * cable_od_mm, 20.0)


def free_length_mm(*, greatest_mm: float, radius_mm: float, tail_mm: float) -> tuple[float, str]:
    """Return the least free cable and the rule that sets it, ``reach`` or ``bend``.

    Args:
        greatest_mm: Greatest distance between the anchors in any position [mm], 0 or more.
        radius_mm: Moving radius [mm], more than 0.
        tail_mm: Straight part at each end [mm], 0 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        L = max(d + max(0.10 d, 40 mm) + 2 tail, π R + 2 tail).

    References:
        .. [1] Common practice for the slack; the second term is the half circle of a U.
    """
    not_negative("greatest_mm", greatest_mm)
    positive("radius_mm", radius_mm)
    not_negative("tail_mm", tail_mm)
    reach = greatest_mm + max(0.10 * greatest_mm, 40.0) + 2 * tail_mm
    bend = math.pi * radius_mm + 2 * tail_mm
    return (reach, "reach") if reach >= bend else (bend, "bend")


def _shut_shape(apart_mm: float, free_mm: float, plain_u: bool) -> tuple[float, float]:
    """Return bend and depth [mm] of the loop with the roof shut: a U, or else a round arc."""
    legs = (free_mm - math.pi * apart_mm / 2) / 2
    if plain_u and legs >= 0:
        return apart_mm / 2, legs + apart_mm / 2
    bend = arc_radius_mm(chord_mm=apart_mm, length_mm=free_mm)
    depth = bend + math.sqrt(max(bend**2 - (apart_mm / 2) ** 2, 0.0))
    if free_mm < math.pi * bend:
        depth = 2 * bend - depth
    return bend, depth


def plan_loop(
    *,
    shut_mm: float,
    greatest_mm: float,
    cable_od_mm: float,
    side_offset_mm: float = 0.0,
    maker_radius_mm: float | None = None,
    below_freezing: bool = False,
    tail_mm: float | None = None,
    room: Room | None = None,
    cable_mm: float | None = None,
) -> Loop:
    """Return the loop for one crossing: length, bend, room shut, and what to change.

    Args:
        shut_mm: Distance between the anchors in the plane of travel, roof shut [mm], 0 or more.
        greatest_mm: Greatest such distance in any position [mm], at least the shut one.
        cable_od_mm: Outer diameter of the sleeved pair or of the thicker cable [mm].
        side_offset_mm: Offset between the anchors square to that plane [mm], 0 or more.
        maker_radius_mm: As for ``moving_radius_mm``; so is ``below_freezing``.
        below_freezing: Whether the roof is moved below 0 °C.
        tail_mm: Straight part at each end [mm]; None takes ``tail_length_mm``.
        room: Space for the loop, roof shut; None if nobody measured it.
        cable_mm: Free cable that is there [mm]; None to have it cut as needed.

    Returns:
        The loop. ``changes`` says what to move where it does not fit or does not reach.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    not_negative("shut_mm", shut_mm)
    not_negative("side_offset_mm", side_offset_mm)
    if not shut_mm <= greatest_mm < math.inf:
        raise OutOfRangeError("greatest_mm", greatest_mm, f"{shut_mm:g} or more, as when shut")
    radius = moving_radius_mm(
        cable_od_mm=cable_od_mm, maker_radius_mm=maker_radius_mm, below_freezing=below_freezing
    )
    tail = tail_length_mm(cable_od_mm=cable_od_mm) if tail_mm is None else tail_mm
    reach = math.hypot(greatest_mm, side_offset_mm)
    length, rule = free_length_mm(greatest_mm=reach, radius_mm=radius, tail_mm=tail)
    apart = math.hypot(shut_mm, side_offset_mm)
    plain = max(shut_mm, side_offset_mm) >= 2 * radius
    bend, depth = _shut_shape(apart, length - 2 * tail, plain)
    width = max(2 * bend if depth > bend else apart, apart) + cable_od_mm
    loop = Loop(
        radius_mm=radius,
        tail_mm=tail,
        length_mm=length,
        governed_by=rule,
        excess_mm=length - apart,
        plain_u=plain,
        width_mm=width,
        depth_mm=tail + depth + cable_od_mm / 2,
        bend_mm=bend,
        changes=(),
    )
    changes = (*_shape_changes(loop), *_room_changes(loop, room), *_reach_changes(loop, cable_mm))
    return replace(loop, changes=changes)


def _shape_changes(loop: Loop) -> tuple[str, ...]:
    """Return what to do where no plain U fits."""
    if loop.plain_u:
        return ()
    offset = (
        f"No plain U fits: give the anchors {2 * loop.radius_mm:.0f} mm of side offset, cross "
        "where the roof travels less, or "
    )
    if loop.bend_mm < loop.radius_mm:
        return (offset + "move an anchor: the round loop would bend too tightly.",)
    return (
        offset + f"check the round loop on the van: it takes {loop.width_mm:.0f} mm across and "
        f"{loop.depth_mm:.0f} mm down.",
    )


def _room_changes(loop: Loop, room: Room | None) -> tuple[str, ...]:
    """Return what to do where the surplus cannot be stowed."""
    if room is None:
        return ()
    positive("width_mm", room.width_mm)
    positive("depth_mm", room.depth_mm)
    if loop.width_mm <= room.width_mm and loop.depth_mm <= room.depth_mm:
        return ()
    return (
        f"The loop needs {loop.width_mm:.0f} mm across and {loop.depth_mm:.0f} mm down; there is "
        f"{room.width_mm:.0f} by {room.depth_mm:.0f} mm. Cross where the roof travels less, move "
        "an anchor, or use a coiled cable rated for flexing.",
    )


def _reach_changes(loop: Loop, cable_mm: float | None) -> tuple[str, ...]:
    """Return what to do where the cable that is there does not reach."""
    if cable_mm is None:
        return ()
    positive("cable_mm", cable_mm)
    short = loop.length_mm - cable_mm
    if short <= 0:
        return ()
    return (
        f"The free cable is {short:.0f} mm too short to stay slack. Use a longer cable or bring "
        "the anchors that much nearer to each other with the roof open.",
    )
