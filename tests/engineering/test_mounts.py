"""Mount rows add up over several panels and refuse nonsense."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from planner.engineering import bonding, mounts
from planner.engineering.brackets import Check
from planner.engineering.cure import BEDDED, BONDED, cure_times
from planner.engineering.feet import FeetResult
from planner.errors import OutOfRangeError

PANEL = mounts.PanelData(1480, 670, 35, 13)
BRACKETS = mounts.MountData("bolted_brackets", 0.1, 0.12, 0.8, 40, 6, removable=True)
RESULT = FeetResult(
    6, 6, (Check("bolt in tension", 1, 10, "N", 1, "a"), Check("skin", 1, 2, "N", 1, "b"))
)
BARS = mounts.MountData("roof_bar_clamps", 0.2, 0.15, 0, 60, 0, removable=True)


def bolted(panel: mounts.PanelData, rail_m: float = 0) -> mounts.MountRow:
    """Return the row of bolted brackets."""
    cure = cure_times(table=BEDDED, factor=1.5)
    return mounts.bolted_row(
        mount=BRACKETS, panel=panel, result=RESULT, cure=cure, rail_m=rail_m
    )


def clamped(panel: mounts.PanelData, **changes: float) -> mounts.MountRow:
    """Return the row of clamps."""
    given = {"clamps": 4, "uplift_n": 100.0, "bars_rated_kg": 100.0, "bars_uplift_kg": 100.0,
             "uplift_share": 0.5} | changes
    return mounts.clamped_row(
        mount=BARS,
        panel=panel,
        clamps=int(given["clamps"]),
        uplift_n=given["uplift_n"],
        bars_rated_kg=given["bars_rated_kg"],
        bars_uplift_kg=given["bars_uplift_kg"],
        uplift_share=given["uplift_share"],
    )


def test_two_panels_take_twice_of_everything_but_time() -> None:
    """Feet, holes, mass and sealant double; utilisation and cure do not."""
    one, two = bolted(PANEL), bolted(replace(PANEL, count=2))
    for name in ("feet", "holes", "mass_kg", "sealant_ml"):
        assert getattr(two, name) == pytest.approx(2 * getattr(one, name))
    assert (two.utilisation, two.drive_h) == (one.utilisation, one.drive_h)
    assert one.governing == "skin"
    assert one.drive_h == 36


def test_rails_add_their_mass() -> None:
    """3 m of rail at 0.8 kg/m."""
    assert bolted(PANEL, rail_m=3).mass_kg == pytest.approx(bolted(PANEL).mass_kg + 2.4)


def test_bars_carry_all_panels_at_once() -> None:
    """Two panels on the same bars use twice the rating."""
    used = [clamped(replace(PANEL, count=n), uplift_n=2000).utilisation for n in (1, 2)]
    assert used[0] is not None
    assert used[1] == pytest.approx(2 * used[0])


def test_panels_of_two_sizes_make_one_row() -> None:
    """Sums of what is counted, the greater of what is endured, the weaker of what holds."""
    small = replace(PANEL, length_mm=600, width_mm=500, frame_mm=25)
    both = mounts.together([bolted(PANEL), bolted(small)])
    assert both.feet == 12
    assert both.standing_mm == 75
    assert both.mass_kg == pytest.approx(2 * bolted(PANEL).mass_kg)
    assert both.utilisation == bolted(PANEL).utilisation


def test_bars_shared_by_two_sizes_add_up_and_an_unknown_rating_stays_unknown() -> None:
    """What hangs on the same bars is added; nothing is added to what nobody knows."""
    rows = [clamped(PANEL, uplift_n=500), clamped(PANEL, uplift_n=800)]
    shared = mounts.together(rows, shared=True)
    assert shared.utilisation == pytest.approx(sum(row.utilisation or 0 for row in rows))
    unknown = replace(rows[0], utilisation=None)
    assert mounts.together([rows[1], unknown], shared=True).utilisation is None
    with pytest.raises(OutOfRangeError, match="rows is empty"):
        mounts.together([])


def test_a_placed_panel_is_known_either_way_round() -> None:
    """Turning a panel does not change its size."""
    assert PANEL.is_size(670, 1480)
    assert not PANEL.is_size(670, 1400)


def bonded(panel: mounts.PanelData, ribbon_m: float) -> mounts.MountRow:
    """Return the row of a bonded mount."""
    return mounts.bonded_row(
        mount=BRACKETS,
        panel=panel,
        feet=4,
        ribbons=mounts.Ribbons(ribbon_m, 40, 13.3),
        need=bonding.bond_need(gust_n=2278, permanent_n=0),
        cure=cure_times(table=BONDED, factor=1),
        top_speed_kmh=110,
    )


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: bolted(replace(PANEL, mass_kg=0)), "mass_kg"),
        (lambda: bolted(replace(PANEL, width_mm=-1)), "width_mm"),
        (lambda: bolted(replace(PANEL, frame_mm=math.nan)), "frame_mm"),
        (lambda: bolted(replace(PANEL, count=0)), "count"),
        (lambda: bolted(PANEL, rail_m=-1), "rail_m"),
        (lambda: bonded(PANEL, 0), "length_m"),
        (lambda: clamped(PANEL, clamps=2), "clamps"),
        (lambda: clamped(PANEL, uplift_n=-1), "uplift_n"),
        (lambda: clamped(PANEL, bars_rated_kg=0), "bars_rated_kg"),
        (lambda: clamped(PANEL, bars_uplift_kg=0), "bars_uplift_kg"),
        (lambda: clamped(PANEL, uplift_share=1.1), "uplift_share"),
        (
            lambda: mounts.face_ribbon_m(length_mm=50, width_mm=500, pitch_mm=50),
            "length_mm",
        ),
        (lambda: mounts.face_ribbon_m(length_mm=500, width_mm=500, pitch_mm=0), "pitch_mm"),
    ],
)
def test_bad_mount_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
