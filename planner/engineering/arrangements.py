"""Every way to connect one to eight panels, one row each, for the choice among them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.fuses import (
    SHORT_CIRCUIT_FACTOR,
    StringFuse,
    first_rating_between,
    string_fuse,
)
from planner.engineering.guards import positive, within
from planner.engineering.strings import ColdFactor, Module, cold_voc_v, hot_vmp_v
from planner.errors import OutOfRangeError
from planner.rounding import down, up

MOST_PANELS = 8


class ArrayLimits(Struct, frozen=True):
    """What weather, battery and controller ask of the array.

    Attributes:
        coldest_c: Lowest daylight air temperature where the van is used or stored.
        hottest_cell_c: Highest cell temperature while charging.
        limit_v: The most that the array may ever reach.
        needed_vmp_v: Operating volts that the controller needs to charge fully.
        string_ratings_a: Standard ratings of d.c. string fuses.
        mismatch_percent: How far currents in series, or volts in parallel, may differ.
        manual_asks_125: True only if this module's manual says to add a quarter.
        input_limit_a: The most that 1.25 x short-circuit current may reach at the controller.
    """

    coldest_c: float
    hottest_cell_c: float
    limit_v: float
    needed_vmp_v: float
    string_ratings_a: tuple[float, ...]
    mismatch_percent: float = 5.0
    manual_asks_125: bool = False
    input_limit_a: float = math.inf


class String(Struct, frozen=True):
    """Panels in series.

    Attributes:
        places: Places of its panels in the list, counted from 1.
        isc_a: Short-circuit current: the largest of its panels, since bypass diodes let it by.
        imp_a: Operating current: the smallest of its panels, which holds the rest back.
        spread_percent: How far its panels' operating currents differ, of the largest.
    """

    places: tuple[int, ...]
    cold_v: float
    voc_v: float
    vmp_v: float
    hot_vmp_v: float
    isc_a: float
    imp_a: float
    watts: float
    max_series_fuse_a: float
    spread_percent: float


class Arrangement(Struct, frozen=True):
    """One way to connect the panels, with every figure the choice needs.

    Attributes:
        id: ``single``, ``series``, ``parallel`` or ``two_by_two``.
        strings: Panels of each string, by their place in the list, counted from 1.
        cold_v: Open-circuit volts on the coldest bright morning.
        hot_vmp_v: Operating volts with the cells at their hottest.
        isc_a: Short-circuit current of all strings together.
        watts: Rated watts, less what unlike panels hold back.
        share_of_limit_percent: Cold volts as a share of the limit.
        string_fuse: The fuse in each string, of one rating for all.
        refused: Why it may not be built; empty when it may.
    """

    id: str
    strings: tuple[tuple[int, ...], ...]
    cold_v: float
    voc_v: float
    vmp_v: float
    hot_vmp_v: float
    isc_a: float
    imp_a: float
    watts: float
    share_of_limit_percent: float
    string_fuse: StringFuse
    refused: tuple[str, ...]


def arrangements(
    *, modules: Sequence[Module], limits: ArrayLimits, table: Sequence[ColdFactor]
) -> tuple[Arrangement, ...]:
    """Return one row for each way to connect the panels.

    Args:
        modules: One to eight panels, alike or not, in the order of the job.
        limits: What weather, battery and controller ask.
        table: Cold factors for panels without a known coefficient.

    Returns:
        One row for one panel; series and parallel for more; two by two as well for an even number
        from four up: pairs in series, the pairs in parallel, panels of like current paired.

    Raises:
        OutOfRangeError: If there are not one to eight panels, or a number is out of range.

    Notes:
        Series: volts add, the smallest operating current holds. Parallel: currents add, the
        lowest operating volts hold.

    References:
        Circuit laws; the 5 % on unlike panels is common practice, no source.
    """
    if not 1 <= len(modules) <= MOST_PANELS:
        allowed = f"1 to {MOST_PANELS} panels on one controller"
        raise OutOfRangeError("modules", len(modules), allowed)
    _check(modules, limits)
    return tuple(
        _row(name, [_string(group, modules, limits, table) for group in groups], limits)
        for name, groups in _groupings(modules)
    )


def _check(modules: Sequence[Module], limits: ArrayLimits) -> None:
    for module in modules:
        for name in ("rated_w", "voc_v", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a"):
            positive(name, getattr(module, name))
    positive("limit_v", limits.limit_v)
    positive("needed_vmp_v", limits.needed_vmp_v)
    if not limits.input_limit_a > 0:
        raise OutOfRangeError("input_limit_a", limits.input_limit_a, "more than 0")
    within("mismatch_percent", limits.mismatch_percent, 0, 50)


def _groupings(modules: Sequence[Module]) -> list[tuple[str, list[tuple[int, ...]]]]:
    places = tuple(range(1, len(modules) + 1))
    if len(places) == 1:
        return [("single", [places])]
    singly: list[tuple[int, ...]] = [(place,) for place in places]
    ways = [("series", [places]), ("parallel", singly)]
    if len(places) >= 4 and len(places) % 2 == 0:
        alike = sorted(places, key=lambda place: (modules[place - 1].imp_a, place))
        pairs = [tuple(sorted(alike[i : i + 2])) for i in range(0, len(alike), 2)]
        ways.append(("two_by_two", sorted(pairs)))
    return ways


def _string(
    places: tuple[int, ...],
    modules: Sequence[Module],
    limits: ArrayLimits,
    table: Sequence[ColdFactor],
) -> String:
    members = [modules[place - 1] for place in places]
    imp_a = min(member.imp_a for member in members)
    cold = [
        cold_voc_v(
            module=member,
            coldest_c=limits.coldest_c,
            table=table,
            manual_asks_125=limits.manual_asks_125,
        )
        for member in members
    ]
    return String(
        places=places,
        cold_v=sum(cold),
        voc_v=sum(member.voc_v for member in members),
        vmp_v=sum(member.vmp_v for member in members),
        hot_vmp_v=sum(hot_vmp_v(module=member, cell_c=limits.hottest_cell_c) for member in members),
        isc_a=max(member.isc_a for member in members),
        imp_a=imp_a,
        watts=sum(member.rated_w * imp_a / member.imp_a for member in members),
        max_series_fuse_a=min(member.max_series_fuse_a for member in members),
        spread_percent=_spread_percent([member.imp_a for member in members]),
    )


def _spread_percent(values: Sequence[float]) -> float:
    return 100 * (1 - min(values) / max(values))


def _row(name: str, strings: Sequence[String], limits: ArrayLimits) -> Arrangement:
    cold_v = max(string.cold_v for string in strings)
    vmp_v = min(string.vmp_v for string in strings)
    hot_v = min(string.hot_vmp_v for string in strings)
    fuse = _one_fuse(strings, limits.string_ratings_a)
    isc_a = sum(string.isc_a for string in strings)
    return Arrangement(
        id=name,
        strings=tuple(string.places for string in strings),
        cold_v=cold_v,
        voc_v=max(string.voc_v for string in strings),
        vmp_v=vmp_v,
        hot_vmp_v=hot_v,
        isc_a=isc_a,
        imp_a=sum(string.imp_a for string in strings),
        watts=sum(string.watts * vmp_v / string.vmp_v for string in strings),
        share_of_limit_percent=100 * cold_v / limits.limit_v,
        string_fuse=fuse,
        refused=(
            *_mismatch_reasons(strings, limits.mismatch_percent),
            *_voltage_reasons(cold_v, hot_v, limits),
            *_current_reasons(isc_a, limits.input_limit_a),
            *_fuse_reasons(fuse),
        ),
    )


def _one_fuse(strings: Sequence[String], ratings_a: Sequence[float]) -> StringFuse:
    """Return the one rating for every string: it carries the sun of each and protects each.

    Unlike strings share a window: no lower than the strongest asks, no higher than the weakest
    that needs one bears, and within what every module allows.
    """
    fuses = [
        string_fuse(
            isc_a=string.isc_a,
            others_isc_a=[other.isc_a for other in strings if other is not string],
            module_max_fuse_a=string.max_series_fuse_a,
            ratings_a=ratings_a,
        )
        for string in strings
    ]
    needed = [fuse for fuse in fuses if fuse.needed]
    hardest = max(needed or fuses, key=lambda fuse: fuse.reverse_a)
    if not needed:
        return hardest
    lowest_a = max(fuse.lowest_a for fuse in fuses)
    bears = (*(fuse.highest_a for fuse in needed), *(one.max_series_fuse_a for one in strings))
    highest_a = min(bears)
    rating_a = first_rating_between(ratings_a=ratings_a, lowest_a=lowest_a, highest_a=highest_a)
    return StringFuse(True, hardest.reverse_a, lowest_a, highest_a, rating_a)


def _mismatch_reasons(strings: Sequence[String], allowed_percent: float) -> list[str]:
    reasons = [
        f"the operating currents in one string differ by {up(string.spread_percent)} %, over "
        f"{allowed_percent:.0f} %: the weaker panel would hold the stronger back"
        for string in strings
        if string.spread_percent > allowed_percent
    ]
    spread = _spread_percent([string.vmp_v for string in strings])
    if spread > allowed_percent:
        reasons.append(
            f"the operating volts in parallel differ by {up(spread)} %, over "
            f"{allowed_percent:.0f} %: one side would work far from its best point"
        )
    return reasons


def _voltage_reasons(cold_v: float, hot_v: float, limits: ArrayLimits) -> list[str]:
    reasons = []
    if cold_v > limits.limit_v:
        reasons.append(
            f"{up(cold_v, 1):.1f} V at {limits.coldest_c:g} °C is over the limit of "
            f"{down(limits.limit_v, 1):.1f} V: it can destroy the controller"
        )
    if hot_v < limits.needed_vmp_v:
        reasons.append(
            f"{down(hot_v, 1):.1f} V with hot cells is under the {limits.needed_vmp_v:.1f} V that "
            "the controller needs: it would stop charging on the hottest days"
        )
    return reasons


def _current_reasons(isc_a: float, limit_a: float) -> list[str]:
    designed_a = SHORT_CIRCUIT_FACTOR * isc_a
    if designed_a <= limit_a:
        return []
    return [
        f"1.25 x {up(isc_a, 1):.1f} A short-circuit current is {up(designed_a, 1):.1f} A, over the "
        f"{down(limit_a, 1):.1f} A that the controller takes"
    ]


def _fuse_reasons(fuse: StringFuse) -> list[str]:
    if not fuse.needed or fuse.rating_a is not None:
        return []
    lowest_a, highest_a = up(fuse.lowest_a, 1), down(fuse.highest_a, 1)
    if fuse.lowest_a > fuse.highest_a:
        return [
            f"no fuse suits every string: full sun asks for {lowest_a:.1f} A or more and the "
            f"panels bear {highest_a:.1f} A at most: connect fewer strings in parallel, or give "
            "an unlike panel a controller of its own"
        ]
    return [
        f"each string needs a fuse of {lowest_a:.1f} to {highest_a:.1f} A and no "
        "standard rating lies there: connect fewer strings in parallel"
    ]
