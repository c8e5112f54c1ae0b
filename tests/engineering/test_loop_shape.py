"""Outlines of the loop refuse a cable that does not reach."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from planner.engineering.loop_shape import arc_points, arc_radius_mm, u_points
from planner.errors import OutOfRangeError


def test_loop_hangs_between_its_anchors() -> None:
    """Nothing of the outline rises above the anchors, and it is even on both sides."""
    points = arc_points(chord_mm=60, length_mm=572)
    assert all(y >= -1e-9 for _, y in points)
    for (left, up), (right, same) in zip(points, reversed(points), strict=True):
        assert left + right == pytest.approx(60)
        assert up == pytest.approx(same)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: arc_radius_mm(chord_mm=500, length_mm=500), "length_mm"),
        (lambda: arc_radius_mm(chord_mm=-1, length_mm=500), "chord_mm"),
        (lambda: arc_radius_mm(chord_mm=1, length_mm=math.nan), "length_mm"),
        (lambda: arc_points(chord_mm=1, length_mm=5, count=2), "count"),
        (lambda: u_points(width_mm=0, length_mm=5), "width_mm"),
        (lambda: u_points(width_mm=100, length_mm=150), "length_mm"),
        (lambda: u_points(width_mm=100, length_mm=400, count=2), "count"),
    ],
)
def test_bad_outline_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
