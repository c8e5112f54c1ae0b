"""Outlines of the loop against a numerical library: arc length, radius and ends."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from planner.engineering.loop_shape import arc_points, arc_radius_mm, u_points


@given(chord=st.floats(1, 500), slack=st.floats(1.01, 12))
def test_arc_radius_agrees_with_a_root_finder(chord: float, slack: float) -> None:
    """General-purpose library scipy, ``brentq`` on d = 2 r sin(s / 2 r)."""
    length = chord * slack
    half = brentq(lambda phi: length * math.sin(phi) / phi - chord, 1e-9, math.pi)
    found = arc_radius_mm(chord_mm=chord, length_mm=length)
    assert found == pytest.approx(length / (2 * half), rel=1e-9)


@pytest.mark.parametrize(("chord", "length"), [(60, 572), (520, 572), (0, 200), (100, 157)])
def test_arc_has_its_length_and_radius_everywhere(chord: float, length: float) -> None:
    """General-purpose libraries: length summed by numpy, bend from three points.

    Tolerance 0.1 %: 401 chords are a little shorter than their arc.
    """
    points = np.array(arc_points(chord_mm=chord, length_mm=length, count=401))
    steps = np.hypot(*np.diff(points, axis=0).T)
    assert float(steps.sum()) == pytest.approx(length, rel=1e-3)
    assert points[0] == pytest.approx([0, 0], abs=1e-6)
    assert points[-1] == pytest.approx([chord, 0], abs=1e-6)
    a, b, c = points[100], points[200], points[300]
    (u, v), (w, z) = b - a, c - a
    sides = math.prod(math.dist(*pair) for pair in ((a, b), (b, c), (c, a)))
    radius = sides / (2 * abs(u * z - v * w))
    assert radius == pytest.approx(arc_radius_mm(chord_mm=chord, length_mm=length), rel=1e-3)


@pytest.mark.parametrize(("width", "length"), [(96, 572), (100, 158), (200, 400)])
def test_u_has_its_length_by_integration(width: float, length: float) -> None:
    """General-purpose library scipy: the half circle integrated, plus two legs."""
    points = np.array(u_points(width_mm=width, length_mm=length, count=201))
    legs = 2 * points[1][1]
    bow, _ = quad(lambda _: width / 2, 0, math.pi)
    assert legs + bow == pytest.approx(length)
    steps = np.hypot(*np.diff(points, axis=0).T)
    assert float(steps.sum()) == pytest.approx(length, rel=1e-3)
