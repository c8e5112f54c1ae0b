"""Lines of sight against the general-purpose library shapely (2.x): does the line cut the roof?

Similar triangles are school geometry (Euclid, Elements VI.4); shapely answers the same question
another way: draw the section of the van as a solid and see whether the straight line from eye to
panel passes through it.
"""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
import shapely
from shapely import affinity

from planner.engineering.sightline import Profile, Sight, sight_over_crown, sightlines

CLOSE, FAR = 0.99, 1.01


def _seen(solid: Any, eye: tuple[float, float], point: tuple[float, float]) -> bool:
    """Say whether the line from eye to point keeps out of the solid, but for touching it."""
    sight = shapely.LineString([eye, point])
    return bool(sight.intersection(solid.buffer(-1e-5)).length < 1e-6)


def _agrees(sight: Sight, solid: Any, point: tuple[float, float], eye_mm: float) -> None:
    """Check both sides of the distance, or several distances for always and never."""
    def seen_from(distance: float) -> bool:
        return _seen(solid, (-distance, eye_mm), point)

    if sight.seen == "beyond":
        assert seen_from(sight.distance_mm * FAR + 1)
        assert not seen_from(max(0.02, sight.distance_mm * CLOSE - 1))
    elif sight.seen == "within":
        assert seen_from(sight.distance_mm * CLOSE)
        assert not seen_from(sight.distance_mm * FAR + 1)
    else:
        distances = (50, 500, 5_000, 50_000)
        assert [seen_from(d) for d in distances] == [sight.seen == "always"] * 4


def test_crowned_roof_agrees_with_shapely() -> None:
    """300 random crowned roofs, the crown drawn as a parabola of 4,000 chords.

    Tolerance 1 mm and 1 %: the chords cut less than 0.001 mm off the crown.
    """
    rng = random.Random("crown")  # noqa: S311
    kinds = set()
    for _ in range(300):
        width, edge = rng.uniform(1200, 2000), rng.uniform(1900, 2800)
        crown, stands = rng.choice([0.0, rng.uniform(5, 60)]), rng.uniform(20, 120)
        inboard, eye = rng.uniform(40, width / 2), rng.uniform(800, edge)
        sight = sight_over_crown(
            eye_height_mm=eye, edge_height_mm=edge, inboard_mm=inboard, stands_mm=stands,
            crown_mm=crown, roof_width_mm=width,
        )
        half = width / 2
        skin = [(width * k / 4000, edge + crown * (1 - (1 - width * k / 4000 / half) ** 2))
                for k in range(4001)]
        solid = shapely.Polygon([(0, 0), *skin, (width, 0)])
        top = edge + crown * (1 - (1 - inboard / half) ** 2) + stands
        _agrees(sight, solid, (inboard, top), eye)
        kinds.add(sight.seen)
    assert "beyond" in kinds


@pytest.mark.parametrize("hinge", ["front", "rear", "left", "right"])
def test_open_hinged_roof_agrees_with_shapely(hinge: str) -> None:
    """200 random open roofs, seen from the hinge and from the raised end.

    The section (flat shell over a body) is drawn shut, with the shell and the panel's two top
    corners turned about the hinge by shapely. The sight is that of the corner seen first.
    """
    rng = random.Random(f"open {hinge}")  # noqa: S311
    lengthwise = hinge in ("front", "rear")
    opposite = {"front": "rear", "rear": "front", "left": "right", "right": "left"}[hinge]
    for _ in range(200):
        profile = Profile(
            roof_length_mm=2600, roof_width_mm=1600, edge_height_mm=rng.uniform(1900, 2400),
            x0_mm=rng.uniform(60, 800), x1_mm=rng.uniform(900, 2500), y0_mm=rng.uniform(60, 600),
            y1_mm=rng.uniform(700, 1500), stands_mm=rng.uniform(20, 120),
        )
        angle, eye = rng.uniform(2, 30), rng.uniform(900, 3500)
        views = {(view.side, view.roof): view.sight for view in sightlines(
            profile=profile, eye_height_mm=eye, lift=hinge, opening_angle_deg=angle)}
        full = 2600.0 if lengthwise else 1600.0
        for side in (hinge, opposite):
            solid, corners = _section(profile, hinge, side, full, angle)
            sight = views[(side, "open")]
            if sight.seen == "never":
                for corner in corners:
                    _agrees(sight, solid, corner, eye)
            else:
                assert any(_holds(sight, solid, corner, eye) for corner in corners)
                assert not any(_seen_sooner(sight, solid, corner, eye) for corner in corners)


def _section(
    profile: Profile, hinge: str, side: str, full: float, angle: float
) -> tuple[Any, list[tuple[float, float]]]:
    """Return the open van in section, viewer to the left of x = 0, and the panel's corners."""
    edge, (near, far) = profile.edge_height_mm, profile.inboard(hinge)
    shell = shapely.Polygon([(0, edge), (full, edge), (full, edge - 30), (0, edge - 30)])
    shell = affinity.rotate(shell, angle, origin=(0, edge))
    tops = [affinity.rotate(shapely.Point(u, edge + profile.stands_mm), angle, origin=(0, edge))
            for u in (near, far)]
    body = shapely.box(0, 0, full, edge - 31)
    if side != hinge:
        tip = full * math.cos(math.radians(angle))
        shell, body = _mirrored(shell, tip), _mirrored(body, tip)
        tops = [_mirrored(top, tip) for top in tops]
        body = body.intersection(shapely.box(0, 0, full, edge))
    return shapely.union(shell, body), [(top.x, top.y) for top in tops]


def _mirrored(shape: Any, tip: float) -> Any:
    return affinity.affine_transform(shape, [-1, 0, 0, 1, tip, 0])


def _holds(sight: Sight, solid: Any, corner: tuple[float, float], eye_mm: float) -> bool:
    try:
        _agrees(sight, solid, corner, eye_mm)
    except AssertionError:
        return False
    return True


def _seen_sooner(sight: Sight, solid: Any, corner: tuple[float, float], eye_mm: float) -> bool:
    if sight.seen != "beyond":
        return False
    nearer = max(0.02, sight.distance_mm * CLOSE - 1)
    return _seen(solid, (-nearer, eye_mm), corner)
