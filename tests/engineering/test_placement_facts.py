"""Facts about the place of the panels, from answers as the survey gives them."""

from __future__ import annotations

from typing import Any

import pytest

from planner.engineering.bindings import placement, placement_entry, placement_views
from planner.errors import OutOfRangeError

VENT = {"name": "vent", "kind": "vent", "x_mm": 1900, "y_mm": 550, "length_mm": 400,
        "width_mm": 400, "height_mm": 140}
ROOF: dict[str, Any] = {
    "roof_length_mm": 2600, "roof_width_mm": 1500, "edge_margin_mm": 50, "obstacles": [VENT],
    "moves": True, "hinge": "front", "rib_direction": None, "rib_pitch_mm": None,
    "rib_flat_mm": None, "rib_height_mm": None, "rib_first_mm": None, "clear_mm": 50,
    "flue_clear_mm": 300,
}
FEET = {"frame_to_bolt_mm": 25, "foot_length_mm": 60, "foot_width_mm": 40}
WISHES: dict[str, Any] = {
    "latitude_deg": 52.0, "mount_height_mm": 30, "frame_height_mm": 35, "set_back_mm": 150,
    "panel_gap_mm": 20, "moving": True, "lift_points": 40, "fixed_points": 10,
    "shade_points": 20, "set_back_points": 10, "centreline_points": 10, "in_line_points": 15,
}
PANEL = {"count": 1, "length_mm": 1480, "width_mm": 670, "others": None}
RIBBED = ROOF | {"rib_direction": "lengthwise", "rib_pitch_mm": 150, "rib_flat_mm": 70,
                 "rib_height_mm": 8, "rib_first_mm": 40}


def _place(**changes: Any) -> dict[str, Any]:
    return placement.place(**PANEL | ROOF | FEET | WISHES | changes)


def test_place_of_one_panel() -> None:
    """Every declared fact has a value or none, and rows are plain."""
    facts = _place()
    assert set(facts) == set(placement.PLACE)
    assert facts["fits"] is True
    assert (facts["x_mm"], facts["length_mm"]) == (150, 1480)
    assert facts["centre_y_mm"] == pytest.approx(750)
    assert facts["why_not"] is None
    assert facts["rows"][0]["rank"] == 1
    assert 0 < facts["score"] <= 100
    assert len(facts["reasons"]) == 4  # a lone panel has nothing to line up


def test_unequal_panels_are_numbered_and_the_extent_is_of_all() -> None:
    """Two equal ones and one of another size."""
    other = {"name": "small one", "count": 1, "length_mm": 500, "width_mm": 400}
    facts = _place(count=2, length_mm=700, width_mm=500, others=[other], obstacles=None)
    assert [row["name"] for row in facts["panels"]] == ["panel 1", "panel 2", "small one"]
    assert facts["length_mm"] >= 700
    far = max(row["x_mm"] + row["length_mm"] for row in facts["panels"])
    assert facts["x_mm"] + facts["length_mm"] == pytest.approx(far)


def test_more_than_four_panels_are_refused() -> None:
    """The message names the answer to change."""
    other = {"name": "small one", "count": 4, "length_mm": 500, "width_mm": 400}
    with pytest.raises(OutOfRangeError, match="others is 4; it must be at most 4 panels"):
        _place(others=[other])


def test_no_room_says_why() -> None:
    """No coordinates, but the reason, what governs, and the free ground."""
    facts = _place(length_mm=2700)
    assert facts["fits"] is False
    assert (facts["x_mm"], facts["panels"], facts["governs"]) == (None, None, "roof")
    assert facts["why_not"].startswith("panel 1 (2700 × 670 mm)")
    assert facts["free_rows"]


def test_feet_that_stand_out_too_far_are_named() -> None:
    """The panel fits between the vent and the edge, its brackets do not."""
    facts = _place(length_mm=2500, width_mm=490, obstacles=[
        VENT | {"x_mm": 0, "y_mm": 600, "length_mm": 2600, "width_mm": 900}],
        frame_to_bolt_mm=60)
    assert (facts["fits"], facts["governs"]) == (False, "feet")
    assert "its feet stand out too far" in facts["why_not"]


def test_on_ribs_the_rows_of_feet_land() -> None:
    """Spacing 670 + 2 x 25 = 720 is within 30 mm of five pitches."""
    facts = _place(**RIBBED)
    assert facts["on_flats"] is True
    low = facts["y_mm"] - 25 - 20 - 40
    assert low % 150 + 40 <= 70 + 1e-6


def test_where_no_row_lands_the_panel_is_still_drawn() -> None:
    """Packers or rails may carry it; the fact says that brackets on flats do not."""
    facts = _place(**RIBBED, width_mm=600)
    assert (facts["fits"], facts["on_flats"]) == (True, False)


def test_smooth_roofs_have_no_flats_to_land_on() -> None:
    """The fact does not apply."""
    assert _place()["on_flats"] is None


def test_panels_without_brackets_have_no_feet() -> None:
    """A bendable sheet is bound by its own outline alone."""
    facts = _place(frame_to_bolt_mm=None, width_mm=1400, obstacles=None)
    assert facts["fits"] is True
    assert _place(width_mm=1400, obstacles=None, frame_to_bolt_mm=60)["governs"] == "feet"


def test_mounts_on_ribs() -> None:
    """The foot that was measured is among them."""
    mounts = [{"mount": "bonded_corners", "label": "bonded corner mount", "foot_mm": 150}]
    facts = placement.ribs(pitch_mm=150, flat_mm=70, height_mm=8, mounts=mounts, own_foot_mm=40)
    assert facts["some"] is True
    assert [(row["mount"], row["lands"]) for row in facts["rows"]] == [
        ("the foot that you measured", True), ("bonded corner mount", False)]
    assert facts["rows"][1]["packer_length_mm"] == 230


ENTRY: dict[str, Any] = {
    "kind": "entry_box", "where": "lifting_shell", "box_mm": 160, "panel_clear_mm": 50,
    "rooflight_clear_mm": 100, "rib_clear_mm": 30, "airbags": True, "airbag_zone_mm": 100,
    "inside": None, "inside_clear_mm": 80, "inside_slack_mm": 10,
    "panels": [{"x_mm": 150, "y_mm": 415, "length_mm": 1480, "width_mm": 670}],
}


def test_entry_keeps_off_the_airbag_strip() -> None:
    """Beside the panel, a hand's width off it, and not over the cant rail."""
    spot = placement_entry.entry(**ENTRY, **ROOF)
    assert spot is not None
    assert spot["under_panel"] is False
    assert 165 <= spot["y_mm"] <= 1335
    assert spot["in_strip"] is False


def _roof_full_but(free_mm: float) -> dict[str, Any]:
    """Return a roof of 1500 mm with one thing over all but the strip along its right side."""
    width = 1500 - free_mm - ROOF["clear_mm"]
    return ROOF | {"obstacles": [VENT | {"x_mm": 0, "y_mm": 0, "length_mm": 2600,
                                         "width_mm": width}]}


@pytest.mark.parametrize(
    ("free_mm", "in_strip"), [(262, False), (258, True), (205, None)]
)
def test_entry_that_must_give_up_the_strip_says_so(free_mm: float, in_strip: bool | None) -> None:
    """By hand: a square of 160 clear of 100 for airbags needs 260 mm, clear of the edge 210."""
    panels = [{"x_mm": 0, "y_mm": 0, "length_mm": 500, "width_mm": 500}]
    spot = placement_entry.entry(**ENTRY | {"panels": panels}, **_roof_full_but(free_mm))
    assert (spot and spot["in_strip"]) == in_strip


@pytest.mark.parametrize(
    "changes",
    [{"where": "body_side"}, {"where": "fixed_roof"}, {"kind": "over_the_edge"},
     {"kind": "existing_duct"}],
)
def test_no_new_hole_in_this_roof_has_no_place(changes: dict[str, Any]) -> None:
    """The roof plan is of the part that moves; elsewhere and other ways have no coordinates."""
    assert placement_entry.entry(**ENTRY | changes, **ROOF) is None


def test_entry_keeps_a_hand_s_width_from_what_is_fixed_below() -> None:
    """A lamp where the entry would come through moves it; a frame below all of it is said."""
    free = placement_entry.entry(**ENTRY, **ROOF)
    assert free is not None
    lamp = {"name": "lamp", "x_mm": free["x_mm"] - 50, "y_mm": free["y_mm"] - 50,
            "length_mm": 100, "width_mm": 100}
    moved = placement_entry.entry(**ENTRY | {"inside": [lamp]}, **ROOF)
    assert moved is not None
    assert moved["clear_inside"] is True
    off = max(abs(moved["x_mm"] - free["x_mm"]), abs(moved["y_mm"] - free["y_mm"]))
    assert off >= 50 + 80 + 65  # half the lamp, the clearance, half the box
    assert moved["over_something"] is False


def _bows(every_mm: float) -> list[dict[str, Any]]:
    """Return bows 40 mm wide across the whole roof of 2600 x 1500 mm."""
    return [{"name": f"bow at {x:.0f}", "x_mm": x, "y_mm": 0, "length_mm": 40, "width_mm": 1500}
            for x in range(0, 2600, int(every_mm))]


def test_entry_goes_between_bows_that_leave_no_hand_s_width() -> None:
    """Bows every 230 mm leave 190: a square of 160 fits with 15 on either side, not with 80."""
    bows = _bows(230)
    spot = placement_entry.entry(**ENTRY | {"inside": bows}, **ROOF)
    assert spot is not None
    assert (spot["clear_inside"], spot["over_something"]) == (False, False)
    for bow in bows:
        assert abs(spot["x_mm"] - (bow["x_mm"] + 20)) >= 20 + 80 + 10  # bow, square, slack


def test_entry_that_must_lie_over_a_bow_names_it() -> None:
    """Bows every 210 mm leave 170: less than 160 and a centimetre on either side."""
    bows = _bows(210)
    spot = placement_entry.entry(**ENTRY | {"inside": bows}, **ROOF)
    assert spot is not None
    assert spot["over_something"] is True
    under = [b for b in bows if abs(spot["x_mm"] - (b["x_mm"] + 20)) < 20 + 80 + 10]
    assert spot["over_inside"] == [f"cable entry: {bow['name']}" for bow in under]


def test_nothing_is_said_of_what_nobody_listed() -> None:
    """An empty list was looked at and found empty; no list was not."""
    unlisted = placement_entry.entry(**ENTRY, **ROOF)
    looked = placement_entry.entry(**ENTRY | {"inside": []}, **ROOF)
    assert unlisted is not None
    assert looked is not None
    assert (unlisted["clear_inside"], unlisted["over_something"]) == (None, None)
    assert (looked["clear_inside"], looked["over_something"]) == (True, False)


def test_entry_finds_no_room_on_a_crowded_roof() -> None:
    """One vent over everything."""
    crowd = ROOF | {"obstacles": [VENT | {"x_mm": 0, "y_mm": 0, "length_mm": 2600,
                                          "width_mm": 1500}]}
    assert placement_entry.entry(**ENTRY, **crowd) is None


def test_obstacles_off_the_roof_are_noted() -> None:
    """The list is shown to the fitter; nothing is moved in silence."""
    facts = placement.obstacles(**ROOF | {"obstacles": [VENT | {"x_mm": 2300}]})
    assert facts["sound"] is False
    assert facts["notes"][0].startswith("vent: reaches 100 mm past the rear edge")


SEEN = {"panels": ENTRY["panels"], "mount_height_mm": 30, "frame_height_mm": 35}


def test_shade_needs_a_midwinter_sun() -> None:
    """North of 66° there is no noon sun to throw it."""
    facts = placement_views.shade(**SEEN, **ROOF, latitude_deg=52.0)
    assert facts is not None
    assert 0 <= facts["share"] <= facts["worst"] <= 100
    assert facts["rows"][0]["reach_mm"] == pytest.approx(75 / 0.2602, rel=0.01)  # tan 14.6°
    assert placement_views.shade(**SEEN, **ROOF, latitude_deg=70.0) is None


def test_sight_in_words() -> None:
    """Eight views of a lifting roof, each with words; some with a distance."""
    rows = placement_views.sight(
        **SEEN, **ROOF, vehicle_height_mm=2100, crown_mm_per_m=20, eye_height_mm=1600,
        opening_mm=900, opening_angle_deg=20,
    )
    assert [(row["side"], row["roof"]) for row in rows[:4]] == [
        (side, "shut") for side in ("front", "rear", "left", "right")]
    words = {row["seen"].split(" ")[0] for row in rows}
    assert words <= {"from", "not", "only"}
    assert rows[5]["seen"] == "not at all"


def test_candidates_follow_the_panel_of_the_job() -> None:
    """No list, no table; else the job's own panel leads."""
    own: dict[str, Any] = {
        "count": 1, "rated_w": 175, "length_mm": 1480, "width_mm": 670, "mass_kg": 11.8}
    assert placement_views.candidates(listed=[], **own, **ROOF, **FEET, **WISHES) is None
    listed = [{"name": "wide", "rated_w": 410, "length_mm": 1722, "width_mm": 1134,
               "mass_kg": 21.0, "frame_height_mm": 30}]
    rows = placement_views.candidates(listed=listed, **own, **ROOF, **FEET, **WISHES)
    assert rows is not None
    assert [row["name"] for row in rows] == ["the panel of this job", "wide"]
    assert rows[1]["grams_per_added_watt"] == pytest.approx(1000 * 9.2 / 235)
    assert [row["standing_height_mm"] for row in rows] == [65, 60]
