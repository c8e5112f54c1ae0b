"""Where a panel costs a lifting roof least, and refusal of roofs that cannot move so."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.engineering.lifting import (
    RoofPlan,
    arm_mm,
    cheapest_place,
    check_motion,
    extra_lift_n,
    extra_strut_n,
    mass_ratio,
    moment_ratio,
    parallel_shares,
    ratio_class,
)
from planner.errors import OutOfRangeError

PARALLEL = RoofPlan(2000, 1200, "parallel")


def roof(hinge: str) -> RoofPlan:
    """Return a roof of 2 m by 1.2 m."""
    return RoofPlan(2000, 1200, hinge)


@pytest.mark.parametrize(
    ("hinge", "arm"), [("front", 600), ("rear", 1400), ("left", 500), ("right", 700)]
)
def test_arm_is_measured_from_the_hinge(hinge: str, arm: float) -> None:
    """A point 600 behind the front and 500 from the left."""
    assert arm_mm(roof=roof(hinge), x_mm=600, y_mm=500) == arm


@pytest.mark.parametrize("hinge", ["front", "rear", "left", "right"])
def test_cheapest_place_has_the_least_arm_of_all_places(hinge: str) -> None:
    """No corner-to-corner shift of the panel inside the margins has a smaller arm."""
    best = cheapest_place(roof=roof(hinge), along_x_mm=1000, along_y_mm=600, margin_mm=50)
    xs = range(550, 1451, 50)
    ys = range(350, 851, 50)
    arms = [arm_mm(roof=roof(hinge), x_mm=x, y_mm=y) for x in xs for y in ys]
    assert best.arm_mm == min(arms)


def test_parallel_lift_is_cheapest_in_the_middle() -> None:
    """The balance point lies at the centre and no side bears more."""
    best = cheapest_place(roof=PARALLEL, along_x_mm=1000, along_y_mm=600, margin_mm=50)
    shares = parallel_shares(added_kg=10, roof=PARALLEL, x_mm=best.x_mm, y_mm=best.y_mm)
    assert shares.off_centre_pct == 0


def test_a_parallel_lift_has_no_opening_angle() -> None:
    """The message says what to give instead."""
    with pytest.raises(OutOfRangeError, match="parallel lift, which stays level; give the opening"):
        check_motion(hinge="parallel", opening_angle_deg=20)
    check_motion(hinge="parallel", opening_angle_deg=None)
    check_motion(hinge="front", opening_angle_deg=20)


@pytest.mark.parametrize("angle", [None, 0, -5, 91, math.nan])
def test_a_hinged_roof_needs_its_angle(angle: float | None) -> None:
    """None, nothing and nonsense are refused."""
    with pytest.raises(OutOfRangeError, match="opening_angle_deg"):
        check_motion(hinge="front", opening_angle_deg=angle)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: check_motion(hinge="top", opening_angle_deg=None), "hinge"),
        (lambda: arm_mm(roof=PARALLEL, x_mm=0, y_mm=0), "hinge"),
        (lambda: arm_mm(roof=roof("front"), x_mm=2001, y_mm=0), "x_mm"),
        (
            lambda: moment_ratio(added_kg=1, added_arm_mm=-1, roof_kg=1, roof_arm_mm=1),
            "added_arm_mm",
        ),
        (
            lambda: moment_ratio(added_kg=1, added_arm_mm=1, roof_kg=1, roof_arm_mm=0),
            "roof_arm_mm",
        ),
        (lambda: mass_ratio(added_kg=1, roof_kg=math.nan), "roof_kg"),
        (lambda: ratio_class(ratio=-0.1), "ratio"),
        (lambda: extra_lift_n(added_kg=1, added_arm_mm=1, lift_point_mm=0), "lift_point_mm"),
        (
            lambda: extra_strut_n(added_kg=1, added_arm_mm=1, strut_arm_mm=100, struts=0),
            "struts",
        ),
        (lambda: parallel_shares(added_kg=1, roof=PARALLEL, x_mm=0, y_mm=1300), "y_mm"),
        (
            lambda: cheapest_place(roof=PARALLEL, along_x_mm=1950, along_y_mm=600, margin_mm=50),
            "along_x_mm",
        ),
    ],
)
def test_bad_roof_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
