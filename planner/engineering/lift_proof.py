"""Proving a lifting roof before the first hole: cold allowance, dummy load, props and verdict."""

from __future__ import annotations

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within
from planner.engineering.lifting import CLASS_LIMITS, ratio_class

STRUT_LOSS_PER_K = 0.0035
"""Force that a gas strut loses for each kelvin. Makers' data, 3 to 4 % for 10 K."""


def cold_extra_kg_m(
    *,
    total_kg_m: float,
    test_c: float,
    coldest_c: float,
    loss_per_k: float = STRUT_LOSS_PER_K,
) -> float:
    """Return the extra moment that stands in for the coldest day in a test on a milder one.

    Args:
        total_kg_m: Moment of shell and added mass about the hinge [kg m], more than 0.
        test_c: Temperature of the test [°C], -40 to 60.
        coldest_c: Coldest temperature at which the roof must stay up [°C], -40 to the test's.
        loss_per_k: Share of its force that a strut loses for each kelvin [1/K], 0 to 0.006.

    Returns:
        Extra moment [kg m], 0 where the test is at the coldest.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        A gas strut loses k = 0.0035 a kelvin: extra = M k / (1 - k). Springs lose nothing.

    References:
        .. [1] Gas-spring makers' data, 3 to 4 % for 10 K (read on secondary pages).
    """
    positive("total_kg_m", total_kg_m)
    within("test_c", test_c, -40, 60)
    within("coldest_c", coldest_c, -40, test_c)
    within("loss_per_k", loss_per_k, 0, 0.006)
    lost = loss_per_k * (test_c - coldest_c)
    return total_kg_m * lost / (1 - lost)


def prop_rating_kg(*, roof_kg: float, added_kg: float, factor: float = 2.0) -> float:
    """Return the least rating of each of the two props.

    Args:
        roof_kg: Mass of the shell [kg], more than 0.
        added_kg: Added mass [kg], 0 or more.
        factor: Rating against shell and added mass [1], 1 to 5.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Each at least twice shell and panel, one at each end, located so that it cannot kick out.

    References:
        .. [1] Common practice, no source.
    """
    positive("roof_kg", roof_kg)
    not_negative("added_kg", added_kg)
    within("factor", factor, 1, 5)
    return factor * (roof_kg + added_kg)


class DummyLoad(Struct, frozen=True):
    """What to strap on for the test, and what is left to calculation [kg]."""

    load_kg: float
    calculated_kg: float
    limited: bool


def dummy_load(*, added_kg: float, cold_extra_kg: float, limit_kg: float | None) -> DummyLoad:
    """Return the test load, which never exceeds what the roof's maker allows.

    Args:
        added_kg: Added mass with its allowance [kg], more than 0.
        cold_extra_kg: Extra that stands in for the coldest day [kg], 0 or more.
        limit_kg: The maker's limit on added mass [kg], 0 or more; None if unknown.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    positive("added_kg", added_kg)
    not_negative("cold_extra_kg", cold_extra_kg)
    wanted = added_kg + cold_extra_kg
    if limit_kg is None:
        return DummyLoad(wanted, 0.0, limited=False)
    not_negative("limit_kg", limit_kg)
    load = min(wanted, limit_kg)
    return DummyLoad(load, wanted - load, limited=load < wanted)


def cold_extra_kg(
    *,
    added_kg: float,
    added_arm_mm: float,
    roof_kg: float | None,
    roof_arm_mm: float,
    test_c: float,
    coldest_c: float,
    loss_per_k: float = STRUT_LOSS_PER_K,
) -> float:
    """Return the extra mass, laid at the panel's place, that stands in for the coldest day.

    Args:
        added_kg: Added mass [kg], more than 0.
        added_arm_mm: Its distance from the hinge [mm], more than 0.
        roof_kg: Mass of the shell [kg], more than 0; None if unknown.
        roof_arm_mm: Distance of the shell's balance point from the hinge [mm], more than 0.
        test_c: Temperature of the test [°C].
        coldest_c: Coldest temperature at which the roof must stay up [°C].
        loss_per_k: As for ``cold_extra_kg_m``.

    Returns:
        Extra mass [kg]. With the shell unknown, a quarter of the added mass: say so in the pack.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] Common practice for the quarter, no source.
    """
    positive("added_kg", added_kg)
    positive("added_arm_mm", added_arm_mm)
    if roof_kg is None:
        return 0.25 * added_kg
    positive("roof_kg", roof_kg)
    positive("roof_arm_mm", roof_arm_mm)
    total = (roof_kg * roof_arm_mm + added_kg * added_arm_mm) / 1000
    extra = cold_extra_kg_m(
        total_kg_m=total, test_c=test_c, coldest_c=coldest_c, loss_per_k=loss_per_k
    )
    return extra / (added_arm_mm / 1000)


def lift_needs(
    *,
    ratio: float,
    added_kg: float,
    limit_kg: float | None,
    limits: tuple[float, ...] = CLASS_LIMITS,
) -> str:
    """Return what must be in hand before the first hole in a lifting roof.

    Args:
        ratio: Moment or mass ratio [1], 0 or more.
        added_kg: Added mass [kg], more than 0.
        limit_kg: The roof maker's limit on added mass [kg], 0 or more; None if unknown.
        limits: Upper limits of the classes, as for ``ratio_class``.

    Returns:
        ``written agreement`` over a known limit or in the highest class, ``owner signs`` in the
        one below, otherwise ``dummy load``. Each asks for those after it too.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] Common practice, no source.
    """
    positive("added_kg", added_kg)
    if limit_kg is not None:
        not_negative("limit_kg", limit_kg)
    found = ratio_class(ratio=ratio, limits=limits)
    if found == "very_high" or (limit_kg is not None and added_kg > limit_kg):
        return "written agreement"
    return "owner signs" if found == "high" else "dummy load"
