"""Placement against the general-purpose library shapely (2.x) and plain exhaustive search.

Nothing here reads the planner's own geometry or score: feasibility, shade and points are worked
out again from their published description, on random roofs with a fixed seed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
import shapely
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from planner.engineering.placement import (
    Obstacle,
    PanelOutline,
    Placement,
    Ribs,
    RoofPlan,
    Weights,
    Wishes,
    free_rectangles,
    place_panel,
    place_panels,
)
from planner.engineering.placement_entry import entry_spot
from planner.engineering.placement_model import Foot, Rect
from planner.engineering.placement_pack import arranged
from planner.engineering.placement_space import shape_of

Floats = NDArray[np.float64]
LIFTS = ("front", "rear", "left", "right", "parallel", "fixed")
HAIR = 1e-3
"""A thousandth of a millimetre: places are rounded to that."""


def _random_roof(rng: random.Random, obstacles: int, lift: str) -> RoofPlan:
    length, width = rng.randint(1800, 3200), rng.randint(1200, 1700)
    items = []
    for number in range(obstacles):
        a, b = rng.randint(40, 450), rng.randint(40, 450)
        items.append(Obstacle(
            f"item {number}", rng.choice(["vent", "rooflight", "flue", "aerial", "rail"]),
            rng.randint(0, length - a), rng.randint(0, width - b), a, b, rng.randint(0, 160),
        ))
    entry = (rng.randint(0, length), rng.randint(0, width)) if rng.random() < 0.8 else None
    return RoofPlan(length, width, rng.randint(0, 60), tuple(items), lift, entry_mm=entry)


def _keep_out(roof: RoofPlan) -> Any:
    """Return the obstacles with their clearances, square at the corners, as one shape."""
    return shapely.union_all([
        shapely.box(o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm)
        .buffer(300 if o.kind == "flue" else 50, join_style="mitre")
        for o in roof.obstacles
    ])


def _inner(roof: RoofPlan) -> Any:
    m = roof.edge_margin_mm
    return shapely.box(m, m, roof.length_mm - m, roof.width_mm - m)


def _feasible(roof: RoofPlan, xs: Floats, ys: Floats, a: float, b: float) -> NDArray[np.bool_]:
    """Say which places keep inside the margins and clear of every clearance."""
    m = roof.edge_margin_mm
    inside = (
        (xs >= m) & (ys >= m) & (xs + a <= roof.length_mm - m) & (ys + b <= roof.width_mm - m)
    )
    taken = _keep_out(roof)
    shapely.prepare(taken)
    boxes = shapely.box(xs + HAIR, ys + HAIR, xs + a - HAIR, ys + b - HAIR)
    result: NDArray[np.bool_] = inside & ~shapely.intersects(taken, boxes)
    return result


def _points(
    roof: RoofPlan, wishes: Wishes, xs: Floats, ys: Floats, a: float, b: float
) -> Floats:
    """Return the points of one panel at many places, from the description of the score."""
    length, width, w = roof.length_mm, roof.width_mm, wishes.weights
    cx, cy = (xs + a / 2) / length, (ys + b / 2) / width
    lost = {
        "front": cx, "rear": 1 - cx, "left": cy, "right": 1 - cy,
        "parallel": np.abs(2 * cx - 1), "fixed": np.abs(2 * cx - 1),
    }[roof.lift]
    points = w.in_line + w.lift * (1 - lost) + w.centreline * (1 - np.abs(2 * cy - 1))
    points = points + w.set_back * np.minimum(1, xs / wishes.set_back_mm)
    points = points + w.cable * (1 - _run(roof, xs, ys, a, b) / (length + width))
    return np.asarray(points + w.shade * (1 - _shaded(roof, wishes, xs, ys, a, b)))


def _run(roof: RoofPlan, xs: Floats, ys: Floats, a: float, b: float) -> Floats:
    if roof.entry_mm is None:
        return np.zeros_like(xs)
    ex, ey = roof.entry_mm
    along = np.maximum(0, np.maximum(xs - ex, ex - xs - a))
    across = np.maximum(0, np.maximum(ys - ey, ey - ys - b))
    return np.asarray(along + across)


def _shaded(
    roof: RoofPlan, wishes: Wishes, xs: Floats, ys: Floats, a: float, b: float
) -> Floats:
    assert wishes.sun_elevation_deg is not None
    slope = np.tan(np.radians(wishes.sun_elevation_deg))
    zones = [
        shapely.box(o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm)
        .buffer((o.height_mm - wishes.panel_top_mm) / slope, join_style="mitre")
        for o in roof.obstacles if o.height_mm > wishes.panel_top_mm
    ]
    boxes = shapely.box(xs, ys, xs + a, ys + b)
    covered = shapely.area(shapely.intersection(boxes, shapely.union_all(zones)))
    return np.asarray(covered / (a * b))


def _ways(panel: PanelOutline) -> Iterator[tuple[float, float]]:
    yield panel.length_mm, panel.width_mm
    yield panel.width_mm, panel.length_mm


def _tries(
    rng: np.random.Generator, roof: RoofPlan, a: float, b: float, near: Placement | None
) -> tuple[Floats, Floats]:
    """Return places all over the roof, and close ones around the answer."""
    m = roof.edge_margin_mm
    xs = rng.uniform(m, max(m, roof.length_mm - m - a), 150)
    ys = rng.uniform(m, max(m, roof.width_mm - m - b), 150)
    if near is not None:
        steps = np.array([(dx, dy) for dx, dy in product((-20, -3, -0.5, 0, 0.5, 3, 20), repeat=2)])
        xs = np.concatenate([xs, near.x_mm + steps[:, 0]])
        ys = np.concatenate([ys, near.y_mm + steps[:, 1]])
    return xs, ys


@pytest.mark.parametrize("lift", LIFTS)
def test_one_panel_is_clear_and_no_other_place_beats_it(lift: str) -> None:
    """1,020 random roofs, six kinds of lift: shapely finds each place clear, none better.

    Free ground for the corner is the roof less the obstacles, each grown by its clearance and the
    panel: if shapely finds more than a sliver of it, a place must be found, and none otherwise.
    Tolerance: 0.01 points, a hundred times what rounding a place to 0.001 mm can change.
    """
    rng, draws = random.Random(f"one {lift}"), np.random.default_rng(7)  # noqa: S311
    fitted = 0
    for _ in range(170):
        roof = _random_roof(rng, rng.randint(1, 6), lift)
        panel = PanelOutline("panel", rng.randint(500, 1700), rng.randint(300, 1000))
        wishes = Wishes(sun_elevation_deg=rng.uniform(8, 40), panel_top_mm=rng.randint(10, 90))
        fit = place_panel(roof=roof, panel=panel, wishes=wishes)
        assert fit.fits == bool(fit.ranked) == (fit.why_not is None)
        if not fit.fits:
            assert all(_free_corner_area(roof, a, b) < 1 for a, b in _ways(panel))
            continue
        fitted += 1
        _check_ranked(roof, wishes, fit.ranked)
        _check_unbeaten(draws, roof, panel, wishes, fit.ranked[0])
    assert fitted > 60


def _free_corner_area(roof: RoofPlan, a: float, b: float) -> float:
    m = roof.edge_margin_mm
    if roof.length_mm - a < 2 * m or roof.width_mm - b < 2 * m:
        return 0.0
    free = shapely.box(m, m, roof.length_mm - m - a, roof.width_mm - m - b)
    for o in roof.obstacles:
        c = 300 if o.kind == "flue" else 50
        free = free.difference(shapely.box(
            o.x_mm - c - a, o.y_mm - c - b, o.x_mm + o.length_mm + c, o.y_mm + o.width_mm + c
        ))
    return float(free.area)


def _check_ranked(roof: RoofPlan, wishes: Wishes, ranked: tuple[Placement, ...]) -> None:
    scores = [place.score for place in ranked]
    assert all(a > b - 1e-6 for a, b in pairwise(scores))
    for place in ranked:
        a, b = place.length_along_x_mm, place.width_along_y_mm
        xs, ys = np.array([place.x_mm]), np.array([place.y_mm])
        margins = _inner(roof).buffer(HAIR, join_style="mitre")
        assert margins.contains(shapely.box(xs[0], ys[0], xs[0] + a, ys[0] + b))
        assert _keep_out(roof).intersection(
            shapely.box(xs[0] + HAIR, ys[0] + HAIR, xs[0] + a - HAIR, ys[0] + b - HAIR)
        ).area == 0
        again = _points(roof, wishes, xs, ys, a, b)[0]
        assert place.score == pytest.approx(again, abs=0.01)
        assert place.score == pytest.approx(sum(reason.points for reason in place.reasons))


def _check_unbeaten(
    draws: np.random.Generator, roof: RoofPlan, panel: PanelOutline, wishes: Wishes,
    best: Placement,
) -> None:
    for a, b in _ways(panel):
        xs, ys = _tries(draws, roof, a, b, best if a == best.length_along_x_mm else None)
        clear = _feasible(roof, xs, ys, a, b)
        if clear.any():
            points = _points(roof, wishes, xs[clear], ys[clear], a, b)
            assert points.max() <= best.score + 0.01


def test_every_foot_stands_on_a_flat_and_no_other_place_beats_it() -> None:
    """150 random ribbed roofs: shapely finds every foot inside one flat; a fine search no better.

    The search walks the coordinate across the ribs in steps of 0.5 mm.
    """
    rng = random.Random("ribs")  # noqa: S311
    fitted = 0
    for _ in range(150):
        roof, panel = _ribbed(rng)
        wishes = Wishes(sun_elevation_deg=20.0, panel_top_mm=60)
        fit = place_panel(roof=roof, panel=panel, wishes=wishes)
        flats = _flats(roof)
        for place in fit.ranked:
            assert all(
                any(flat.contains(foot) for flat in flats) for foot in _feet(panel, place)
            )
        fitted += fit.fits
        _check_rib_search(roof, panel, wishes, fit.ranked[0].score if fit.fits else None)
    assert 30 < fitted < 150


def _ribbed(rng: random.Random) -> tuple[RoofPlan, PanelOutline]:
    plain = _random_roof(rng, 2, rng.choice(LIFTS))
    pitch = rng.randint(90, 300)
    ribs = Ribs(
        rng.choice(["lengthwise", "crosswise"]), pitch,
        rng.randint(30, pitch), rng.randint(0, 200), 10,
    )
    roof = RoofPlan(plain.length_mm, plain.width_mm, 20, plain.obstacles, plain.lift, ribs)
    length, width = rng.randint(700, 1200), rng.randint(350, 600)
    size = rng.randint(25, 60)
    feet = tuple(
        Foot(along, across, size, size) for along, across in product(
            (100, length - 100), (-15, width + 15))
    )
    return roof, PanelOutline("panel", length, width, feet)


def _flats(roof: RoofPlan) -> list[Any]:
    ribs = roof.ribs
    assert ribs is not None
    across = roof.width_mm if ribs.run == "lengthwise" else roof.length_mm
    starts = [ribs.first_flat_mm + k * ribs.pitch_mm for k in range(-4, int(across / 80))]
    if ribs.run == "lengthwise":
        return [shapely.box(-500, s - HAIR, 5000, s + ribs.flat_mm + HAIR) for s in starts]
    return [shapely.box(s - HAIR, -500, s + ribs.flat_mm + HAIR, 5000) for s in starts]


def _feet(panel: PanelOutline, place: Placement) -> list[Any]:
    boxes = []
    for foot in panel.feet:
        u, v = (foot.across_mm, foot.along_mm) if place.turned else (foot.along_mm, foot.across_mm)
        half = foot.size_along_mm / 2
        x, y = place.x_mm + u, place.y_mm + v
        boxes.append(shapely.box(x - half, y - half, x + half, y + half))
    return boxes


def _check_rib_search(
    roof: RoofPlan, panel: PanelOutline, wishes: Wishes, best: float | None
) -> None:
    """Walk the coordinate across the ribs finely and the other one coarsely."""
    assert roof.ribs is not None
    fine_y = roof.ribs.run == "lengthwise"
    for turned, (a, b) in enumerate(_ways(panel)):
        fine = np.arange(0, (roof.width_mm if fine_y else roof.length_mm) + 1, 0.5)
        lands = _lands(roof.ribs, panel, bool(turned), fine)
        coarse = np.linspace(0, roof.length_mm if fine_y else roof.width_mm, 25)
        one, two = np.meshgrid(fine[lands], coarse)
        xs, ys = (two.ravel(), one.ravel()) if fine_y else (one.ravel(), two.ravel())
        reach = panel.feet[0].size_along_mm / 2 + 15
        rx, ry = (reach, 20.0) if turned else (20.0, reach)
        keep = (
            (xs >= rx) & (ys >= ry)
            & (xs + a <= roof.length_mm - rx) & (ys + b <= roof.width_mm - ry)
        )
        xs, ys = xs[keep][::7], ys[keep][::7]
        clear = _feasible(roof, xs, ys, a, b) if xs.size else np.array([], dtype=bool)
        if clear.any():
            assert best is not None
            assert _points(roof, wishes, xs[clear], ys[clear], a, b).max() <= best + 0.01


def _lands(ribs: Ribs, panel: PanelOutline, turned: bool, at: Floats) -> NDArray[np.bool_]:
    good = np.ones(at.shape, dtype=bool)
    across_width = (ribs.run == "lengthwise") != turned
    for foot in panel.feet:
        centre = foot.across_mm if across_width else foot.along_mm
        low = (at + centre - foot.size_along_mm / 2 - ribs.first_flat_mm) % ribs.pitch_mm
        good &= low + foot.size_along_mm <= ribs.flat_mm
    return good


CELL = 100


class _Chess(Struct, frozen=True):
    """A small roof ruled into 100 mm cells, with obstacles on whole cells."""

    columns: int
    rows: int
    taken: tuple[tuple[int, int, int, int], ...]
    ribs: tuple[int, int, int] | None = None

    def roof(self) -> RoofPlan:
        """Return it as a roof plan without margins or clearances."""
        ribs = self.ribs and Ribs("lengthwise", *(CELL * cells for cells in self.ribs))
        items = tuple(
            Obstacle(f"item {n}", "other", x * CELL, y * CELL, a * CELL, b * CELL, 0, 0.0)
            for n, (x, y, a, b) in enumerate(self.taken)
        )
        return RoofPlan(self.columns * CELL, self.rows * CELL, 0, items, ribs=ribs)

    def mask(self, x: int, y: int, a: int, b: int) -> int:
        """Return the cells of a rectangle as bits."""
        cells = product(range(x, x + a), range(y, y + b))
        return sum(1 << (cx * self.rows + cy) for cx, cy in cells)

    def lands(self, row: int) -> bool:
        """Say whether a foot one cell wide stands on a flat (pitch, flat, first flat) there."""
        return self.ribs is None or (row - self.ribs[2]) % self.ribs[0] < self.ribs[1]

    def holds(self, panels: list[tuple[int, int]]) -> bool:
        """Try every set of whole-cell places, one panel after the other."""
        busy = 0
        for item in self.taken:
            busy |= self.mask(*item)
        spots = [
            [self.mask(x, y, a, b) for a, b in {size, size[::-1]}
             for x in range(self.columns - a + 1) for y in range(self.rows - b + 1)
             if self.lands(y) and self.lands(y + b - 1)]
            for size in panels
        ]
        return self._place(busy, spots)

    def _place(self, busy: int, spots: list[list[int]]) -> bool:
        if not spots:
            return True
        return any(
            self._place(busy | spot, spots[1:]) for spot in spots[0] if not spot & busy
        )


def _any_arrangement(roof: RoofPlan, panels: list[PanelOutline]) -> bool:
    """Ask the search for any arrangement alone, where aligned blocks would hide its faults."""
    ways = [
        [shape_of(roof=roof, panel=panel, turned=turned, kind=kind) for turned in (False, True)]
        for kind, panel in enumerate(panels)
    ]
    return arranged(list(range(len(panels))), ways, 0) is not None


def test_several_panels_fit_exactly_when_exhaustive_search_says_so() -> None:
    """600 small roofs ruled into cells, two to four panels, equal and unequal.

    When all sizes are whole cells, pushing panels forward and to the left puts them on whole
    cells, so trying all cells settles the question both ways.
    """
    rng = random.Random("several")  # noqa: S311
    counts = {True: 0, False: 0}
    for _ in range(600):
        taken = tuple(
            (rng.randint(0, 8), rng.randint(0, 5), rng.randint(1, 2), rng.randint(1, 2))
            for _ in range(rng.randint(2, 14))
        )
        chess = _Chess(rng.randint(8, 10), rng.randint(6, 7), tuple(
            (x, y, a, b) for x, y, a, b in taken if x + a <= 8 and y + b <= 6
        ))
        sizes = [(rng.randint(2, 5), rng.randint(2, 3)) for _ in range(rng.randint(2, 4))]
        if rng.random() < 0.5:
            sizes = [sizes[0]] * len(sizes)
        panels = [PanelOutline(f"p{n}", a * CELL, b * CELL) for n, (a, b) in enumerate(sizes)]
        fit = place_panels(roof=chess.roof(), panels=panels, wishes=Wishes(panel_gap_mm=0))
        expected = chess.holds(sizes)
        assert fit.fits == expected, (chess, sizes)
        assert _any_arrangement(chess.roof(), panels) == expected, (chess, sizes)
        counts[expected] += 1
        _check_apart(chess.roof(), panels, fit.arrangement.placements if fit.arrangement else ())
    assert min(counts.values()) > 150


def test_several_panels_on_ribs_fit_exactly_when_exhaustive_search_says_so() -> None:
    """400 small roofs with lengthwise ribs on whole cells; feet one cell wide at panel corners."""
    rng = random.Random("several on ribs")  # noqa: S311
    counts = {True: 0, False: 0}
    for _ in range(400):
        pitch = rng.randint(2, 3)
        chess = _Chess(rng.randint(8, 10), rng.randint(6, 8), tuple(
            (rng.randint(0, 7), rng.randint(0, 5), 1, 1) for _ in range(rng.randint(0, 4))
        ), (pitch, rng.randint(1, pitch - 1), rng.randint(0, 2)))
        sizes = [(rng.randint(2, 5), rng.randint(1, 3)) for _ in range(rng.randint(2, 3))]
        panels = [
            PanelOutline(f"p{n}", a * CELL, b * CELL, tuple(
                Foot(u, v, CELL, CELL) for u, v in product(
                    (CELL / 2, a * CELL - CELL / 2), (CELL / 2, b * CELL - CELL / 2))))
            for n, (a, b) in enumerate(sizes)
        ]
        fit = place_panels(roof=chess.roof(), panels=panels, wishes=Wishes(panel_gap_mm=0))
        expected = chess.holds(sizes)
        assert fit.fits == expected, (chess, sizes)
        assert _any_arrangement(chess.roof(), panels) == expected, (chess, sizes)
        counts[expected] += 1
    assert min(counts.values()) > 60


def test_the_cable_entry_keeps_its_distances() -> None:
    """300 random roofs: shapely finds the entry clear of panel, lids, edges and, on flats, ribs."""
    rng = random.Random("entry")  # noqa: S311
    kinds = set()
    for _ in range(300):
        roof = _random_roof(rng, rng.randint(0, 5), rng.choice(LIFTS))
        if rng.random() < 0.5:
            pitch = rng.randint(150, 400)
            roof = replace(roof, ribs=Ribs("crosswise", pitch, rng.randint(100, pitch), 30, 9))
        panel = rng.choice([
            Rect(300, 1500, 200, 1000), Rect(70, roof.length_mm - 70, 70, roof.width_mm - 70)])
        spot = entry_spot(roof=roof, panels=[panel], box_mm=130)
        if spot is None:
            continue
        kinds.add((spot.under_panel, spot.on_flat))
        box = shapely.box(spot.x_mm - 65, spot.y_mm - 65, spot.x_mm + 65, spot.y_mm + 65)
        assert _inner(roof).buffer(HAIR, join_style="mitre").contains(box)
        for o in roof.obstacles:
            own = shapely.box(o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm)
            least = {"rooflight": 100, "flue": 300}.get(o.kind, 50)
            assert own.distance(box) >= least - HAIR
        if not spot.under_panel:
            glass = shapely.box(panel.x0, panel.y0, panel.x1, panel.y1)
            assert glass.distance(box) >= 50 - HAIR
        if spot.on_flat and roof.ribs is not None:
            wider = box.buffer(30, join_style="mitre")
            assert any(flat.contains(wider) for flat in _flats(roof))
    assert len(kinds) == 4


def test_panels_planted_first_are_always_found_room() -> None:
    """200 roofs made by placing panels and then packing obstacles round them: all must fit."""
    rng = random.Random("planted")  # noqa: S311
    for _ in range(200):
        count = rng.randint(2, 4)
        size = (rng.randint(300, 700), rng.randint(250, 500))
        planted = _planted(rng, count, size)
        roof = RoofPlan(2600, 1500, 30, _around(rng, planted))
        panels = [PanelOutline(f"p{n}", *size) for n in range(len(planted))]
        fit = place_panels(roof=roof, panels=panels, wishes=Wishes(panel_gap_mm=20))
        assert fit.arrangement is not None
        _check_apart(roof, panels, fit.arrangement.placements, gap=20)


def _planted(rng: random.Random, count: int, size: tuple[int, int]) -> list[Any]:
    boxes: list[Any] = []
    for _ in range(200):
        a, b = size if rng.random() < 0.5 else size[::-1]
        x, y = rng.randint(30, 2570 - a), rng.randint(30, 1470 - b)
        box = shapely.box(x, y, x + a, y + b)
        if not shapely.intersects(shapely.box(x - 19, y - 19, x + a + 19, y + b + 19), boxes).any():
            boxes.append(box)
        if len(boxes) == count:
            break
    return boxes


def _around(rng: random.Random, planted: list[Any]) -> tuple[Obstacle, ...]:
    items: list[Obstacle] = []
    for _ in range(400):
        a, b = rng.randint(40, 300), rng.randint(40, 300)
        x, y = rng.randint(0, 2600 - a), rng.randint(0, 1500 - b)
        near = shapely.box(x - 49, y - 49, x + a + 49, y + b + 49)
        if not shapely.intersects(near, planted).any() and len(items) < 10:
            items.append(Obstacle(f"item {len(items)}", "vent", x, y, a, b, 60))
    return tuple(items)


def test_panels_in_line_are_clear_and_no_other_place_of_the_line_beats_them() -> None:
    """800 random roofs, two equal panels: each line is a line; no shift of it is clear and better.

    The line is moved about as a whole, near and far; shapely says where it is clear. Points of a
    line are the mean of its panels' points for wishes that count by area, so they are worked out
    for both together here. Tolerance: 0.01 points, as for one panel.
    """
    rng, draws = random.Random("lines"), np.random.default_rng(11)  # noqa: S311
    seen = 0
    for _ in range(800):
        roof = replace(_random_roof(rng, rng.randint(2, 5), "fixed"), entry_mm=None)
        size = rng.randint(800, 1200), rng.randint(500, 750)
        wishes = Wishes(sun_elevation_deg=20.0, panel_top_mm=60, weights=Weights(lift=10))
        fit = place_panels(roof=roof, panels=[PanelOutline("panel", *size)] * 2, wishes=wishes)
        if fit.arrangement is None or fit.arrangement.form != "row":
            continue
        seen += 1
        one, two = fit.arrangement.placements
        assert one.turned == two.turned
        assert (one.x_mm == two.x_mm) != (one.y_mm == two.y_mm)
        a, b = one.length_along_x_mm, one.width_along_y_mm
        dx, dy = two.x_mm - one.x_mm, two.y_mm - one.y_mm
        xs, ys = _tries(draws, roof, a, b, one)
        clear = _feasible(roof, xs, ys, a, b) & _feasible(roof, xs + dx, ys + dy, a, b)
        assert _feasible(roof, np.array([one.x_mm, two.x_mm]), np.array([one.y_mm, two.y_mm]),
                         a, b).all()
        points = _pair_points(roof, wishes, xs[clear], ys[clear], (a, b, dx, dy))
        assert points.max(initial=0.0) <= fit.arrangement.score + 0.01
    assert seen > 20


def _pair_points(
    roof: RoofPlan, wishes: Wishes, xs: Floats, ys: Floats, pair: tuple[float, float, float, float]
) -> Floats:
    """Return the points of two equal panels in a parted line, from the description of the score."""
    a, b, dx, dy = pair
    w = wishes.weights
    cx, cy = (xs + (a + dx) / 2) / roof.length_mm, (ys + (b + dy) / 2) / roof.width_mm
    other = _shaded(roof, wishes, xs + dx, ys + dy, a, b)
    shade = (_shaded(roof, wishes, xs, ys, a, b) + other) / 2
    return np.asarray(
        w.in_line * 2 / 3 + w.lift * (1 - np.abs(2 * cx - 1)) + w.cable
        + w.centreline * (1 - np.abs(2 * cy - 1)) + w.shade * (1 - shade)
        + w.set_back * np.minimum(1, np.minimum(xs, xs + dx) / wishes.set_back_mm)
    )


def _check_apart(
    roof: RoofPlan, panels: list[PanelOutline], places: tuple[Placement, ...], gap: float = 0
) -> None:
    boxes = []
    for panel, place in zip(panels, places, strict=False):
        a, b = place.length_along_x_mm, place.width_along_y_mm
        wanted = (panel.width_mm, panel.length_mm)[:: 1 if place.turned else -1]
        assert (place.name, a, b) == (panel.name, *wanted)
        boxes.append(shapely.box(place.x_mm, place.y_mm, place.x_mm + a, place.y_mm + b))
    for number, box in enumerate(boxes):
        assert _inner(roof).buffer(HAIR, join_style="mitre").contains(box)
        for item in roof.obstacles:
            own = shapely.box(item.x_mm, item.y_mm, item.x_mm + item.length_mm,
                              item.y_mm + item.width_mm)
            assert box.intersection(own.buffer(item.clearance - HAIR, join_style="mitre")).area == 0
        for other in boxes[number + 1 :]:
            assert box.intersection(other).area < HAIR
            assert box.distance(other) >= gap - HAIR


def test_free_rectangles_are_clear_and_cannot_grow() -> None:
    """200 roofs: shapely finds each rectangle clear, and each side that moves out hits something.

    And one panel fits exactly when some free rectangle holds it.
    """
    rng = random.Random("free")  # noqa: S311
    for _ in range(200):
        roof = _random_roof(rng, rng.randint(1, 6), "fixed")
        taken, inner = _keep_out(roof).buffer(-HAIR, join_style="mitre"), _inner(roof)
        rooms = free_rectangles(roof=roof)
        for room in rooms:
            x1, y1 = room.x_mm + room.length_mm, room.y_mm + room.width_mm
            assert shapely.box(room.x_mm, room.y_mm, x1, y1).intersection(taken).area == 0
            for d in ((-1, 0, 0, 0), (0, -1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)):
                grown = shapely.box(room.x_mm + d[0], room.y_mm + d[1], x1 + d[2], y1 + d[3])
                assert grown.intersection(taken).area > 0 or grown.difference(inner).area > 0
        panel = PanelOutline("panel", rng.randint(500, 1700), rng.randint(300, 1000))
        holds = any(a <= room.length_mm and b <= room.width_mm
                    for room in rooms for a, b in _ways(panel))
        assert place_panel(roof=roof, panel=panel).fits == holds
