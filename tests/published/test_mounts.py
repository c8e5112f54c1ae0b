"""Comparison rows of the mounts against figures worked by hand."""

from __future__ import annotations

import pytest

from planner.engineering import bonding, mounts
from planner.engineering.cure import BONDED, cure_times

PANEL = mounts.PanelData(length_mm=1480, width_mm=670, frame_mm=35, mass_kg=13)
CORNERS = mounts.MountData("bonded_corners", 0.0, 0.4, 0.0, 30, 0, removable=False)


def test_bonded_row_by_hand() -> None:
    """Arithmetic on planning assumptions: 456 cm² needed; 4 · 0.9 m of 13.3 mm is 480 cm².

    456 / 480 = 0.95; adhesive 3.6 m · 40 mm² = 144 ml; 4 · 0.4 kg; 72 h against 4.9 d of cure.
    """
    row = mounts.bonded_row(
        mount=CORNERS,
        panel=PANEL,
        feet=4,
        ribbons=mounts.Ribbons(length_m=3.6, bead_area_mm2=40, width_mm=40 / 3),
        need=bonding.bond_need(gust_n=2278, permanent_n=0),
        cure=cure_times(table=BONDED, factor=1, through_h=118.5),
        top_speed_kmh=110,
    )
    assert row.utilisation == pytest.approx(0.95, abs=0.005)
    assert row.sealant_ml == pytest.approx(144)
    assert row.mass_kg == pytest.approx(1.6)
    assert row.standing_mm == 65
    assert row.drive_h == 118.5
    assert row.second_retention  # 0.99 m², common practice from 0.7
    assert row.holds


@pytest.mark.parametrize(
    ("rated_kg", "uplift_kg", "used"),
    [(150.0, None, 3.10), (150.0, 300.0, 0.774), (None, None, None)],
)
def test_clamped_row_counts_uplift_against_the_rating(
    rated_kg: float | None, uplift_kg: float | None, used: float | None
) -> None:
    """Arithmetic: 2278 N is 232 kg of lift; against half of bars rated 150 kg that is 3.10.

    The half is a planning assumption, for want of a published uplift rating; where the maker
    states one, 300 kg here, that is what counts: 232.3 / 300 = 0.774.
    """
    row = mounts.clamped_row(
        mount=mounts.MountData("roof_bar_clamps", 0.2, 0.15, 0, 60, 0, removable=True),
        panel=PANEL,
        clamps=4,
        uplift_n=2278,
        bars_rated_kg=rated_kg,
        bars_uplift_kg=uplift_kg,
        uplift_share=0.5,
    )
    assert row.utilisation == (None if used is None else pytest.approx(used, abs=0.005))
    assert row.holds == (used is not None and used < 1)


def test_face_ribbons_by_hand() -> None:
    """Arithmetic: 610 mm between clear edges at 50 mm is 13 runs of 1.42 m."""
    length = mounts.face_ribbon_m(length_mm=1480, width_mm=670, pitch_mm=50)
    assert length == pytest.approx(13 * 1.42)
