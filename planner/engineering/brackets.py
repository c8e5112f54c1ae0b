"""What the most loaded bolted foot bears, part by part, and how near each part is to giving."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from planner.engineering import strength
from planner.engineering.guards import not_negative, positive, within
from planner.engineering.wind import Inertia
from planner.errors import OutOfRangeError

PULL_THROUGH = "washer or plate pulling through the skin"
FRONT_SHARE = 1.5
"""Front feet bear half as much again as the mean. Planning assumption, no published value."""


class Bracket(Struct, frozen=True):
    """One foot: bolt between the frame and the toe about which the foot tips.

    Attributes:
        frame_to_bolt_mm: e, lever of the lift.
        bolt_to_toe_mm: a, lever of the bolt.
        width_mm: Width of the foot.
        thickness_mm: Thickness of the foot.
        yield_n_mm2: 0.2 % proof stress of its metal.
    """

    frame_to_bolt_mm: float
    bolt_to_toe_mm: float
    width_mm: float
    thickness_mm: float
    yield_n_mm2: float


class Bolt(Struct, frozen=True):
    """A bolt: diameter, pitch and hole [mm]; proof stress and tensile strength [N/mm²]."""

    diameter_mm: float
    pitch_mm: float
    hole_mm: float
    proof_n_mm2: float
    tensile_n_mm2: float


class Skin(Struct, frozen=True):
    """What the foot is bolted to, and what spreads the load under it.

    Attributes:
        thickness_mm: Thickness of the skin that the inner washer bears on.
        shear_n_mm2: Shear strength through the skin.
        bearing_n_mm2: Bearing strength at the hole.
        outline_mm: Edge of the washer or plate that would punch through.
        spread_area_mm2: Bearing area of that washer or plate.
        core_crush_n_mm2: Compressive strength of a core that bears the clamp; 0 where there is
            none, or where a sleeve or potting bears it.
        coupon_n: Pull-through load of a coupon tested by the shop; 0 where none was tested.
    """

    thickness_mm: float
    shear_n_mm2: float
    bearing_n_mm2: float
    outline_mm: float
    spread_area_mm2: float
    core_crush_n_mm2: float = 0.0
    coupon_n: float = 0.0


class Load(Struct, frozen=True):
    """What comes onto a panel: uplift and inertia [N], and where its mass sits [mm].

    Attributes:
        uplift_n: Uplift on the whole panel.
        inertia: Pull of braking, cornering and pulling away.
        height_mm: Height of its balance point above the roof.
        rows_apart_mm: Distance between the two rows of feet.
        front_share: How much more than the mean a front foot bears.
    """

    uplift_n: float
    inertia: Inertia
    height_mm: float
    rows_apart_mm: float
    front_share: float = FRONT_SHARE


class Check(Struct, frozen=True):
    """One way a foot can fail.

    Attributes:
        part: The part and how it gives, in words for the pack.
        load: What comes onto it.
        capacity: What it bears before it gives.
        unit: Unit of both.
        factor: Safety factor asked for.
        basis: Where the capacity comes from.
    """

    part: str
    load: float
    capacity: float
    unit: str
    factor: float
    basis: str

    @property
    def utilisation(self) -> float:
        """Share of the safe capacity in use; up to 1 is enough."""
        return self.load * self.factor / self.capacity

    @property
    def reached(self) -> float:
        """Safety factor reached; infinite where nothing loads the part."""
        return self.capacity / self.load if self.load else float("inf")


def front_foot_load_n(
    *, uplift_n: float, feet: int, front_share: float = FRONT_SHARE
) -> float:
    """Return the lift on the most loaded foot.

    Args:
        uplift_n: Uplift on the whole panel [N], 0 or more.
        feet: Number of feet, 2 or more.
        front_share: How much more than the mean a front foot bears [1], 1 to 3.

    Returns:
        Lift on a front foot [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        P = 1.5 F / n: suction is strongest along the leading edge.

    References:
        .. [1] Planning assumption; no published value was found.
    """
    not_negative("uplift_n", uplift_n)
    if not feet >= 2:
        raise OutOfRangeError("feet", feet, "2 or more")
    within("front_share", front_share, 1, 3)
    return front_share * uplift_n / feet


def bolt_tension_n(*, foot_load_n: float, frame_to_bolt_mm: float, bolt_to_toe_mm: float) -> float:
    """Return the tension in the bolt of a foot that tips about its toe.

    Args:
        foot_load_n: Lift on the foot [N], 0 or more.
        frame_to_bolt_mm: e, from frame to bolt [mm], 0 or more.
        bolt_to_toe_mm: a, from bolt to toe [mm], more than 0.

    Returns:
        Bolt tension [N], more than the lift because the toe presses on the roof.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Moments about the toe: T = P (1 + e/a).

    References:
        .. [1] Statics.
    """
    not_negative("foot_load_n", foot_load_n)
    not_negative("frame_to_bolt_mm", frame_to_bolt_mm)
    positive("bolt_to_toe_mm", bolt_to_toe_mm)
    return foot_load_n * (1 + frame_to_bolt_mm / bolt_to_toe_mm)


def worst_foot(*, load: Load, feet: int) -> tuple[float, float]:
    """Return lift and sideways load on the worst foot [N]: a gust while braking or cornering.

    Args:
        load: What comes onto the panel.
        feet: Number of feet, 2 or more.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Lift: front-foot share of the uplift, and the tipping moment of the hardest pull shared by
        the feet of one row. Sideways: front-foot share of that pull.
    """
    positive("rows_apart_mm", load.rows_apart_mm)
    not_negative("height_mm", load.height_mm)
    sideways = load.inertia.greatest_n
    tipping = sideways * load.height_mm / load.rows_apart_mm
    lift = front_foot_load_n(
        uplift_n=load.uplift_n, feet=feet, front_share=load.front_share
    )
    return lift + tipping / (feet / 2), load.front_share * sideways / feet


def _bolt_checks(
    bolt: Bolt, tension_n: float, shear_n: float, factors: Mapping[str, float]
) -> list[Check]:
    """Return the checks of the bolt: pull, shear, and both at once."""
    area = strength.stress_area_mm2(diameter_mm=bolt.diameter_mm, pitch_mm=bolt.pitch_mm)
    proof = strength.proof_load_n(area_mm2=area, proof_n_mm2=bolt.proof_n_mm2)
    breaking = strength.bolt_shear_n(area_mm2=area, tensile_n_mm2=bolt.tensile_n_mm2)
    factor = factors["bolt"]
    both = tension_n / (1.4 * proof) + shear_n / breaking
    return [
        Check("bolt in tension", tension_n, proof, "N", factor, "ISO 3506-1 proof stress"),
        Check("bolt in shear", shear_n, breaking, "N", factor, "ISO 3506-1 tensile strength"),
        Check("bolt in tension and shear together", both, 1.0, "share", factor, "EN 1993-1-8 form"),
    ]


def _skin_checks(
    skin: Skin, bolt: Bolt, tension_n: float, shear_n: float, factors: Mapping[str, float]
) -> list[Check]:
    """Return the checks of the roof: punching, bearing, and the core where it bears the clamp."""
    not_negative("coupon_n", skin.coupon_n)
    punch = skin.coupon_n or strength.pull_through_n(
        outline_mm=skin.outline_mm, skin_mm=skin.thickness_mm, shear_n_mm2=skin.shear_n_mm2
    )
    bearing = strength.bearing_n(
        diameter_mm=bolt.diameter_mm,
        skin_mm=skin.thickness_mm,
        bearing_n_mm2=skin.bearing_n_mm2,
    )
    basis = "coupon tested by the shop" if skin.coupon_n else "estimate, untested"
    checks = [
        Check(PULL_THROUGH, tension_n, punch, "N", factors["skin"], basis),
        Check("bolt bearing on the skin", shear_n, bearing, "N", factors["skin"], "handbook value"),
    ]
    if skin.core_crush_n_mm2:
        crush = strength.core_load_n(
            area_mm2=skin.spread_area_mm2, crush_n_mm2=skin.core_crush_n_mm2
        )
        checks.append(
            Check("core crushed under the washer", tension_n, crush, "N", factors["core"], basis)
        )
    return checks


def check_foot(
    *,
    load: Load,
    feet: int,
    bracket: Bracket,
    bolt: Bolt,
    skin: Skin,
    factors: Mapping[str, float],
) -> tuple[Check, ...]:
    """Return every check of the most loaded foot.

    Args:
        load: Uplift, inertia and where the mass sits.
        feet: Number of feet, 2 or more.
        bracket: The foot.
        bolt: The bolt.
        skin: The roof under it.
        factors: Safety factors asked for, by name: ``bolt``, ``bracket``, ``skin``, ``core``.

    Returns:
        The checks, bolt first, then bracket, then roof.

    Raises:
        OutOfRangeError: If any dimension, strength or load is out of range.

    Notes:
        The gust and the hardest braking or cornering act together.

    References:
        .. [1] As for the functions of ``strength``.
    """
    lift, shear = worst_foot(load=load, feet=feet)
    tension = bolt_tension_n(
        foot_load_n=lift,
        frame_to_bolt_mm=bracket.frame_to_bolt_mm,
        bolt_to_toe_mm=bracket.bolt_to_toe_mm,
    )
    stress = strength.bracket_stress_n_mm2(
        load_n=lift,
        arm_mm=bracket.frame_to_bolt_mm,
        width_mm=bracket.width_mm,
        hole_mm=bolt.hole_mm,
        thickness_mm=bracket.thickness_mm,
    )
    positive("yield_n_mm2", bracket.yield_n_mm2)
    bending = Check(
        "bracket bending", stress, bracket.yield_n_mm2, "N/mm²", factors["bracket"], "yield stress"
    )
    return (
        *_bolt_checks(bolt, tension, shear, factors),
        bending,
        *_skin_checks(skin, bolt, tension, shear, factors),
    )
