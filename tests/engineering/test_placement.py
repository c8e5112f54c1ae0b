"""Behaviour of placement: which place wins and why, what is said when nothing fits."""

from __future__ import annotations

import json
import math
import random
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from planner.engineering.placement import (
    Obstacle,
    PanelOutline,
    Placement,
    Ribs,
    RoofPlan,
    Weights,
    Wishes,
    free_rectangles,
    obstacle_faults,
    place_panel,
    place_panels,
)
from planner.engineering.placement_compare import Candidate, compare_candidates
from planner.engineering.placement_model import Foot
from planner.engineering.placement_ribs import landing_offsets, mounts_on_ribs, row_spacing
from planner.errors import OutOfRangeError

PANEL = PanelOutline("panel", 1480, 670)
NAN = math.nan


def _vent(**changes: Any) -> Obstacle:
    plain: dict[str, Any] = {
        "name": "vent", "kind": "vent", "x_mm": 1000, "y_mm": 500, "length_mm": 400,
        "width_mm": 400, "height_mm": 100,
    }
    return Obstacle(**plain | changes)


def _best(roof: RoofPlan, panel: PanelOutline = PANEL, wishes: Wishes | None = None) -> Placement:
    return place_panel(roof=roof, panel=panel, wishes=wishes).ranked[0]


@pytest.mark.parametrize(
    ("lift", "centre"),
    [("front", "low x"), ("rear", "high x"), ("left", "low y"), ("right", "high y")],
)
def test_panel_goes_near_the_hinge(lift: str, centre: str) -> None:
    """Weight far from the hinge is weight to lift (common practice, no source)."""
    place = _best(RoofPlan(2600, 1500, 50, lift=lift))
    cx = (place.x_mm + place.length_along_x_mm / 2) / 2600
    cy = (place.y_mm + place.width_along_y_mm / 2) / 1500
    assert {"low x": cx < 0.4, "high x": cx > 0.6, "low y": cy < 0.4, "high y": cy > 0.6}[centre]


@pytest.mark.parametrize("lift", ["parallel", "fixed"])
def test_panel_goes_in_the_middle_of_an_even_roof(lift: str) -> None:
    """A parallel lift racks under an uneven load (common practice, no source)."""
    place = _best(RoofPlan(2600, 1500, 50, lift=lift))
    assert place.x_mm + place.length_along_x_mm / 2 == pytest.approx(1300)
    assert place.y_mm + place.width_along_y_mm / 2 == pytest.approx(750)
    assert place.score == pytest.approx(100)


def test_front_hinge_stops_at_the_set_back() -> None:
    """Nearer the hinge costs more set-back than it wins, so the front edge stands at 150 mm."""
    assert _best(RoofPlan(2600, 1500, 50, lift="front")).x_mm == pytest.approx(150)


def test_reasons_name_every_wish_and_add_up() -> None:
    """The fitter can see what each wish gave."""
    roof = RoofPlan(2600, 1500, 50, (_vent(x_mm=2000),), "front", entry_mm=(1800, 700))
    place = _best(roof, wishes=Wishes(sun_elevation_deg=15, panel_top_mm=60))
    wishes = [reason.wish for reason in place.reasons]
    assert wishes == ["lift", "shade", "set_back", "centreline", "cable", "in_line"]
    assert sum(reason.points for reason in place.reasons) == pytest.approx(place.score)
    assert "behind the hinge at the front" in place.reasons[0].text


def test_shade_moves_the_panel_away() -> None:
    """A tall vent on the near side pushes a small panel to the other end."""
    roof = RoofPlan(3000, 1500, 50, (_vent(x_mm=100, y_mm=550, height_mm=250),), "fixed")
    panel = PanelOutline("panel", 600, 500)
    shaded = Wishes(sun_elevation_deg=12, panel_top_mm=50, weights=Weights(lift=1, shade=90))
    place = _best(roof, panel, shaded)
    assert place.reasons[1].measure == 0
    assert place.x_mm > 1000


def test_ranked_places_lie_apart() -> None:
    """Near-copies of the best place are no choice."""
    roof = RoofPlan(2600, 1500, 50, (_vent(),), "front")
    found = place_panel(roof=roof, panel=PanelOutline("panel", 700, 500), limit=6, apart_mm=300)
    assert len(found.ranked) == 6
    for index, one in enumerate(found.ranked):
        for other in found.ranked[index + 1 :]:
            apart = max(abs(one.x_mm - other.x_mm), abs(one.y_mm - other.y_mm))
            assert one.turned != other.turned or apart >= 299.9


def test_order_of_obstacles_makes_no_difference() -> None:
    """The same roof gives the same answer however it was typed in."""
    items = tuple(_vent(name=f"vent {n}", x_mm=300 + 500 * n, y_mm=100 + 250 * n) for n in range(4))
    roof = RoofPlan(2600, 1500, 30, items, "rear")
    panels = [PanelOutline("panel", 700, 400)] * 2
    first = place_panels(roof=roof, panels=panels)
    shuffled = list(items)
    random.Random(1).shuffle(shuffled)  # noqa: S311
    assert place_panels(roof=replace(roof, obstacles=tuple(shuffled)), panels=panels) == first


def test_results_are_plain_values() -> None:
    """Placements, reasons and refusals go into the plan file as they are."""
    good = place_panels(roof=RoofPlan(2600, 1500), panels=[PANEL] * 2)
    bad = place_panels(roof=RoofPlan(2000, 1000), panels=[PANEL] * 2)
    assert json.loads(msgspec.json.encode([good, bad]))[1]["why_not"]["fit_together"] == 1


def test_two_equal_panels_stand_in_one_block() -> None:
    """Side by side and aligned where the roof allows, with at least the asked gap."""
    fit = place_panels(roof=RoofPlan(2600, 1500, 50), panels=[PANEL] * 2)
    assert fit.arrangement is not None
    assert fit.arrangement.in_line
    one, two = fit.arrangement.placements
    assert one.x_mm == two.x_mm
    assert two.y_mm - one.y_mm == pytest.approx(690)


def test_panels_are_parted_where_no_block_fits() -> None:
    """A rooflight in the middle leaves one strip in front and one behind it."""
    light = Obstacle("rooflight", "rooflight", 1000, 0, 600, 1500, 60)
    fit = place_panels(roof=RoofPlan(2600, 1500, 20, (light,)), panels=[
        PanelOutline("front one", 1200, 600), PanelOutline("rear one", 1200, 600)])
    assert fit.arrangement is not None
    assert not fit.arrangement.in_line
    assert sorted(place.x_mm > 1600 for place in fit.arrangement.placements) == [False, True]


def test_panels_stand_in_line_across_what_parts_them() -> None:
    """A rooflight leaves no room for a block: same way round, edges in line, equal gaps."""
    roof = RoofPlan(3400, 1420, 60, (
        Obstacle("rooflight", "rooflight", 1500, 460, 500, 500, 90),
        Obstacle("cowl", "flue", 3150, 120, 90, 90, 120),
    ))
    feet = (Foot(505, -20, 0, 60), Foot(505, 690, 0, 60))
    fit = place_panels(roof=roof, panels=[PanelOutline("panel", 1010, 670, feet)] * 2)
    assert fit.arrangement is not None
    one, two = fit.arrangement.placements
    assert fit.arrangement.form == "row"
    assert one.turned == two.turned
    assert one.y_mm == two.y_mm
    gap = two.x_mm - one.x_mm - one.length_along_x_mm
    assert fit.arrangement.reasons[-1].measure == pytest.approx(gap)
    assert fit.arrangement.reasons[-1].points == pytest.approx(10)
    assert f"equal gaps of {gap:.0f} mm" in fit.arrangement.reasons[-1].text


def test_unequal_panels_keep_their_names() -> None:
    """Each placement carries its own panel's size."""
    panels = [PanelOutline("small", 500, 300), PanelOutline("large", 1200, 600)]
    fit = place_panels(roof=RoofPlan(2600, 1500, 20), panels=panels)
    assert fit.arrangement is not None
    sizes = {p.name: sorted((p.length_along_x_mm, p.width_along_y_mm))
             for p in fit.arrangement.placements}
    assert sizes == {"small": [300, 500], "large": [600, 1200]}


def test_too_large_for_the_roof() -> None:
    """The roof governs, and the cut is what is missing along each axis."""
    why = place_panel(roof=RoofPlan(1400, 900, 0), panel=PANEL).why_not
    assert why is not None
    assert (why.governs, why.margin_that_fits_mm) == ("roof", None)
    assert why.shrink is not None
    assert (why.shrink.along_x_mm, why.shrink.along_y_mm) == (80, 0)
    assert "panel (1480 × 670 mm) is larger than the usable roof of 1400 × 900 mm." in why.text
    assert "80 mm shorter along x" in why.text


def test_fits_only_beyond_the_margin() -> None:
    """1480 in 1540 leaves 30 mm at each end: 20 less than the 50 asked."""
    why = place_panel(roof=RoofPlan(1540, 900, 50), panel=PANEL).why_not
    assert why is not None
    assert (why.governs, why.margin_that_fits_mm, why.margin_short_mm) == ("edge_margin", 30, 20)
    assert "edge margin of at most 30 mm, 20 mm less than asked" in why.text


def test_obstacles_in_the_way_are_named() -> None:
    """Either end would do without the vent; the aerial in the corner is not to blame."""
    aerial = Obstacle("aerial", "aerial", 1900, 1350, 50, 50)
    roof = RoofPlan(2000, 1450, 30, (_vent(), aerial))
    why = place_panel(roof=roof, panel=PanelOutline("panel", 1500, 800)).why_not
    assert why is not None
    assert why.governs == "obstacles"
    assert why.in_the_way == ("vent",)
    assert why.free
    assert "Moving or removing one of these would make room: vent." in why.text


def test_clearance_can_be_the_obstacles_own() -> None:
    """A flue keeps 300 mm by default; what its maker states replaces that."""
    flue = Obstacle("flue", "flue", 1700, 600, 100, 100)
    panel = PanelOutline("panel", 1500, 1400)
    roof = RoofPlan(2000, 1500, 20, (flue,))
    assert not place_panel(roof=roof, panel=panel).fits
    near = replace(roof, obstacles=(replace(flue, clearance_mm=150),))
    assert place_panel(roof=near, panel=panel).fits


def test_how_many_fit_together() -> None:
    """Each fits alone, two of three together."""
    fit = place_panels(roof=RoofPlan(1600, 1500, 30), panels=[PANEL] * 3)
    assert fit.why_not is not None
    assert (fit.why_not.governs, fit.why_not.fit_together) == ("together", 2)
    assert "only 2 of 3" in fit.why_not.text


def _footed(size: float, spacing: float = 600) -> PanelOutline:
    feet = tuple(Foot(along, across, size, size) for along in (150, 1330)
                 for across in (335 - spacing / 2, 335 + spacing / 2))
    return replace(PANEL, feet=feet)


def test_feet_stand_on_flats() -> None:
    """Every foot, from edge to edge, lies between two ribs."""
    ribs = Ribs("lengthwise", 200, 120, 40, 12)
    place = _best(RoofPlan(2600, 1500, 50, ribs=ribs), _footed(60))
    assert not place.turned
    for across in (35, 635):
        low = (place.y_mm + across - 30 - 40) % 200
        assert low + 60 <= 120 + 1e-6


def test_feet_that_can_be_moved_do_not_bind_the_panel() -> None:
    """Ribs across the rows: each foot slides along its side to a flat, whatever the panel does."""
    ribs = Ribs("crosswise", 200, 120, 100, 12)
    rows = tuple(Foot(740, across, 0, 60) for across in (-25, 695))
    bound, free = _best(RoofPlan(2600, 1500, 50, ribs=ribs), _footed(60)), _best(
        RoofPlan(2600, 1500, 50, ribs=ribs), replace(PANEL, feet=rows))
    assert free.x_mm == _best(RoofPlan(2600, 1500, 50)).x_mm
    assert bound.x_mm != free.x_mm


def test_feet_wider_than_flats_govern() -> None:
    """The ribs are to blame, not the obstacles."""
    ribs = Ribs("lengthwise", 200, 50, 0, 12)
    why = place_panel(roof=RoofPlan(2600, 1500, 50, ribs=ribs), panel=_footed(60)).why_not
    assert why is not None
    assert (why.governs, why.shrink) == ("ribs", None)
    assert "no place where every foot stands wholly on a rib flat" in why.text


def test_feet_outside_the_frame_keep_panels_apart() -> None:
    """Two facing rows of feet must not share ground."""
    panels = [_footed(60, spacing=720)] * 2
    fit = place_panels(roof=RoofPlan(2600, 1700, 20), panels=panels, wishes=Wishes())
    assert fit.arrangement is not None
    one, two = fit.arrangement.placements
    assert two.y_mm - one.y_mm >= 670 + 20 + 2 * 55 - 1e-6


def test_mounts_on_ribs_say_what_would_do() -> None:
    """Pitch 150, flat 70, ribs 12 high: 60 lands, 90 needs a 230 mm packer, 250 nothing."""
    verdicts = mounts_on_ribs(
        ribs=Ribs("lengthwise", 150, 70, 0, 12), feet_mm={"wide": 90, "narrow": 60, "huge": 250}
    )
    assert [(v.mount, v.lands, v.packer_length_mm, v.packer_height_mm) for v in verdicts] == [
        ("narrow", True, 0, 0), ("wide", False, 230, 12), ("huge", False, 0, 0),
    ]
    assert "20 mm wider than the 70 mm flat" in verdicts[1].text


def test_landing_offsets_are_where_both_rows_land() -> None:
    """Flats 0-80, 200-280 …; feet of 60 at 30 and 430 from the edge: 0 to 20, then each pitch."""
    spans = landing_offsets(
        ribs=Ribs("lengthwise", 200, 80), feet_mm=[(30, 60), (430, 60)], low_mm=0, high_mm=450
    )
    assert spans == [(0, 20), (200, 220), (400, 420)]


def test_row_spacing_gives_the_nearest_that_lands() -> None:
    """Pitch 200, 20 mm to spare: 660 becomes 620, and 560 becomes 580, three pitches ± 20."""
    ribs = Ribs("lengthwise", 200, 80)
    spacing = row_spacing(ribs=ribs, spacing_mm=660, foot_mm=60)
    assert (spacing.lands, spacing.nearest_mm, spacing.change_mm) == (False, 620, -40)
    assert row_spacing(ribs=ribs, spacing_mm=560, foot_mm=60).nearest_mm == 580
    assert row_spacing(ribs=ribs, spacing_mm=410, foot_mm=60).lands


def test_candidates_side_by_side() -> None:
    """Watts per kilogram and square metre, and grams for each watt over the next smaller one."""
    small = Candidate(PanelOutline("small", 1000, 500), 100, 6.0, 30)
    large = Candidate(PanelOutline("large", 1480, 670), 200, 11.0, 35)
    giant = Candidate(PanelOutline("giant", 1900, 1600), 500, 25.0, 35)
    rows = compare_candidates(
        roof=RoofPlan(2600, 1500, 50, (_vent(x_mm=2100),), "front"),
        candidates=[large, small, giant], mount_height_mm=25,
        wishes=Wishes(sun_elevation_deg=15),
    )
    by_name = {row.name: row for row in rows}
    assert [row.name for row in rows] == ["large", "small", "giant"]
    assert [by_name[n].fits for n in ("small", "large", "giant")] == [True, True, False]
    assert by_name["large"].grams_per_added_watt == pytest.approx(50)
    assert by_name["small"].grams_per_added_watt is None
    assert by_name["giant"].grams_per_added_watt == pytest.approx(14000 / 300)
    assert by_name["large"].watts_per_kg == pytest.approx(200 / 11)
    assert by_name["small"].watts_per_m2 == pytest.approx(200)
    assert by_name["large"].standing_height_mm == 60
    assert by_name["giant"].why_not.startswith("giant (1900 × 1600 mm)")
    assert by_name["large"].mean_shade is not None
    assert by_name["giant"].mean_shade is None


def test_free_rectangles_beside_one_obstacle() -> None:
    """A vent with its 50 mm in the middle of a roof leaves four strips, the largest first."""
    rooms = free_rectangles(roof=RoofPlan(2400, 1400, 0, (_vent(),)))
    assert {(r.x_mm, r.y_mm, r.length_mm, r.width_mm) for r in rooms} == {
        (0, 0, 950, 1400), (1450, 0, 950, 1400), (0, 0, 2400, 450), (0, 950, 2400, 450),
    }
    assert rooms[0].length_mm * rooms[0].width_mm == 950 * 1400


def test_obstacle_faults_name_the_obstacle() -> None:
    """Off the roof, overlapping, and named twice."""
    roof = RoofPlan(2000, 1000, 0, (
        _vent(name="rear vent", x_mm=1700), _vent(name="light", x_mm=600, y_mm=100),
        _vent(name="aerial", x_mm=900, y_mm=300), _vent(name="aerial", x_mm=50, y_mm=550),
    ))
    faults = obstacle_faults(roof=roof)
    assert faults[0].startswith("rear vent: reaches 100 mm past the rear edge")
    assert faults[1].startswith("light: overlaps aerial.")
    assert faults[2] == "aerial: this name is used twice. Give each obstacle its own."
    assert len(faults) == 3
    assert obstacle_faults(roof=RoofPlan(2600, 1500, 0, (_vent(),))) == []


def test_touching_obstacles_are_no_fault() -> None:
    """Two that share an edge are measured right."""
    roof = RoofPlan(2600, 1500, 0, (_vent(), _vent(name="next", x_mm=1400)))
    assert obstacle_faults(roof=roof) == []


@pytest.mark.parametrize("bad", [0, -5, NAN, math.inf])
@pytest.mark.parametrize("field", ["length_mm", "width_mm"])
def test_sizes_must_be_positive(field: str, bad: Any) -> None:
    """The message names what has the wrong size."""
    with pytest.raises(OutOfRangeError, match=f"vent: {field} is {bad}; it must be more than 0"):
        _vent(**{field: bad})
    with pytest.raises(OutOfRangeError, match=f"panel: {field}"):
        PanelOutline(**{"name": "panel", "length_mm": 1480, "width_mm": 670, field: bad})
    with pytest.raises(OutOfRangeError, match=f"roof: {field}"):
        RoofPlan(**{"length_mm": 2600, "width_mm": 1500, field: bad})


@pytest.mark.parametrize(
    ("make", "name"),
    [
        (lambda: _vent(kind="chimney"), "vent: kind"),
        (lambda: _vent(height_mm=-1), "vent: height_mm"),
        (lambda: _vent(clearance_mm=NAN), "vent: clearance_mm"),
        (lambda: _vent(x_mm=NAN), "vent: x_mm"),
        (lambda: RoofPlan(2600, 1500, -1), "roof: edge_margin_mm"),
        (lambda: RoofPlan(2600, 1500, lift="up"), "roof: lift"),
        (lambda: RoofPlan(2600, 1500, entry_mm=(NAN, 0)), "roof: entry_mm"),
        (lambda: Ribs("diagonal", 100, 50), "ribs: run"),
        (lambda: Ribs("lengthwise", 0, 50), "ribs: pitch_mm"),
        (lambda: Ribs("lengthwise", 100, 101), "ribs: flat_mm"),
        (lambda: Ribs("lengthwise", 100, NAN), "ribs: flat_mm"),
        (lambda: Foot(0, 0, -1, 10), "foot: size_along_mm"),
        (lambda: Foot(NAN, 0, 10, 10), "foot: along_mm"),
        (lambda: Wishes(sun_elevation_deg=0), "sun_elevation_deg"),
        (lambda: Wishes(sun_elevation_deg=NAN), "sun_elevation_deg"),
        (lambda: Wishes(panel_gap_mm=-1), "panel_gap_mm"),
        (lambda: Weights(cable=-1), "weights: cable"),
        (lambda: Candidate(PANEL, 0, 10, 30), "panel: rated_w"),
        (lambda: Candidate(PANEL, 100, 10, 30, 5), "panel: count"),
        (lambda: place_panels(roof=RoofPlan(2600, 1500), panels=[]), "panels"),
        (lambda: place_panels(roof=RoofPlan(2600, 1500), panels=[PANEL] * 5), "panels"),
        (lambda: place_panel(roof=RoofPlan(2600, 1500), panel=PANEL, limit=0), "limit"),
        (lambda: place_panel(roof=RoofPlan(2600, 1500), panel=PANEL, apart_mm=NAN), "apart_mm"),
        (lambda: compare_candidates(roof=RoofPlan(2600, 1500), candidates=[], mount_height_mm=9),
         "candidates"),
        (lambda: mounts_on_ribs(ribs=Ribs("lengthwise", 90, 50), feet_mm={"m": 0}), "m: foot"),
        (lambda: landing_offsets(ribs=Ribs("lengthwise", 90, 50), feet_mm=[], low_mm=2,
                                 high_mm=1), "high_mm"),
        (lambda: row_spacing(ribs=Ribs("lengthwise", 90, 50), spacing_mm=90, foot_mm=51),
         "foot_mm"),
    ],
)
def test_values_out_of_range_are_refused(make: Any, name: str) -> None:
    """Each refusal names the argument."""
    with pytest.raises(OutOfRangeError) as caught:
        make()
    assert caught.value.argument == name
