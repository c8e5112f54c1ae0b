"""Cure times against worked vectors and a numerical library."""

from __future__ import annotations

import pytest
from scipy.integrate import solve_ivp

from planner.engineering.bonding import squeezed_width_mm
from planner.engineering.cure import (
    BEDDED,
    BONDED,
    closed_joint,
    cure_factor,
    cure_times,
    resin_h,
    through_cure_h,
    vapour_factor,
)


@pytest.mark.parametrize(("depth_mm", "days"), [(5, 2.8), (8, 7.1), (9, 9.0), (10, 11.1)])
def test_cured_depth_grows_with_the_root_of_time(depth_mm: float, days: float) -> None:
    """Arithmetic: (w/3)² days at 3 mm in the first 24 h (common practice)."""
    found = through_cure_h(depth_mm=depth_mm, depth_24h_mm=3) / 24
    assert found == pytest.approx(days, abs=0.05)


def test_diffusion_gives_the_same_root() -> None:
    """General-purpose library scipy: a front fed through what has cured, dw/dt = k²/(2 w).

    Started at 0.1 mm (its 0.03 h added) and run to the time found, the front is at 6.67 mm.
    """
    hours = through_cure_h(depth_mm=6.67, depth_24h_mm=3)
    k2 = 9 / 24
    start = 0.1**2 / k2
    run = solve_ivp(lambda _, w: k2 / (2 * w), (start, hours), [0.1], rtol=1e-8, atol=1e-10)
    assert float(run.y[0][-1]) == pytest.approx(6.67, rel=1e-4)


def test_through_cure_of_an_eight_by_ten_bead() -> None:
    """Arithmetic: 13.3 mm wide, 6.7 mm to air, (6.67/3)² = 4.9 days; at 12 °C, 80 %: 7.4."""
    width = squeezed_width_mm(bead_width_mm=8, bead_height_mm=10, thickness_mm=3)
    days = through_cure_h(depth_mm=width / 2, depth_24h_mm=3) / 24
    assert days == pytest.approx(4.9, abs=0.05)
    factor = cure_factor(coldest_c=12, humidity_pct=80)
    slow = through_cure_h(depth_mm=width / 2, depth_24h_mm=3, factor=factor) / 24
    assert slow == pytest.approx(7.4, abs=0.05)


def test_vapour_factor_at_twelve_degrees() -> None:
    """Arithmetic on the Magnus form: 14.0 / 11.2 hPa = 1.25."""
    assert vapour_factor(coldest_c=12, humidity_pct=80) == pytest.approx(1.25, abs=0.005)


@pytest.mark.parametrize(
    ("coldest_c", "humidity_pct", "factor"),
    [(23, 50, 1.0), (15, 100, 1.0), (14.9, 100, 1.5), (10, 100, 1.5), (9.9, 100, 2.0), (5, 100, 2)],
)
def test_factor_steps_by_the_coldest_temperature(
    coldest_c: float, humidity_pct: float, factor: float
) -> None:
    """Common practice: 1 from 15 °C, 1.5 from 10, 2 from 5; damp air never shortens a cure."""
    assert cure_factor(coldest_c=coldest_c, humidity_pct=humidity_pct) == pytest.approx(factor)


def test_dry_air_governs_where_it_is_slower_than_the_table() -> None:
    """Arithmetic: 15 °C at 40 % holds 6.8 hPa, 14.0 / 6.8 = 2.06, over the table's 1."""
    assert cure_factor(coldest_c=15, humidity_pct=40) == pytest.approx(2.06, abs=0.01)


def test_sole_bond_in_the_cold() -> None:
    """Common practice: 72 h · 1.5 = 108 h to gentle driving, 7 d · 1.5 = 10.5 d to full speed."""
    times = cure_times(table=BONDED, factor=cure_factor(coldest_c=12, humidity_pct=80))
    assert times.drive_h == pytest.approx(108)
    assert times.full_speed_h / 24 == pytest.approx(10.5)


def test_ribbons_that_carry_rule_over_the_table() -> None:
    """Arithmetic: 7.4 d of through-cure is later than 108 h."""
    times = cure_times(table=BONDED, factor=1.5, through_h=7.4 * 24)
    assert times.drive_h == pytest.approx(7.4 * 24)


def test_bolted_feet_wait_for_the_rim_only() -> None:
    """Common practice: 24 h · factor, full speed 48 h · factor."""
    times = cure_times(table=BEDDED, factor=1.5)
    assert (times.drive_h, times.full_speed_h, times.move_roof_h) == (36, 72, 3)


def test_a_wide_closed_joint_stays_wet_for_weeks() -> None:
    """Arithmetic: a 60 mm foot is 30 mm from air, (30/3)² = 100 days; a 13 mm ribbon is fine."""
    wide = closed_joint(width_mm=60, depth_24h_mm=3, factor=1)
    assert wide.days == pytest.approx(100)
    assert "stays wet" in wide.warning
    assert closed_joint(width_mm=13.3, depth_24h_mm=3, factor=1).warning == ""


@pytest.mark.parametrize(("coldest_c", "hours"), [(20, 24), (25, 24), (10, 48), (15, 33.9)])
def test_core_filler_takes_twice_as_long_ten_degrees_colder(coldest_c: float, hours: float) -> None:
    """Common practice: doubling for each 10 K below 20 °C; 24 · 2^0.5 = 33.9 h at 15 °C."""
    assert resin_h(at_20c_h=24, coldest_c=coldest_c) == pytest.approx(hours, abs=0.05)


def test_resin_sets_at_the_rate_of_a_trade_guide() -> None:
    """A composites trade guide, "Gelation and curing": 25 min at 20 °C, about 12 at 30 °C.

    Turned round: what gels in 12.5 min at 30 °C takes 25 at 20, and 50 at 10. The plan takes no
    credit above 20 °C.
    """
    assert resin_h(at_20c_h=25 / 60, coldest_c=10) == pytest.approx(50 / 60)
    assert resin_h(at_20c_h=25 / 60, coldest_c=30) == pytest.approx(25 / 60)
