"""Fuse rules against worked examples of codes and standards."""

from __future__ import annotations

import pytest

from planner.engineering.fuses import (
    FuseNeed,
    FuseSeries,
    battery_fuse,
    string_fuse,
)
from planner.rulebase.load import built_in

# Large blade ratings: ISO 8820-3 type E, restated on a secondary page; bolted strips and the
# breaking capacities are from memory.
LARGE_BLADE = FuseSeries("blade", (20, 30, 40, 50, 60, 70, 80), 32, 1000)
STRIP = FuseSeries("bolted_strip", (30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200), 58, 2000)
GPV = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 25, 30)


#: Ratings [A]. Blades: ISO 8820-3 types C and E, restated on a secondary page. Strips: ISO 8820-5,
#: from memory.
PUBLISHED = {
    "blade": {1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80},
    "bolted_strip": {30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200},
}


@pytest.mark.parametrize(("kind", "published"), PUBLISHED.items())
def test_shipped_ratings_are_standard_ones(kind: str, published: set[float]) -> None:
    """No rating is offered that the standard does not have; the smallest blades are left out.

    Blades of these types are rated for 32 V d.c.: ISO 8820-1 and -3, from memory.
    """
    rows = {row["kind"]: row for row in built_in().tables["fuse_kinds"].rows}
    shipped = set(rows[kind]["ratings_a"])
    assert shipped <= published
    assert {rating for rating in published if rating >= 5} == shipped
    assert rows[kind]["rated_v"] == 32


def need(continuous_a: float, short_a: float = 500.0) -> FuseNeed:
    """Return what a 12 V lead battery asks of its fuse."""
    return FuseNeed(continuous_a, 14.8, short_a, breaking_must_hold=False)


@pytest.mark.parametrize(
    ("continuous_a", "series", "rating_a"), [(30, LARGE_BLADE, 40), (50, STRIP, 70)]
)
def test_a_quarter_over_the_continuous_current(
    continuous_a: float, series: FuseSeries, rating_a: float
) -> None:
    """30 A: 37.5, next 40 A. 600 W at 12 V: 62.5, next 70 A.

    Source: NEC 690.9(B), 125 % of continuous current, restated on several secondary pages.
    """
    choice = battery_fuse(need=need(continuous_a), cable_capacity_a=100, series=(series,))
    assert choice.chosen is not None
    assert choice.chosen.rating_a == rating_a


def test_two_like_strings_need_no_string_fuse() -> None:
    """One or two strings: none, whatever their current.

    Source: HD 60364-7-712, clause 712.431.4, as restated in NEN 1010:2020.
    """
    for isc_a in (5.0, 9.5, 13.0):
        fuse = string_fuse(
            isc_a=isc_a, others_isc_a=[isc_a], module_max_fuse_a=10, ratings_a=GPV
        )
        assert not fuse.needed


@pytest.mark.parametrize(("isc_a", "needed"), [(5.0, False), (9.5, True)])
def test_three_strings(isc_a: float, needed: bool) -> None:
    """Three strings, 15 A modules: 2 x 6.25 = 12.5 A no; 2 x 1.25 x 9.5 = 23.75 A yes.

    Source: NEC 690.9 note (5 A case), restated on a secondary page; the 9.5 A case also exceeds
    1.35 x 15 = 20.25 A of HD 60364-7-712.
    """
    fuse = string_fuse(
        isc_a=isc_a, others_isc_a=[isc_a, isc_a], module_max_fuse_a=15, ratings_a=GPV
    )
    assert fuse.needed is needed
    assert fuse.reverse_a == pytest.approx(2 * 1.25 * isc_a)


def test_string_fuse_of_a_9_5_ampere_module() -> None:
    """9.5 A: at least 1.5 x 9.5 = 14.25, the standard rating is 15 A.

    Source: NEC 690.8 and 690.9 ask 1.5625 x 9.5 = 14.84 A and take 15 A as well (secondary page);
    window 1.5 to 2.4 x Isc of IEC 62548 clause 6.5 from memory.
    """
    fuse = string_fuse(isc_a=9.5, others_isc_a=[9.5, 9.5], module_max_fuse_a=15, ratings_a=GPV)
    assert (fuse.lowest_a, fuse.highest_a) == pytest.approx((14.25, 15))
    assert fuse.rating_a == 15
