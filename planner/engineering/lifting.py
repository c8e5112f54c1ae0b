"""What a panel costs a lifting roof: moment, force, struts, props and the dummy load."""

from __future__ import annotations

from msgspec import Struct

from planner.engineering.guards import above_to, not_negative, positive, within
from planner.engineering.wind import GRAVITY_M_S2
from planner.errors import OutOfRangeError

HINGES = ("front", "rear", "left", "right", "parallel")
PARALLEL = "parallel"
CLASS_LIMITS = (0.10, 0.20, 0.35)
CLASSES = ("low", "medium", "high", "very_high")
"""Upper limits of the classes of moment ratio. Common practice, no source."""


class RoofPlan(Struct, frozen=True):
    """Extent of the moving roof [mm] and the side it hinges on, or ``parallel``."""

    length_mm: float
    width_mm: float
    hinge: str


def check_motion(*, hinge: str, opening_angle_deg: float | None) -> None:
    """Refuse an opening that contradicts the way the roof moves.

    Args:
        hinge: ``front``, ``rear``, ``left``, ``right`` or ``parallel``.
        opening_angle_deg: Opening angle of a hinged roof [°], above 0 to 90; None for a parallel
            lift, which stays level.

    Raises:
        OutOfRangeError: If the hinge is unknown, a parallel lift has an angle, or a hinged roof
            has none.
    """
    if hinge not in HINGES:
        raise OutOfRangeError("hinge", hinge, "one of " + ", ".join(HINGES))
    if hinge == PARALLEL:
        if opening_angle_deg is not None:
            allowed = "left out for a parallel lift, which stays level; give the opening height"
            raise OutOfRangeError("opening_angle_deg", opening_angle_deg, allowed)
        return
    if opening_angle_deg is None:
        allowed = f"the angle of the open roof, since it hinges at the {hinge}"
        raise OutOfRangeError("opening_angle_deg", opening_angle_deg, allowed)
    above_to("opening_angle_deg", opening_angle_deg, 0, 90)


def arm_mm(*, roof: RoofPlan, x_mm: float, y_mm: float) -> float:
    """Return the distance of a point on a hinged roof from its hinge.

    Args:
        roof: The moving roof.
        x_mm: From the front edge rearwards [mm], 0 to the roof's length.
        y_mm: From the left edge [mm], 0 to the roof's width.

    Raises:
        OutOfRangeError: If the point is off the roof or the roof does not hinge.

    Notes:
        The hinge is taken to lie along the roof's own edge.
    """
    positive("length_mm", roof.length_mm)
    positive("width_mm", roof.width_mm)
    within("x_mm", x_mm, 0, roof.length_mm)
    within("y_mm", y_mm, 0, roof.width_mm)
    arms = {
        "front": x_mm,
        "rear": roof.length_mm - x_mm,
        "left": y_mm,
        "right": roof.width_mm - y_mm,
    }
    if roof.hinge not in arms:
        raise OutOfRangeError("hinge", roof.hinge, "one of " + ", ".join(arms))
    return arms[roof.hinge]


def moment_ratio(
    *, added_kg: float, added_arm_mm: float, roof_kg: float, roof_arm_mm: float
) -> float:
    """Return the added moment about the hinge as a share of the roof's own.

    Args:
        added_kg: Added mass [kg], more than 0.
        added_arm_mm: Its distance from the hinge [mm], 0 or more.
        roof_kg: Mass of the moving shell [kg], more than 0.
        roof_arm_mm: Distance of its balance point from the hinge [mm], more than 0.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        (m x) added / (m x) roof. For a parallel lift use ``mass_ratio``.
    """
    positive("added_kg", added_kg)
    not_negative("added_arm_mm", added_arm_mm)
    positive("roof_kg", roof_kg)
    positive("roof_arm_mm", roof_arm_mm)
    return added_kg * added_arm_mm / (roof_kg * roof_arm_mm)


def mass_ratio(*, added_kg: float, roof_kg: float) -> float:
    """Return added mass over shell mass, both more than 0 [kg]: all of it counts when lifted."""
    positive("added_kg", added_kg)
    positive("roof_kg", roof_kg)
    return added_kg / roof_kg


def ratio_class(*, ratio: float, limits: tuple[float, ...] = CLASS_LIMITS) -> str:
    """Return ``low``, ``medium``, ``high`` or ``very_high`` for a ratio of 0 or more.

    Notes:
        Up to 0.10, 0.20 and 0.35. High asks for the dummy load with its cold allowance and the
        owner's signature; very high for the roof maker's written agreement.

    References:
        .. [1] Common practice, no source.
    """
    not_negative("ratio", ratio)
    return CLASSES[sum(ratio > limit for limit in limits)]


def extra_lift_n(*, added_kg: float, added_arm_mm: float, lift_point_mm: float) -> float:
    """Return the extra force to start a hinged roof up, square to the roof at the lifting point.

    Args:
        added_kg: Added mass [kg], more than 0.
        added_arm_mm: Its distance from the hinge [mm], 0 or more.
        lift_point_mm: Distance of hand or handle from the hinge [mm], more than 0.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = m g x / l, without the help of struts or springs.
    """
    positive("added_kg", added_kg)
    not_negative("added_arm_mm", added_arm_mm)
    positive("lift_point_mm", lift_point_mm)
    return added_kg * GRAVITY_M_S2 * added_arm_mm / lift_point_mm


def extra_strut_n(
    *, added_kg: float, added_arm_mm: float, strut_arm_mm: float, struts: int = 2
) -> float:
    """Return the extra force on each strut or spring of a hinged roof.

    Args:
        added_kg: Added mass [kg], more than 0.
        added_arm_mm: Its distance from the hinge [mm], 0 or more.
        strut_arm_mm: Distance from the hinge square to the line of the strut [mm], more than 0.
        struts: How many share it, 1 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = m g x / (n a). The arm changes as the roof opens: it is least when shut.
    """
    if not struts >= 1:
        raise OutOfRangeError("struts", struts, "1 or more")
    positive("strut_arm_mm", strut_arm_mm)
    force = extra_lift_n(
        added_kg=added_kg, added_arm_mm=added_arm_mm, lift_point_mm=strut_arm_mm
    )
    return force / struts


class Shares(Struct, frozen=True):
    """How a parallel lift shares the added mass [kg] and how far it sits off centre [%]."""

    front_kg: float
    rear_kg: float
    left_kg: float
    right_kg: float
    off_centre_pct: float

    @property
    def racks(self) -> bool:
        """Whether it sits more than a tenth of the roof off centre, so that the lift may rack."""
        return self.off_centre_pct > 10


def parallel_shares(*, added_kg: float, roof: RoofPlan, x_mm: float, y_mm: float) -> Shares:
    """Return how the ends and sides of a parallel lift share the added mass.

    Args:
        added_kg: Added mass [kg], more than 0.
        roof: The moving roof; the lifting arms are taken to stand at its edges.
        x_mm: Balance point of the added mass from the front edge [mm], 0 to the roof's length.
        y_mm: The same from the left edge [mm], 0 to the roof's width.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Lever rule: the rear bears m x/L, the right side m y/W.
    """
    positive("added_kg", added_kg)
    positive("length_mm", roof.length_mm)
    positive("width_mm", roof.width_mm)
    within("x_mm", x_mm, 0, roof.length_mm)
    within("y_mm", y_mm, 0, roof.width_mm)
    along, across = x_mm / roof.length_mm, y_mm / roof.width_mm
    return Shares(
        front_kg=added_kg * (1 - along),
        rear_kg=added_kg * along,
        left_kg=added_kg * (1 - across),
        right_kg=added_kg * across,
        off_centre_pct=100 * max(abs(along - 0.5), abs(across - 0.5)),
    )


class Place(Struct, frozen=True):
    """Where a panel's balance point would lie on the roof [mm], and its arm from the hinge [mm]."""

    x_mm: float
    y_mm: float
    arm_mm: float


def cheapest_place(
    *, roof: RoofPlan, along_x_mm: float, along_y_mm: float, margin_mm: float
) -> Place:
    """Return where a panel costs the lift least: against the hinge, or centred on a parallel lift.

    Args:
        roof: The moving roof.
        along_x_mm: Extent of the panel along the van [mm], more than 0.
        along_y_mm: Extent across the van [mm], more than 0.
        margin_mm: Clear edge to keep [mm], 0 or more.

    Returns:
        The balance point, central in the direction that does not matter; the arm is 0 on a
        parallel lift. Obstacles are not looked at: placing the panel does that.

    Raises:
        OutOfRangeError: If the panel does not fit between the margins.
    """
    not_negative("margin_mm", margin_mm)
    above_to("along_x_mm", along_x_mm, 0, roof.length_mm - 2 * margin_mm)
    above_to("along_y_mm", along_y_mm, 0, roof.width_mm - 2 * margin_mm)
    places = {
        "front": (margin_mm + along_x_mm / 2, roof.width_mm / 2),
        "rear": (roof.length_mm - margin_mm - along_x_mm / 2, roof.width_mm / 2),
        "left": (roof.length_mm / 2, margin_mm + along_y_mm / 2),
        "right": (roof.length_mm / 2, roof.width_mm - margin_mm - along_y_mm / 2),
        PARALLEL: (roof.length_mm / 2, roof.width_mm / 2),
    }
    if roof.hinge not in places:
        raise OutOfRangeError("hinge", roof.hinge, "one of " + ", ".join(places))
    x_mm, y_mm = places[roof.hinge]
    arm = 0.0 if roof.hinge == PARALLEL else arm_mm(roof=roof, x_mm=x_mm, y_mm=y_mm)
    return Place(x_mm, y_mm, arm)
