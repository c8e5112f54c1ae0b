"""Behaviour of sightlines: four sides, shut and open, always and never."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from planner.engineering.sightline import (
    Profile,
    sight_over_crown,
    sight_over_edge,
    sightlines,
)
from planner.errors import OutOfRangeError

PROFILE = Profile(
    roof_length_mm=2600, roof_width_mm=1600, edge_height_mm=2000, x0_mm=400, x1_mm=1900,
    y0_mm=450, y1_mm=1150, stands_mm=60,
)


def test_similar_triangles_by_hand() -> None:
    """Eye 300 below the edge, panel 400 in and 60 up: 300 x 400 / 60 = 2000 mm."""
    sight = sight_over_edge(
        eye_height_mm=1700, edge_height_mm=2000, inboard_mm=400, stands_mm=60
    )
    assert sight.seen == "beyond"
    assert sight.distance_mm == pytest.approx(2000)


def test_eye_above_the_edge_sees_what_stands_up() -> None:
    """From a bank or a window it is always seen."""
    assert sight_over_edge(
        eye_height_mm=2100, edge_height_mm=2000, inboard_mm=400, stands_mm=60
    ).seen == "always"


def test_sunk_panels_are_seen_only_from_above_and_near() -> None:
    """Eye 100 above the edge, panel 50 below and 200 in: up to 400 mm away."""
    low = {"edge_height_mm": 2000.0, "inboard_mm": 200.0, "stands_mm": -50.0}
    assert sight_over_edge(eye_height_mm=1700, **low).seen == "never"
    from_above = sight_over_edge(eye_height_mm=2100, **low)
    assert from_above.seen == "within"
    assert from_above.distance_mm == pytest.approx(400)


def test_no_crown_is_the_plain_edge() -> None:
    """The crowned formula with no crown agrees with similar triangles."""
    plain = sight_over_edge(eye_height_mm=1600, edge_height_mm=2100, inboard_mm=300, stands_mm=70)
    crowned = sight_over_crown(eye_height_mm=1600, edge_height_mm=2100, inboard_mm=300,
                               stands_mm=70, crown_mm=0, roof_width_mm=1700)
    assert crowned.distance_mm == pytest.approx(plain.distance_mm)


def test_a_fixed_roof_has_four_views_and_a_lifting_one_eight() -> None:
    """Shut first, then open."""
    assert len(sightlines(profile=PROFILE, eye_height_mm=1700)) == 4
    views = sightlines(profile=PROFILE, eye_height_mm=1700, lift="parallel", opening_mm=500)
    assert [view.roof for view in views] == ["shut"] * 4 + ["open"] * 4


def test_a_raised_parallel_roof_hides_the_panel_from_near() -> None:
    """The edge rises with it, so one must stand further off."""
    views = sightlines(profile=PROFILE, eye_height_mm=1700, lift="parallel", opening_mm=500)
    for shut, opened in zip(views[:4], views[4:], strict=True):
        assert opened.sight.distance_mm > shut.sight.distance_mm


def test_a_front_hinged_roof_shows_its_panel_to_the_front_and_hides_it_behind() -> None:
    """Tilted up at the back like a desk."""
    views = {
        (view.side, view.roof): view.sight for view in sightlines(
            profile=PROFILE, eye_height_mm=1700, lift="front", opening_angle_deg=20)
    }
    assert views["front", "open"].distance_mm < views["front", "shut"].distance_mm
    assert views["rear", "open"].seen == "never"


def test_shut_angle_is_the_shut_view() -> None:
    """Opened by nothing, a hinged roof looks as it did."""
    views = sightlines(profile=PROFILE, eye_height_mm=1700, lift="rear", opening_angle_deg=0)
    for shut, opened in zip(views[:4], views[4:], strict=True):
        assert opened.sight.distance_mm == pytest.approx(shut.sight.distance_mm)


@pytest.mark.parametrize(
    ("changes", "name"),
    [
        ({"eye_height_mm": -1}, "eye_height_mm"),
        ({"eye_height_mm": math.nan}, "eye_height_mm"),
        ({"opening_mm": -1}, "opening_mm"),
        ({"opening_angle_deg": 90}, "opening_angle_deg"),
        ({"opening_angle_deg": math.nan}, "opening_angle_deg"),
        ({"lift": "up"}, "lift"),
    ],
)
def test_values_out_of_range_are_refused(changes: dict[str, float | str], name: str) -> None:
    """Each refusal names the argument."""
    with pytest.raises(OutOfRangeError) as caught:
        sightlines(**{"profile": PROFILE, "eye_height_mm": 1700, **changes})  # type: ignore[arg-type]
    assert caught.value.argument == name


@pytest.mark.parametrize(
    ("field", "bad"),
    [("roof_length_mm", 0), ("roof_width_mm", -1), ("edge_height_mm", 0), ("stands_mm", 0),
     ("crown_mm", -1), ("x0_mm", -1), ("x1_mm", 300), ("y0_mm", math.nan), ("y1_mm", 1601)],
)
def test_profiles_that_cannot_exist_are_refused(field: str, bad: float) -> None:
    """The panel lies on the roof."""
    with pytest.raises(OutOfRangeError, match=field):
        replace(PROFILE, **{field: bad})


def test_crown_needs_the_near_side() -> None:
    """Past the middle of the roof the nearer side is the other one."""
    with pytest.raises(OutOfRangeError, match="inboard_mm"):
        sight_over_crown(eye_height_mm=1600, edge_height_mm=2100, inboard_mm=900, stands_mm=70,
                         crown_mm=20, roof_width_mm=1700)
