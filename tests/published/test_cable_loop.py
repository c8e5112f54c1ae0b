"""The moving cable against worked vectors, and its geometry against numerical libraries."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from planner.engineering.cable_loop import (
    crossing_arm_mm,
    free_length_mm,
    hinged_distance_mm,
    lifted_distance_mm,
    moving_radius_mm,
    plan_loop,
)


@pytest.mark.parametrize(
    ("radius_mm", "opening_deg", "chord_mm"), [(300, 25, 130), (100, 25, 43), (1200, 25, 519)]
)
def test_chord_of_a_hinged_roof(radius_mm: float, opening_deg: float, chord_mm: float) -> None:
    """Geometry: 2 r sin(θ/2), printed to the millimetre."""
    found = hinged_distance_mm(
        roof_arm_mm=radius_mm, body_arm_mm=radius_mm, opening_deg=opening_deg
    )
    assert found == pytest.approx(chord_mm, abs=0.5)
    assert crossing_arm_mm(chord_mm=found, opening_deg=opening_deg) == pytest.approx(radius_mm)


def test_one_metre_arms_at_forty_degrees() -> None:
    """Cosine rule by hand: 0.684 m."""
    found = hinged_distance_mm(roof_arm_mm=1000, body_arm_mm=1000, opening_deg=40)
    assert found == pytest.approx(684, abs=0.5)


@pytest.mark.parametrize("shut_deg", [0.0, 8.0, 35.0])
@pytest.mark.parametrize("opening_deg", [0.0, 12.0, 25.0, 60.0])
def test_hinged_distance_agrees_with_turning_the_anchor(
    shut_deg: float, opening_deg: float
) -> None:
    """General-purpose library scipy: the roof anchor turned about the hinge, distance measured."""
    turned = Rotation.from_euler("z", shut_deg + opening_deg, degrees=True).apply([850, 0, 0])
    expected = np.linalg.norm(turned - np.array([700, 0, 0]))
    found = hinged_distance_mm(
        roof_arm_mm=850, body_arm_mm=700, opening_deg=opening_deg, shut_angle_deg=shut_deg
    )
    assert found == pytest.approx(float(expected))


def test_lifted_distance_agrees_with_numpy() -> None:
    """General-purpose library numpy: length of the vector between the anchors."""
    expected = np.linalg.norm([500, 120, 60])
    found = lifted_distance_mm(height_mm=500, fore_aft_mm=-120, side_mm=60)
    assert found == pytest.approx(float(expected))


@pytest.mark.parametrize(
    ("od_mm", "frost", "radius_mm"), [(6.0, False, 48.0), (6.0, True, 60.0), (6.1, False, 48.8)]
)
def test_moving_radius(od_mm: float, frost: bool, radius_mm: float) -> None:
    """Common practice: 8 diameters, 10 in frost."""
    found = moving_radius_mm(cable_od_mm=od_mm, below_freezing=frost)
    assert found == pytest.approx(radius_mm)


def test_moving_radius_is_never_below_the_makers() -> None:
    """Cable data to EN 50618: 5 diameters when flexing, 30.5 mm for 6.1 mm (two pages)."""
    assert moving_radius_mm(cable_od_mm=6.1) >= 30.5
    assert moving_radius_mm(cable_od_mm=6.1, maker_radius_mm=75) == 75


@pytest.mark.parametrize(
    ("greatest_mm", "radius_mm", "length_mm", "rule"),
    [(520, 48, 612, "reach"), (43, 44, 178, "bend")],
)
def test_free_length(greatest_mm: float, radius_mm: float, length_mm: float, rule: str) -> None:
    """Common practice: max(520 + 52 + 40, π·48 + 40) and max(43 + 40 + 40, π·44 + 40)."""
    found, governed_by = free_length_mm(greatest_mm=greatest_mm, radius_mm=radius_mm, tail_mm=20)
    assert found == pytest.approx(length_mm, abs=0.5)
    assert governed_by == rule


def test_no_plain_u_where_the_anchors_shut_too_close() -> None:
    """Common practice: 60 mm apart when shut is less than 2 · 48 = 96 mm; surplus 552 mm."""
    loop = plan_loop(shut_mm=60, greatest_mm=520, cable_od_mm=6, tail_mm=20)
    assert loop.length_mm == pytest.approx(612)
    assert loop.excess_mm == pytest.approx(552)
    assert not loop.plain_u
    assert "96 mm of side offset" in loop.changes[0]
    mended = plan_loop(shut_mm=60, greatest_mm=520, cable_od_mm=6, tail_mm=20, side_offset_mm=96)
    assert mended.plain_u
    assert mended.changes == ()
