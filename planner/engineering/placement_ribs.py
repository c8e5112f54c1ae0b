"""Ribbed roofs: which feet land on the flats, where a panel may then lie, and what else would do.

A foot rocks and crushes the crown if it stands half on a rib, so a whole foot stands on a flat,
or on a shaped packer that bridges two ribs (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct

from planner.engineering.guards import not_negative, positive
from planner.engineering.placement_model import Ribs
from planner.engineering.placement_space import EPS, Span, free_spans, rib_walls
from planner.errors import OutOfRangeError


class RibVerdict(Struct, frozen=True):
    """Whether one mount's foot can stand on a ribbed roof.

    Attributes:
        mount: Its name.
        foot_mm: Size of its foot across the ribs.
        lands: The whole foot goes on one flat.
        spare_mm: Flat less foot; negative where the foot is too wide.
        packer_length_mm: Where it does not land: packer from the far side of one rib to the far
            side of the next; 0 where none is needed.
        packer_height_mm: How high the packer fills up the flat between the ribs.
        text: The verdict in words.
    """

    mount: str
    foot_mm: float
    lands: bool
    spare_mm: float
    packer_length_mm: float
    packer_height_mm: float
    text: str


class RowSpacing(Struct, frozen=True):
    """Two rows of feet across ribs: the spacing asked for, and the nearest one that lands."""

    spacing_mm: float
    lands: bool
    nearest_mm: float
    change_mm: float


def mounts_on_ribs(*, ribs: Ribs, feet_mm: Mapping[str, float]) -> list[RibVerdict]:
    """Return, for every mount, whether its foot lands on a flat, or the packer that it needs.

    Args:
        ribs: The roof's ribs.
        feet_mm: Size of each mount's foot across the ribs [mm], more than 0.

    Returns:
        One verdict for each mount: those that land first, the most spare flat first.

    Raises:
        OutOfRangeError: If a size is not more than 0.

    Notes:
        A packer that bridges two ribs is 2 × pitch - flat long and as high as the ribs.
    """
    verdicts = [_verdict(ribs, mount, foot) for mount, foot in feet_mm.items()]
    return sorted(verdicts, key=lambda v: (not v.lands, -v.spare_mm, v.mount))


def _verdict(ribs: Ribs, mount: str, foot_mm: float) -> RibVerdict:
    positive(f"{mount}: foot", foot_mm)
    spare = ribs.flat_mm - foot_mm
    if spare >= -EPS:
        text = f"a {foot_mm:.0f} mm foot lands on the {ribs.flat_mm:.0f} mm flat"
        return RibVerdict(mount, foot_mm, True, spare, 0.0, 0.0, text)
    length = 2 * ribs.pitch_mm - ribs.flat_mm
    text = f"a {foot_mm:.0f} mm foot is {-spare:.0f} mm wider than the {ribs.flat_mm:.0f} mm flat; "
    if foot_mm > length:
        text += "it also overhangs a packer across two ribs: choose a smaller foot"
        return RibVerdict(mount, foot_mm, False, spare, 0.0, 0.0, text)
    text += (f"it needs a shaped packer across two ribs, {length:.0f} mm long and "
             f"{ribs.height_mm:.0f} mm high")
    return RibVerdict(mount, foot_mm, False, spare, length, ribs.height_mm, text)


def landing_offsets(
    *, ribs: Ribs, feet_mm: Iterable[tuple[float, float]], low_mm: float, high_mm: float
) -> list[Span]:
    """Return where a panel's edge may lie so that every foot stands wholly on a flat.

    Args:
        ribs: The roof's ribs; the coordinate runs across them.
        feet_mm: For each foot, its centre from the panel's edge and its size, across the ribs.
        low_mm: Lowest coordinate of the panel's edge [mm].
        high_mm: Highest coordinate of the panel's edge [mm], at least ``low_mm``.

    Returns:
        Closed spans (from, to) in rising order; empty if no place will do.

    Raises:
        OutOfRangeError: If a foot has no size or the coordinates are reversed.
    """
    feet = list(feet_mm)
    for _, size in feet:
        positive("feet_mm: size", size)
    if not low_mm <= high_mm:
        raise OutOfRangeError("high_mm", high_mm, f"at least low_mm, {low_mm:g}")
    return free_spans(low_mm, high_mm, rib_walls(ribs, feet, low_mm, high_mm))


def row_spacing(*, ribs: Ribs, spacing_mm: float, foot_mm: float) -> RowSpacing:
    """Return whether two rows of feet can stand on flats at once, and the nearest that can.

    Args:
        ribs: The roof's ribs.
        spacing_mm: From row to row, centre to centre, across the ribs [mm], 0 or more.
        foot_mm: Size of a foot across the ribs [mm], more than 0 and at most the flat.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        The spacing must lie within (flat - foot) of a whole number of pitches.
    """
    not_negative("spacing_mm", spacing_mm)
    if not 0 < foot_mm <= ribs.flat_mm:
        raise OutOfRangeError("foot_mm", foot_mm, f"more than 0 to the flat, {ribs.flat_mm:g} mm")
    spare = ribs.flat_mm - foot_mm
    whole = round(spacing_mm / ribs.pitch_mm) * ribs.pitch_mm
    nearest = min(max(spacing_mm, whole - spare), whole + spare)
    change = nearest - spacing_mm
    return RowSpacing(spacing_mm, abs(change) <= EPS, nearest, change)
