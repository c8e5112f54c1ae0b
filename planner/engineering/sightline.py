"""From how far a person beside the van can see the panel over the edge of the roof.

The eye, the edge of the roof and the panel's edge in one upright plane: similar triangles.
"""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.guards import not_negative, positive, within
from planner.errors import OutOfRangeError

SIDES = ("front", "rear", "left", "right")


class Sight(Struct, frozen=True):
    """Where the panel's edge can be seen from.

    Attributes:
        seen: ``always``, ``never``, ``beyond`` (from this distance outwards) or ``within`` (only
            from nearer than this distance).
        distance_mm: Measured level, outwards from the edge of the roof; 0 for ``always`` and
            ``never``.
    """

    seen: str
    distance_mm: float


class SideView(Struct, frozen=True):
    """The sight of the panel from one side of the van, with the roof shut or open."""

    side: str
    roof: str
    sight: Sight


def sight_over_edge(
    *, eye_height_mm: float, edge_height_mm: float, inboard_mm: float, stands_mm: float
) -> Sight:
    """Return from where an eye sees a point behind and above (or below) the edge of a roof.

    Args:
        eye_height_mm: Eye above the ground [mm], 0 or more.
        edge_height_mm: Edge of the roof above the ground [mm], more than 0.
        inboard_mm: From the edge of the roof to the point, level [mm], 0 or more.
        stands_mm: Point above the edge of the roof [mm]; negative if below it.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        distance / (edge - eye) = inboard / stands. With the eye below the edge the point comes in
        sight beyond that distance; with the eye above the edge and the point below it, within.
    """
    not_negative("eye_height_mm", eye_height_mm)
    positive("edge_height_mm", edge_height_mm)
    not_negative("inboard_mm", inboard_mm)
    within("stands_mm", stands_mm, -1e5, 1e5)
    drop = edge_height_mm - eye_height_mm
    if stands_mm > 0:
        distance = drop * inboard_mm / stands_mm
        return Sight("beyond", distance) if distance > 0 else Sight("always", 0.0)
    if drop >= 0:
        hidden = inboard_mm > 0 or stands_mm < 0
        return Sight("never", 0.0) if hidden else Sight("always", 0.0)
    if stands_mm == 0:
        return Sight("always", 0.0)
    return Sight("within", drop * inboard_mm / stands_mm)


def sight_over_crown(
    *,
    eye_height_mm: float,
    edge_height_mm: float,
    inboard_mm: float,
    stands_mm: float,
    crown_mm: float,
    roof_width_mm: float,
) -> Sight:
    """Return from where an eye sees a panel's edge over a roof that is crowned across.

    Args:
        eye_height_mm: Eye above the ground [mm], 0 or more, below the top of the panel.
        edge_height_mm: Side edge of the roof above the ground [mm], more than 0.
        inboard_mm: From that edge to the near edge of the panel [mm], 0 to half the width.
        stands_mm: Top of the panel's near edge above the roof skin there [mm], more than 0.
        crown_mm: Middle of the roof above its side edges [mm], 0 or more.
        roof_width_mm: From side edge to side edge [mm], more than 0.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        The crown is a parabola. The steepest free line from the panel's edge down and outwards
        touches the skin where the distance from the panel is h · sqrt(stands / crown), with h half
        the width, or passes the edge of the roof if that lies beyond it.
    """
    not_negative("eye_height_mm", eye_height_mm)
    positive("edge_height_mm", edge_height_mm)
    positive("roof_width_mm", roof_width_mm)
    within("inboard_mm", inboard_mm, 0, roof_width_mm / 2)
    positive("stands_mm", stands_mm)
    not_negative("crown_mm", crown_mm)
    half = roof_width_mm / 2
    skin = crown_mm * (1 - (1 - inboard_mm / half) ** 2)
    top = edge_height_mm + skin + stands_mm
    if inboard_mm == 0 or eye_height_mm >= top:
        return Sight("always", 0.0)
    reach = inboard_mm
    if crown_mm:
        reach = min(reach, half * math.sqrt(stands_mm / crown_mm))
    slope = stands_mm / reach + crown_mm / half * (2 - (2 * inboard_mm - reach) / half)
    distance = (top - eye_height_mm) / slope - inboard_mm
    return Sight("beyond", distance) if distance > 0 else Sight("always", 0.0)


class Profile(Struct, frozen=True):
    """Roof and panel as the eye meets them.

    Attributes:
        roof_length_mm: Front edge to rear edge of the roof, more than 0.
        roof_width_mm: Left edge to right edge, more than 0.
        edge_height_mm: Edge of the shut roof above the ground, more than 0.
        x0_mm: Front edge of the panels, from the front edge of the roof.
        x1_mm: Their rear edge.
        y0_mm: Their left edge, from the left edge of the roof.
        y1_mm: Their right edge.
        stands_mm: Top of the panels above the roof skin, more than 0.
        crown_mm: Middle of the roof above its side edges, 0 or more.
    """

    roof_length_mm: float
    roof_width_mm: float
    edge_height_mm: float
    x0_mm: float
    x1_mm: float
    y0_mm: float
    y1_mm: float
    stands_mm: float
    crown_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a panel that is not on the roof."""
        positive("roof_length_mm", self.roof_length_mm)
        positive("roof_width_mm", self.roof_width_mm)
        positive("edge_height_mm", self.edge_height_mm)
        positive("stands_mm", self.stands_mm)
        not_negative("crown_mm", self.crown_mm)
        within("x0_mm", self.x0_mm, 0, self.roof_length_mm)
        within("x1_mm", self.x1_mm, self.x0_mm, self.roof_length_mm)
        within("y0_mm", self.y0_mm, 0, self.roof_width_mm)
        within("y1_mm", self.y1_mm, self.y0_mm, self.roof_width_mm)

    def inboard(self, side: str) -> tuple[float, float]:
        """Return the panels' near and far edges, from one edge of the roof [mm]."""
        length, width = self.roof_length_mm, self.roof_width_mm
        return {
            "front": (self.x0_mm, self.x1_mm),
            "rear": (length - self.x1_mm, length - self.x0_mm),
            "left": (self.y0_mm, self.y1_mm),
            "right": (width - self.y1_mm, width - self.y0_mm),
        }[side]


OPPOSITE = {"front": "rear", "rear": "front", "left": "right", "right": "left"}
RANK = ("always", "beyond", "within", "never")


def sightlines(
    *,
    profile: Profile,
    eye_height_mm: float,
    lift: str = "fixed",
    opening_mm: float = 0.0,
    opening_angle_deg: float = 0.0,
) -> list[SideView]:
    """Return from how far the panels can be seen, on each side, with the roof shut and open.

    Args:
        profile: Roof and panels.
        eye_height_mm: Eye above the ground [mm], 0 or more.
        lift: Hinge ``front``, ``rear``, ``left`` or ``right``, ``parallel`` or ``fixed``.
        opening_mm: Rise of a parallel roof [mm], 0 or more.
        opening_angle_deg: Opening of a hinged roof [°], 0 to less than 90.

    Returns:
        Four views with the roof shut, then four with it open unless it is fixed.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        The panel's top edges count. The crown counts for the sides while the roof is level across;
        front and rear views and a roof open sideways take the skin as flat.
    """
    not_negative("opening_mm", opening_mm)
    if not 0 <= opening_angle_deg < 90:
        raise OutOfRangeError("opening_angle_deg", opening_angle_deg, "0 to less than 90")
    if lift not in (*SIDES, "parallel", "fixed"):
        raise OutOfRangeError("lift", lift, "front, rear, left, right, parallel or fixed")
    shut = [SideView(side, "shut", _level(profile, side, eye_height_mm)) for side in SIDES]
    if lift == "fixed":
        return shut
    if lift == "parallel":
        raised = replace(profile, edge_height_mm=profile.edge_height_mm + opening_mm)
        return shut + [SideView(s, "open", _level(raised, s, eye_height_mm)) for s in SIDES]
    angle = math.radians(opening_angle_deg)
    return shut + [
        SideView(side, "open", _tilted(profile, side, eye_height_mm, lift, angle))
        for side in SIDES
    ]


def _level(profile: Profile, side: str, eye_mm: float, rise_mm: float = 0.0) -> Sight:
    """Return the sight over an edge of a roof that is level across the view."""
    near, _ = profile.inboard(side)
    edge = profile.edge_height_mm + rise_mm
    if side in ("front", "rear") or near > profile.roof_width_mm / 2:
        return sight_over_edge(eye_height_mm=eye_mm, edge_height_mm=edge, inboard_mm=near,
                               stands_mm=profile.stands_mm)
    return sight_over_crown(
        eye_height_mm=eye_mm, edge_height_mm=edge, inboard_mm=near,
        stands_mm=profile.stands_mm, crown_mm=profile.crown_mm,
        roof_width_mm=profile.roof_width_mm,
    )


def _tilted(profile: Profile, side: str, eye_mm: float, hinge: str, angle: float) -> Sight:
    """Return the sight of panels on an open hinged roof: the edge that comes in sight first."""
    from_hinge = profile.inboard(hinge)
    sine, cosine = math.sin(angle), math.cos(angle)
    if side not in (hinge, OPPOSITE[hinge]):
        tilted = replace(profile, stands_mm=profile.stands_mm * cosine)
        return _level(tilted, side, eye_mm, rise_mm=from_hinge[0] * sine)
    full = (profile.roof_length_mm if hinge in ("front", "rear") else profile.roof_width_mm)
    stands, edge = profile.stands_mm, profile.edge_height_mm
    sights = []
    for along in from_hinge:
        if side == hinge:
            inboard, above = along * cosine - stands * sine, along * sine + stands * cosine
            lift_mm = 0.0
        else:
            back = full - along
            inboard, above = back * cosine + stands * sine, stands * cosine - back * sine
            lift_mm = full * sine
        # A panel tilted over the hinge line may stand out past it: then nothing hides it.
        sights.append(sight_over_edge(
            eye_height_mm=eye_mm, edge_height_mm=edge + lift_mm,
            inboard_mm=max(0.0, inboard), stands_mm=above,
        ))
    return min(sights, key=lambda sight: (RANK.index(sight.seen), sight.distance_mm))
