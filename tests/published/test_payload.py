"""Mass, axles and height against worked figures and a numerical library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import solve

from planner.engineering.payload import added_mass, axle_shares, new_height


def test_axle_shares_of_the_worked_load() -> None:
    """Statics: 20 kg at 2.2 m on a wheelbase of 3.3 m, 13.3 rear and 6.7 front."""
    shares = axle_shares(mass_kg=20, behind_front_mm=2200, wheelbase_mm=3300)
    assert shares.rear_kg == pytest.approx(13.3, abs=0.05)
    assert shares.front_kg == pytest.approx(6.7, abs=0.05)


@pytest.mark.parametrize("behind_mm", [-400.0, 0.0, 900.0, 3300.0, 4200.0])
def test_axle_shares_balance(behind_mm: float) -> None:
    """General-purpose library scipy: two axles, force and moment balance; overhang included."""
    front, rear = solve(np.array([[1.0, 1.0], [0.0, 3300.0]]), np.array([20.0, 20 * behind_mm]))
    shares = axle_shares(mass_kg=20, behind_front_mm=behind_mm, wheelbase_mm=3300)
    assert (shares.front_kg, shares.rear_kg) == pytest.approx((float(front), float(rear)))


@pytest.mark.parametrize(("height_mm", "notice"), [(2935, False), (2936, True)])
def test_notice_above_three_metres(height_mm: float, notice: bool) -> None:
    """NI Statutory Rule 1998/225, reg. 3 (read): travelling height over 3.0 m, not at it."""
    after = new_height(height_mm=height_mm, highest_item_mm=0, panel_top_mm=65, doubt_mm=0)
    assert after.notice is notice


def test_a_panel_below_the_vent_adds_no_height() -> None:
    """Arithmetic: a vent of 110 mm stands above a panel of 65 mm."""
    after = new_height(height_mm=2100, highest_item_mm=110, panel_top_mm=65, doubt_mm=20)
    assert (after.height_mm, after.added_mm) == (2100, 0)
    assert (after.low_mm, after.high_mm) == (2080, 2120)


def test_added_mass_carries_a_tenth_more() -> None:
    """Arithmetic: 13 + 1.6 + 0.9 = 15.5 kg, 17.05 with allowance, off 60 kg."""
    found = added_mass(
        parts_kg={"panel": 13, "mount": 1.6, "cable": 0.9}, spare_payload_kg=60
    )
    assert found.mass_kg == pytest.approx(15.5)
    assert found.payload_left_kg == pytest.approx(60 - 17.05)
