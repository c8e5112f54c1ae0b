"""Where feet and their bolt holes go, on the panel and on a smooth or ribbed roof."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import not_negative, positive
from planner.errors import OutOfRangeError


class Panel(Struct, frozen=True):
    """A panel in its place: front left corner and extent on the roof plan [mm]."""

    x_mm: float
    y_mm: float
    along_x_mm: float
    along_y_mm: float

    @property
    def long_side_on_x(self) -> bool:
        """Whether the long sides run along the van."""
        return self.along_x_mm >= self.along_y_mm


class Flats(Struct, frozen=True):
    """Flat bands of a ribbed roof: ``axis`` is the direction in which they follow each other.

    Bands that run along the van follow each other across it, so their axis is ``y``.
    """

    axis: str
    bands_mm: tuple[tuple[float, float], ...]


class Foot(Struct, frozen=True):
    """One foot: its bolt hole on the panel's own plan and on the roof plan [mm]."""

    number: int
    side: str
    panel_x_mm: float
    panel_y_mm: float
    roof_x_mm: float
    roof_y_mm: float


class FootPlan(Struct, frozen=True):
    """Places of all feet; ``problem`` says what to change where there are none."""

    feet: tuple[Foot, ...]
    problem: str = ""


def rib_flats(
    *, axis: str, pitch_mm: float, flat_mm: float, extent_mm: float, first_mm: float = 0.0
) -> Flats:
    """Return the flat bands of a roof whose ribs repeat at an even pitch.

    Args:
        axis: ``x`` for ribs across the van, ``y`` for ribs along it.
        pitch_mm: From one rib to the next [mm], more than 0.
        flat_mm: Width of the flat between two ribs [mm], above 0 to the pitch.
        extent_mm: Extent of the roof in that direction [mm], more than 0.
        first_mm: Where some flat begins, from the front or left edge [mm], 0 or more; the pattern
            is carried on both ways from there.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    if axis not in ("x", "y"):
        raise OutOfRangeError("axis", axis, "x or y")
    positive("pitch_mm", pitch_mm)
    positive("extent_mm", extent_mm)
    not_negative("first_mm", first_mm)
    if not 0 < flat_mm <= pitch_mm:
        raise OutOfRangeError("flat_mm", flat_mm, f"more than 0 and at most {pitch_mm:g}")
    before = math.ceil(first_mm / pitch_mm)
    count = before + math.ceil(extent_mm / pitch_mm)
    starts = [first_mm + pitch_mm * (number - before) for number in range(count)]
    bands = ((max(low, 0.0), min(low + flat_mm, extent_mm)) for low in starts)
    return Flats(axis, tuple((low, high) for low, high in bands if high > low))


def even_spacing_mm(*, length_mm: float, count: int, inset_mm: float) -> tuple[float, ...]:
    """Return places spread evenly along a side.

    Args:
        length_mm: Length of the side [mm], more than 0.
        count: Feet on that side, 2 or more.
        inset_mm: From each end to the nearest foot [mm], 0 to less than half the side.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("length_mm", length_mm)
    if not count >= 2:
        raise OutOfRangeError("count", count, "2 or more on each side")
    if not 0 <= inset_mm < length_mm / 2:
        raise OutOfRangeError("inset_mm", inset_mm, f"0 to less than {length_mm / 2:g}")
    step = (length_mm - 2 * inset_mm) / (count - 1)
    return tuple(inset_mm + step * number for number in range(count))


def nearest_on_flats(
    *, wanted_mm: float, bands_mm: Sequence[tuple[float, float]], foot_mm: float
) -> float | None:
    """Return the place nearest to that wanted where a whole foot stands on a flat.

    Args:
        wanted_mm: Wanted centre [mm].
        bands_mm: Flat bands, from and to [mm].
        foot_mm: Extent of the foot in that direction [mm], more than 0.

    Returns:
        The centre [mm], or None where no flat takes the foot.

    Raises:
        OutOfRangeError: If the foot is not more than 0.
    """
    positive("foot_mm", foot_mm)
    places = _centres(bands_mm, foot_mm, wanted_mm)
    return min(places, key=lambda place: (abs(place - wanted_mm), place), default=None)


def _centres(
    bands_mm: Sequence[tuple[float, float]], foot_mm: float, wanted_mm: float
) -> list[float]:
    """Return, in rising order, the place on each flat that takes the foot nearest to a wish."""
    half = foot_mm / 2
    return sorted({
        min(max(wanted_mm, low + half), high - half)
        for low, high in bands_mm
        if high - low >= foot_mm
    })


def snap_to_flats(
    *, wanted_mm: Sequence[float], bands_mm: Sequence[tuple[float, float]], foot_mm: float
) -> tuple[float, ...] | None:
    """Return the places nearest to those wanted where a whole foot stands on a flat.

    Args:
        wanted_mm: Wanted centres in rising order [mm].
        bands_mm: Flat bands, from and to [mm].
        foot_mm: Length of a foot in that direction [mm], more than 0.

    Returns:
        Centres in rising order, no two feet overlapping, with the least total move; None if the
        flats cannot take that many feet.

    Raises:
        OutOfRangeError: If the foot length is not more than 0.
    """
    positive("foot_mm", foot_mm)
    ways: dict[float, tuple[float, tuple[float, ...]]] = {-math.inf: (0.0, ())}
    for wanted in wanted_mm:
        longer: dict[float, tuple[float, tuple[float, ...]]] = {}
        for place in _centres(bands_mm, foot_mm, wanted):
            earlier = [way for last, way in ways.items() if place - last >= foot_mm]
            if earlier:
                moved, path = min(earlier)
                longer[place] = (moved + abs(place - wanted), (*path, place))
        ways = longer
    return min(ways.values())[1] if ways else None


def _row_problem(rows_mm: tuple[float, float], flats: Flats, foot_mm: float) -> str:
    """Return what to change if a row of feet along the ribs does not stand on flats."""
    half = foot_mm / 2

    def on_flat(at: float) -> bool:
        return any(low + half <= at <= high - half for low, high in flats.bands_mm)

    if all(on_flat(row) for row in rows_mm):
        return ""
    edges = [edge for low, high in flats.bands_mm for edge in (low + half, high - half)]
    moves = sorted({edge - row for edge in edges for row in rows_mm}, key=abs)
    for move in moves:
        if all(on_flat(row + move) for row in rows_mm):
            return (
                f"The rows of feet at {flats.axis} = {rows_mm[0]:.0f} and {rows_mm[1]:.0f} mm do "
                f"not both stand on flats. Move the panel by {move:+.0f} mm along {flats.axis}."
            )
    return (
        f"The rows of feet at {flats.axis} = {rows_mm[0]:.0f} and {rows_mm[1]:.0f} mm cannot both "
        f"stand on flats with a foot of {foot_mm:.0f} mm. Use shaped packers or rails across the "
        "ribs, or turn the panel."
    )


def _along_side(
    panel: Panel, count: int, inset_mm: float, flats: Flats | None, foot_mm: float
) -> tuple[tuple[float, ...] | None, str]:
    """Return roof coordinates of the feet along a long side, or what to change."""
    on_x = panel.long_side_on_x
    length, start = (
        (panel.along_x_mm, panel.x_mm) if on_x else (panel.along_y_mm, panel.y_mm)
    )
    even = even_spacing_mm(length_mm=length, count=count, inset_mm=inset_mm)
    wanted = tuple(start + place for place in even)
    if flats is None or flats.axis != ("x" if on_x else "y"):
        return wanted, ""
    within = [
        (max(low, start), min(high, start + length))
        for low, high in flats.bands_mm
        if min(high, start + length) > max(low, start)
    ]
    snapped = snap_to_flats(wanted_mm=wanted, bands_mm=within, foot_mm=foot_mm)
    if snapped is None:
        widest = max((high - low for low, high in within), default=0.0)
        return None, (
            f"{count} feet of {foot_mm:.0f} mm do not fit on the flats along this side; the "
            f"widest flat under it is {widest:.0f} mm. Use a smaller foot, shaped packers or a "
            "rail across the ribs."
        )
    return snapped, ""


def place_feet(
    *,
    panel: Panel,
    feet: int,
    inset_mm: float,
    frame_to_bolt_mm: float,
    foot_mm: float,
    flats: Flats | None = None,
) -> FootPlan:
    """Return every foot along the panel's long sides, with its bolt hole on panel and roof.

    Args:
        panel: The panel in its place.
        feet: Number of feet, an even number of 4 or more.
        inset_mm: From the panel's ends to the nearest foot [mm], 0 or more.
        frame_to_bolt_mm: From the frame's outer face to the bolt [mm], 0 or more.
        foot_mm: Length of a foot [mm], more than 0.
        flats: Flat bands of a ribbed roof, or None for a smooth one.

    Returns:
        Feet numbered side by side from the front left; on a ribbed roof each is moved to the
        nearest flat. No feet and a problem in words where the flats cannot take them.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    if feet % 2 or not feet >= 4:
        raise OutOfRangeError("feet", feet, "an even number of 4 or more")
    for name in ("along_x_mm", "along_y_mm"):
        positive(name, getattr(panel, name))
    positive("foot_mm", foot_mm)
    not_negative("frame_to_bolt_mm", frame_to_bolt_mm)
    out = frame_to_bolt_mm
    on_x = panel.long_side_on_x
    near, far = (
        (panel.y_mm - out, panel.y_mm + panel.along_y_mm + out)
        if on_x
        else (panel.x_mm - out, panel.x_mm + panel.along_x_mm + out)
    )
    places, problem = _along_side(panel, feet // 2, inset_mm, flats, foot_mm)
    if not problem and flats is not None and flats.axis == ("y" if on_x else "x"):
        problem = _row_problem((near, far), flats, foot_mm)
    if problem or places is None:
        return FootPlan((), problem)
    sides = (("left", near), ("right", far)) if on_x else (("front", near), ("rear", far))
    spots = [
        (side, *((place, row) if on_x else (row, place)))
        for side, row in sides
        for place in places
    ]
    return FootPlan(
        tuple(
            Foot(number, side, x - panel.x_mm, y - panel.y_mm, x, y)
            for number, (side, x, y) in enumerate(spots, start=1)
        )
    )
