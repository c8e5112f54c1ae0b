"""One bolted fixing from head to nut: length, hole, reach inside, torque and which way round."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, positive, within
from planner.errors import OutOfRangeError

LEAST_PAST_NUT_MM = 2.0
MOST_PAST_NUT_MM = 5.0
KEEP_CLEAR_MM = 10.0
"""Thread past the nut, and air to keep below the lowest part inside. Common practice."""


class SectionPart(Struct, frozen=True):
    """One layer of the fixing, from outside to inside, for the sum and for the drawing.

    Attributes:
        name: What it is.
        thickness_mm: How thick it is when tightened.
        inside: Whether it lies below the inner face of the roof.
    """

    name: str
    thickness_mm: float
    inside: bool = False


class BoltChoice(Struct, frozen=True):
    """The standard bolt for a stack of parts.

    Attributes:
        length_mm: Standard length, measured from under the head.
        needed_mm: Length the stack needs, 2 mm past the nut included.
        past_nut_mm: Thread that shows past the nut.
        packing_mm: Washers to add so that no more than 5 mm shows; 0 if none.
        inside_mm: How far the bolt reaches below the inner face of the roof.
    """

    length_mm: float
    needed_mm: float
    past_nut_mm: float
    packing_mm: float
    inside_mm: float

    @property
    def clear_needed_mm(self) -> float:
        """Clear height under the roof, shut, that this bolt asks for."""
        return self.inside_mm + KEEP_CLEAR_MM


def _check_parts(parts: Sequence[SectionPart]) -> None:
    """Refuse a part of negative or unknown thickness, by its name."""
    for part in parts:
        not_negative(f"thickness_mm of {part.name}", part.thickness_mm)


def stack_mm(*, parts: Sequence[SectionPart]) -> float:
    """Return the thickness of all parts together [mm]; a negative one is refused by its name."""
    _check_parts(parts)
    return sum(part.thickness_mm for part in parts)


def needed_length_mm(*, parts: Sequence[SectionPart], nut_height_mm: float) -> float:
    """Return the bolt that the parts need, 2 mm past the nut included.

    Args:
        parts: Everything between head and nut.
        nut_height_mm: Tallest locking nut that may be fitted [mm], above 0 to 30.

    Raises:
        OutOfRangeError: If a thickness is negative or the nut out of range.
    """
    above_to("nut_height_mm", nut_height_mm, 0, 30)
    return stack_mm(parts=parts) + nut_height_mm + LEAST_PAST_NUT_MM


def choose_bolt(
    *, parts: Sequence[SectionPart], nut_height_mm: float, lengths_mm: Sequence[float]
) -> BoltChoice:
    """Return the shortest standard bolt that clamps the parts and shows 2 mm past the nut.

    Args:
        parts: Everything between head and nut, outside to inside.
        nut_height_mm: Tallest locking nut that may be fitted [mm], above 0 to 30.
        lengths_mm: Standard lengths in rising order [mm].

    Returns:
        The choice. Where more than 5 mm would show past the nut it says how much packing to add.

    Raises:
        OutOfRangeError: If a thickness is negative, or the stack is longer than any standard bolt.

    Notes:
        L = Σ parts + nut + 2 mm, then the next standard length.

    References:
        .. [1] Lengths: ISO 888 (from memory). 2 to 5 mm past the nut: common practice.
    """
    needed = needed_length_mm(parts=parts, nut_height_mm=nut_height_mm)
    length = next((size for size in lengths_mm if size >= needed), None)
    if length is None:
        longest = max(lengths_mm, default=0)
        raise OutOfRangeError(
            "needed_mm",
            f"{needed:g}",
            f"at most {longest:g}, the longest standard bolt; use thinner packers, or fix each "
            "skin to a potted insert instead of bolting through",
        )
    past = length - needed + LEAST_PAST_NUT_MM
    outside = sum(part.thickness_mm for part in parts if not part.inside)
    packing = max(0.0, past - MOST_PAST_NUT_MM)
    return BoltChoice(length, needed, past, packing, length - outside)


def next_length_mm(*, needed_mm: float, lengths_mm: Sequence[float]) -> float:
    """Return the next standard length at or above a needed length [mm], more than 0."""
    positive("needed_mm", needed_mm)
    longer = [size for size in lengths_mm if size >= needed_mm]
    if not longer:
        raise OutOfRangeError("needed_mm", needed_mm, f"at most {max(lengths_mm, default=0):g}")
    return min(longer)


def hole_mm(
    *, bolt_mm: float, medium_fit_mm: float, plastic: bool, plastic_over_mm: float = 2.0
) -> float:
    """Return the size to drill.

    Args:
        bolt_mm: Bolt diameter [mm], above 0 to 20.
        medium_fit_mm: Medium clearance hole for it [mm], more than the bolt.
        plastic: Whether the roof is capped in a plastic that moves with heat.
        plastic_over_mm: How much larger than the bolt a hole in such plastic is [mm], 0.5 to 5.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] ISO 273:1979, medium series (read on a secondary page); 2 mm in ABS is common
           practice.
    """
    above_to("bolt_mm", bolt_mm, 0, 20)
    above_to("medium_fit_mm", medium_fit_mm, bolt_mm, bolt_mm + 3)
    within("plastic_over_mm", plastic_over_mm, 0.5, 5)
    return bolt_mm + plastic_over_mm if plastic else medium_fit_mm


class Torque(Struct, frozen=True):
    """Final torque [N m] and the part that limits it."""

    torque_nm: float
    limited_by: str


def softest_torque(*, limits_nm: Mapping[str, float]) -> Torque:
    """Return the torque that the softest part allows.

    Args:
        limits_nm: Highest torque by part [N m], each more than 0, at least one.

    Raises:
        OutOfRangeError: If there is no part, or a limit is not more than 0.
    """
    if not limits_nm:
        raise OutOfRangeError("limits_nm", "empty", "at least one part with its torque")
    for part, limit in limits_nm.items():
        positive(f"limits_nm of {part}", limit)
    part = min(limits_nm, key=lambda name: limits_nm[name])
    return Torque(limits_nm[part], part)


def wrench_torque_nm(*, torque_nm: float, running_nm: float) -> float:
    """Return what to set on the torque driver: the clamp torque plus what the new nut drags.

    Args:
        torque_nm: Torque that clamps [N m], more than 0.
        running_nm: Running torque measured on a new locking nut [N m], 0 to 20.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("torque_nm", torque_nm)
    within("running_nm", running_nm, 0, 20)
    return torque_nm + running_nm


def preload_n(*, torque_nm: float, diameter_mm: float, nut_factor: float) -> float:
    """Return the clamp force that a torque gives.

    Args:
        torque_nm: Torque without the drag of the nut [N m], more than 0.
        diameter_mm: Bolt diameter [mm], above 0 to 20.
        nut_factor: K [1], 0.05 to 0.6: about 0.15 with paste, 0.26 dry stainless.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = T / (K d).

    References:
        .. [1] Handbook form of the torque and preload relation.
    """
    positive("torque_nm", torque_nm)
    above_to("diameter_mm", diameter_mm, 0, 20)
    within("nut_factor", nut_factor, 0.05, 0.6)
    return torque_nm / (nut_factor * diameter_mm / 1000)


class WayRound(Struct, frozen=True):
    """Which end of the bolt goes inside, how far it reaches down, and why."""

    head_inside: bool
    inside_mm: float
    fits: bool
    reason: str


def way_round(
    *, nut_inside_mm: float, head_inside_mm: float, underside_clear_mm: float, reach_shut: bool
) -> WayRound:
    """Return which way round the bolt goes.

    Args:
        nut_inside_mm: Reach below the roof with the nut inside [mm], 0 or more.
        head_inside_mm: Reach below the roof with a low head inside [mm], 0 or more.
        underside_clear_mm: Clear height under the roof, shut [mm], 0 or more.
        reach_shut: Whether a hand and spanner reach the inside with the roof shut.

    Returns:
        Nut inside where it clears and can be reached, otherwise head inside; ``fits`` is false
        where neither leaves 10 mm clear.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] Common practice, no source.
    """
    not_negative("nut_inside_mm", nut_inside_mm)
    not_negative("head_inside_mm", head_inside_mm)
    not_negative("underside_clear_mm", underside_clear_mm)
    room = underside_clear_mm - KEEP_CLEAR_MM
    if reach_shut and nut_inside_mm <= room:
        reason = "The nut clears what is below and can be reached with the roof shut."
        return WayRound(head_inside=False, inside_mm=nut_inside_mm, fits=True, reason=reason)
    why = (
        "A nut inside would come too near what is below."
        if reach_shut
        else "The inside cannot be reached with the roof shut."
    )
    fits = head_inside_mm <= room
    if not fits:
        why += (
            f" A low head inside needs {head_inside_mm + KEEP_CLEAR_MM:.0f} mm of clear height "
            f"and there is {underside_clear_mm:.0f} mm: use a thinner plate or move the fixing."
        )
    return WayRound(head_inside=True, inside_mm=head_inside_mm, fits=fits, reason=why)


def sleeve_length_mm(*, total_mm: float) -> tuple[float, float]:
    """Return the shortest and longest sleeve that carries the clamp through a cored roof.

    Args:
        total_mm: Thickness of the roof, skins and core together [mm], above 0 to 100.

    Returns:
        Lower and upper limit [mm]: the thickness, plus 0.2 at most. A shorter one lets the core
        be crushed; a longer one leaves the washer loose.

    Raises:
        OutOfRangeError: If the thickness is out of range.
    """
    above_to("total_mm", total_mm, 0, 100)
    return total_mm, total_mm + 0.2


def packing_washers(*, packing_mm: float, washer_mm: float) -> int:
    """Return how many extra washers make up the packing, both thicknesses in mm."""
    not_negative("packing_mm", packing_mm)
    positive("washer_mm", washer_mm)
    return math.ceil(packing_mm / washer_mm - 1e-9)
