"""Lifting roofs: worked vectors, and statics solved by a numerical library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import solve

from planner.engineering.lifting import (
    RoofPlan,
    extra_lift_n,
    extra_strut_n,
    mass_ratio,
    moment_ratio,
    parallel_shares,
    ratio_class,
)

G = 9.80665


@pytest.mark.parametrize(("arm_mm", "ratio"), [(900, 0.236), (500, 0.131)])
def test_moment_ratio_of_the_worked_roof(arm_mm: float, ratio: float) -> None:
    """Arithmetic: 13 kg on a 45 kg shell balanced at 1.10 m, 11.7 / 49.5 = 0.236."""
    found = moment_ratio(added_kg=13, added_arm_mm=arm_mm, roof_kg=45, roof_arm_mm=1100)
    assert found == pytest.approx(ratio, abs=0.0005)


@pytest.mark.parametrize(
    ("ratio", "name"),
    [
        (0.10, "low"),
        (0.101, "medium"),
        (0.20, "medium"),
        (0.236, "high"),
        (0.35, "high"),
        (0.351, "very_high"),
    ],
)
def test_class_of_a_ratio(ratio: float, name: str) -> None:
    """Common practice, no source: 0.10, 0.20 and 0.35."""
    assert ratio_class(ratio=ratio) == name


def test_a_parallel_lift_counts_all_mass() -> None:
    """Arithmetic: 13 kg on 45 kg is 0.289."""
    assert mass_ratio(added_kg=13, roof_kg=45) == pytest.approx(0.289, abs=0.0005)


def test_strut_force_of_the_worked_roof() -> None:
    """Statics: 25 kg at 0.9 m on two struts with an arm of 0.25 m, 441 N each (g 9.81)."""
    force = extra_strut_n(added_kg=25, added_arm_mm=900, strut_arm_mm=250, struts=2)
    assert force == pytest.approx(441, abs=0.5)


def test_extra_lift_balances_the_roof_about_its_hinge() -> None:
    """General-purpose library scipy: hinge and hand carry the extra mass, two equations."""
    hand, _ = solve(
        np.array([[1.0, 1.0], [1800.0, 0.0]]), np.array([13 * G, 13 * G * 900.0])
    )
    found = extra_lift_n(added_kg=13, added_arm_mm=900, lift_point_mm=1800)
    assert found == pytest.approx(float(hand))


def test_four_posts_share_as_statics_say() -> None:
    """General-purpose library scipy: end and side reactions of a beam on two supports."""
    roof = RoofPlan(length_mm=2000, width_mm=1200, hinge="parallel")
    shares = parallel_shares(added_kg=13, roof=roof, x_mm=700, y_mm=500)
    front, rear = solve(np.array([[1.0, 1.0], [0.0, 2000.0]]), np.array([13.0, 13 * 700.0]))
    left, right = solve(np.array([[1.0, 1.0], [0.0, 1200.0]]), np.array([13.0, 13 * 500.0]))
    found = (shares.front_kg, shares.rear_kg, shares.left_kg, shares.right_kg)
    assert found == pytest.approx((float(front), float(rear), float(left), float(right)))


@pytest.mark.parametrize(("x_mm", "racks"), [(1000, False), (1200, False), (1210, True)])
def test_more_than_a_tenth_off_centre_racks(x_mm: float, racks: bool) -> None:
    """Common practice, no source: 10 % of the roof's length."""
    roof = RoofPlan(length_mm=2000, width_mm=1200, hinge="parallel")
    assert parallel_shares(added_kg=13, roof=roof, x_mm=x_mm, y_mm=600).racks is racks
