"""Properties of days off grid, recommended watts and the verdict, and what they refuse."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering import sizing, weather, worth
from planner.engineering.sunlight import MonthSun
from planner.errors import OutOfRangeError

SPREAD = (0.3, 0.6, 1.0, 1.4, 1.7)
DRAWN = weather.drawn_spells(spells=100, days=60, lag_1=0.3, seed=3)
DEMAND = sizing.Demand(usable_wh=1000, use_wh_day=500, night_share=0.5)
AIM: dict[str, Any] = {
    "reason": "top_up",
    "days_away": 5,
    "months": [
        worth.MonthOfUse(7, MonthSun(5.0, SPREAD), 0.7),
        worth.MonthOfUse(12, MonthSun(0.6, SPREAD), 0.7),
    ],
    "demand": DEMAND,
    "drawn": DRAWN,
    "most_w": 800,
}


def test_without_sun_the_balance_is_capacity_over_use() -> None:
    """1000 Wh at 500 Wh a day last two days; if all falls by night, until the third dusk."""
    for night, days in ((0.0, 2), (0.3, 2), (0.5, 2), (1.0, 2.5)):
        demand = sizing.Demand(1000, 500, night)
        assert sizing.days_until_empty(demand=demand, harvest_wh=[0] * 9) == pytest.approx(days)
    assert sizing.days_without_sun(usable_wh=1000, use_wh_day=500) == 2


def test_a_day_by_hand() -> None:
    """Full 1000, use 500, half by night, gains 100, 600, 0, 0.

    Dawn 2: 1000 + 100 − 250 − 250 = 600. Dusk 2: 600 + 600 − 250 = 950, dawn 3: 700.
    Dawn 4: 200; by dusk 250 is needed: empty after 200/250 of the light half of day 4.
    """
    lasted = sizing.days_until_empty(demand=DEMAND, harvest_wh=[100, 600, 0, 0, 0])
    assert lasted == pytest.approx(3 + 0.5 * 200 / 250)
    stored = sizing.stored_by_day(demand=DEMAND, harvest_wh=[100, 600, 0, 0, 0])
    assert stored == [1000, 600, 700, 200, 0, 0]


def test_a_full_battery_loses_what_comes_in_above_that() -> None:
    """The night after a bright day still has to be paid for: dawn is full less the night's use."""
    assert sizing.stored_by_day(demand=DEMAND, harvest_wh=[5000]) == [1000, 750]


def test_a_battery_too_small_for_one_night_fails_on_the_first() -> None:
    """However bright the days."""
    demand = sizing.Demand(200, 500, 0.5)
    assert sizing.days_until_empty(demand=demand, harvest_wh=[9000] * 5) < 1


@given(
    gains=st.lists(st.floats(0, 3000), min_size=1, max_size=30),
    more=st.floats(0, 500),
    usable=st.floats(0, 3000),
    use=st.floats(1, 2000),
)
def test_more_harvest_or_more_battery_never_shortens_a_stay(
    gains: list[float], more: float, usable: float, use: float
) -> None:
    """What the search for the fewest watts relies on."""
    demand = sizing.Demand(usable, use, 0.5)
    base = sizing.days_until_empty(demand=demand, harvest_wh=gains)
    brighter = sizing.days_until_empty(demand=demand, harvest_wh=[g + more for g in gains])
    larger = sizing.days_until_empty(
        demand=sizing.Demand(usable + more, use, 0.5), harvest_wh=gains
    )
    assert brighter >= base - 1e-9
    assert larger >= base - 1e-9
    assert 0 <= base <= len(gains)


def test_nine_in_ten_is_never_more_than_the_median() -> None:
    """And both lie between no panel and the horizon."""
    for watts in (0, 50, 150, 400):
        reached = sizing.days_off_grid(
            month=MonthSun(3.0, SPREAD), wh_per_kwh_m2=watts * 0.7, demand=DEMAND, drawn=DRAWN
        )
        assert 2 - 1e-9 <= reached.nine_in_ten <= reached.median <= reached.horizon == 60


@pytest.mark.parametrize("mean", [1.5, 3.0, 5.5])
@pytest.mark.parametrize("days", [2.5, 4, 10, 31.5, 60])
def test_recommended_watts_are_the_fewest(mean: float, days: float) -> None:
    """They meet the aim and ten watts less do not."""
    month = MonthSun(mean, SPREAD)
    watts = sizing.recommended_w(
        month=month, share_of_rated=0.7, demand=DEMAND, drawn=DRAWN, days=days, most_w=2000
    )
    assert watts

    def lasted(w: float) -> float:
        return sizing.days_off_grid(
            month=month, wh_per_kwh_m2=w * 0.7, demand=DEMAND, drawn=DRAWN
        ).nine_in_ten

    assert lasted(watts) >= days > lasted(watts - sizing.STEP_W)


def test_no_watts_are_recommended_where_the_battery_lasts_or_none_suffice() -> None:
    """0 and ``None`` are different answers."""
    fixed: dict[str, Any] = {"share_of_rated": 0.7, "demand": DEMAND, "drawn": DRAWN, "most_w": 800}
    assert sizing.recommended_w(month=MonthSun(3.0, SPREAD), days=2, **fixed) == 0
    assert sizing.recommended_w(month=MonthSun(0.3, SPREAD), days=20, **fixed) is None


def test_spells_for_drawing_are_in_order() -> None:
    """All start full; the good spell ends no lower than the bad one."""
    rows = sizing.battery_spells(
        month=MonthSun(2.0, SPREAD), wh_per_kwh_m2=150, demand=DEMAND, drawn=DRAWN, days=14
    )
    assert [row["day"] for row in rows] == list(range(15))
    assert set(list(rows[0].values())[1:]) == {1000}
    total = {key: sum(row[key] for row in rows) for key in ("good_wh", "middling_wh", "bad_wh")}
    assert total["good_wh"] > total["bad_wh"]


def test_top_up_is_sized_for_the_darkest_month_that_any_panel_can_serve() -> None:
    """July can be served, December with so little sun cannot; both are named."""
    verdict = worth.solar_verdict(**AIM | {"days_away": 20})
    assert (verdict.worth, verdict.month) == (True, 7)
    assert verdict.watts is not None
    assert "in July" in verdict.why
    assert "In December no panel that fits a van roof does." in verdict.why


def test_living_off_grid_is_judged_by_the_darkest_month_alone() -> None:
    """December fails, so solar is not worth fitting for that aim, with the figures."""
    verdict = worth.solar_verdict(**AIM | {"reason": "live_off_grid"})
    assert (verdict.worth, verdict.watts) == (False, None)
    assert "in December even 800 W bring 336 Wh on a mean day against 500 Wh used" in verdict.why


def test_a_battery_that_lasts_needs_no_panel() -> None:
    """The reason gives both figures."""
    verdict = worth.solar_verdict(**AIM | {"days_away": 2})
    assert (verdict.worth, verdict.watts) == (False, 0)
    assert "alone lasts 2.0 days, no less than the 2 days wanted" in verdict.why


def test_a_whole_year_is_not_told_by_its_darkest_month_alone() -> None:
    """Twelve months, six of them bright: what the bright half takes stands beside the rest."""
    suns = (0.6, 1.0, 2.0, 3.5, 4.5, 5.0, 5.0, 4.5, 3.5, 2.0, 1.0, 0.6)
    months = [
        worth.MonthOfUse(number, MonthSun(sun, SPREAD), 0.7) for number, sun in enumerate(suns, 1)
    ]
    verdict = worth.solar_verdict(**AIM | {"months": months, "days_away": 10})
    assert verdict.watts is not None
    bright = worth.watts_by_month(**AIM | {"months": months, "days_away": 10})
    assert bright[9] is not None
    assert bright[9] < verdict.watts
    words = f"In the brighter half of the months of use (April to September) {bright[9]} W do."
    assert verdict.why.endswith(words)


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ([7], "July"),
        ([12, 1, 2], "December to February"),
        ([3, 5, 4, 9], "March to May and September"),
        (list(range(1, 13)), "January to December"),
    ],
)
def test_months_in_words(months: list[int], words: str) -> None:
    """Runs are drawn together, over the end of the year too."""
    assert worth.month_words(months) == words


@pytest.mark.parametrize("watts", [0, 40, 110, 300])
@pytest.mark.parametrize("days", [1, 4.5, 20, 60])
def test_the_short_cut_gives_the_same_answer(watts: int, days: float) -> None:
    """Spell for spell: those last whose battery the day-by-day balance keeps going so long."""
    given: dict[str, Any] = {
        "month": MonthSun(3.0, SPREAD), "wh_per_kwh_m2": watts * 0.7, "demand": DEMAND,
        "drawn": DRAWN,
    }  # fmt: skip
    sums = weather.daily_sums(given["month"])
    gains = [[sums[rank] * watts * 0.7 for rank in spell] for spell in DRAWN]
    full = [sizing.days_until_empty(demand=DEMAND, harvest_wh=gain) >= days for gain in gains]
    assert sizing.spells_that_last(**given, days=days) == full


def test_a_battery_too_small_for_one_night_is_named_as_the_trouble() -> None:
    """200 Wh against 250 by night: watts on the roof do not help."""
    verdict = worth.solar_verdict(**AIM | {"demand": sizing.Demand(200, 500, 0.5)})
    assert (verdict.worth, verdict.watts) == (False, None)
    assert "gives 200 Wh and one night takes 250 Wh" in verdict.why


def test_nothing_used_needs_no_panel() -> None:
    """No load is listed."""
    verdict = worth.solar_verdict(**AIM | {"demand": sizing.Demand(1000, 0, 0.5)})
    assert not verdict.worth
    assert "Nothing that uses power is listed" in verdict.why


@pytest.mark.parametrize(
    ("watts", "recommended", "stands"),
    [(100, 110, "short"), (110, 110, "enough"), (219, 110, "enough"), (220, 110, "ample")],
)
def test_panel_against_recommendation(watts: float, recommended: int, stands: str) -> None:
    """At each limit."""
    assert worth.size_against(watts=watts, recommended=recommended) == stands


@pytest.mark.parametrize("recommended", [None, 0])
def test_panel_against_no_recommendation(recommended: int | None) -> None:
    """Where no panel suffices or none is needed there is nothing to compare with."""
    assert worth.size_against(watts=100, recommended=recommended) is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"reason": "fun"}, "reason is fun; it must be top_up or live_off_grid"),
        ({"months": []}, "months is empty"),
        ({"days_away": -1}, "days_away is -1"),
        ({"days_away": float("nan")}, "days_away is nan"),
        ({"most_w": 0}, "most_w is 0"),
        ({"demand": sizing.Demand(-1, 500, 0.5)}, "usable_wh is -1"),
        ({"demand": sizing.Demand(1000, 500, 1.5)}, "night_share is 1.5"),
    ],
)
def test_an_aim_that_cannot_be_is_refused(change: dict[str, Any], words: str) -> None:
    """Each limit names its argument."""
    with pytest.raises(OutOfRangeError, match=re.escape(words)):
        worth.solar_verdict(**AIM | change)


def test_a_use_of_nothing_has_no_days() -> None:
    """Dividing by nothing is refused."""
    with pytest.raises(OutOfRangeError, match="use_wh_day is 0"):
        sizing.days_without_sun(usable_wh=1000, use_wh_day=0)


def test_negative_watts_are_refused() -> None:
    """A panel takes nothing away."""
    with pytest.raises(OutOfRangeError, match="watts is -1"):
        worth.size_against(watts=-1, recommended=100)
