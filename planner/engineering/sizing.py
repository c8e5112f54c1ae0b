"""Days off grid over many drawn spells of weather, and the fewest watts that meet the aim."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within
from planner.engineering.sunlight import MonthSun
from planner.engineering.weather import Spell, daily_sums, ranked_spell

#: Watts are recommended in steps of this size.
STEP_W = 10


class Demand(Struct, frozen=True):
    """What the battery must bear.

    Attributes:
        usable_wh: Energy that may be taken from the full battery.
        use_wh_day: Use a day.
        night_share: Part of the use that falls after dark, 0 to 1.
    """

    usable_wh: float
    use_wh_day: float
    night_share: float


class DaysOffGrid(Struct, frozen=True):
    """How long the battery lasts.

    Attributes:
        median: Days reached by half of the spells.
        nine_in_ten: Days reached by nine spells in ten.
        horizon: Days simulated; a figure equal to it means "that or more".
    """

    median: float
    nine_in_ten: float
    horizon: int


def days_without_sun(*, usable_wh: float, use_wh_day: float) -> float:
    """Return how many days the full battery lasts with no charging at all.

    Args:
        usable_wh: Energy that may be taken [Wh], 0 or more.
        use_wh_day: Use a day [Wh], more than 0.

    Returns:
        Days.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    not_negative("usable_wh", usable_wh)
    positive("use_wh_day", use_wh_day)
    return usable_wh / use_wh_day


def check_demand(demand: Demand) -> None:
    """Raise unless the demand makes sense.

    Raises:
        OutOfRangeError: If a value is out of range.
    """
    not_negative("usable_wh", demand.usable_wh)
    not_negative("use_wh_day", demand.use_wh_day)
    within("night_share", demand.night_share, 0, 1)


def days_until_empty(*, demand: Demand, harvest_wh: Iterable[float]) -> float:
    """Return when a battery that starts full at dawn is empty, or the days given if it never is.

    Args:
        demand: Battery and use.
        harvest_wh: What each day brings to the battery [Wh].

    Returns:
        Days, with the fraction of the last one.

    Notes:
        Each day has a light half, which brings the harvest and takes its part of the use, and a
        dark half, which only takes. The battery is never fuller than full: what comes in above
        that is lost, and the night after still has to be paid for.
    """
    night = demand.use_wh_day * demand.night_share
    by_day = demand.use_wh_day - night
    return _until_empty(demand.usable_wh, night, [gain - by_day for gain in harvest_wh])


def _until_empty(full: float, night: float, gained_by_day: Iterable[float]) -> float:
    # Runs some hundred thousand times for one plan, hence the plain comparisons.
    stored, day = full, 0
    for gained in gained_by_day:
        dusk = stored + gained
        if dusk < 0:
            return day + 0.5 * stored / (stored - dusk)
        if dusk > full:  # noqa: PLR1730  - twice as fast as min()
            dusk = full
        day += 1
        stored = dusk - night
        if stored < 0:
            return day - 0.5 + 0.5 * dusk / (dusk - stored)
    return float(day)


def _gained_by_rank(month: MonthSun, wh_per_kwh_m2: float, demand: Demand) -> list[float]:
    """Return what the light half of a day leaves, for each rank of day [Wh]."""
    by_day = demand.use_wh_day - demand.use_wh_day * demand.night_share
    return [sun * wh_per_kwh_m2 - by_day for sun in daily_sums(month)]


def days_off_grid(
    *, month: MonthSun, wh_per_kwh_m2: float, demand: Demand, drawn: Sequence[Spell]
) -> DaysOffGrid:
    """Return how long the battery lasts over many spells of a month's weather.

    Args:
        month: The month's sunlight.
        wh_per_kwh_m2: What 1 kWh/m² brings to the battery [Wh]: watts times all factors.
        demand: Battery and use.
        drawn: Spells of weather, all of one length.

    Returns:
        Median and nine in ten.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        Day-by-day battery balance; common practice in sizing stand-alone systems, no source.
    """
    check_demand(demand)
    not_negative("wh_per_kwh_m2", wh_per_kwh_m2)
    gained = _gained_by_rank(month, wh_per_kwh_m2, demand).__getitem__
    full, night = demand.usable_wh, demand.use_wh_day * demand.night_share
    days = sorted(_until_empty(full, night, map(gained, spell)) for spell in drawn)
    return DaysOffGrid(days[len(days) // 2], days[len(days) // 10], len(drawn[0]))


def spells_that_last(
    *,
    month: MonthSun,
    wh_per_kwh_m2: float,
    demand: Demand,
    drawn: Sequence[Spell],
    days: float,
) -> list[bool]:
    """Return for each spell whether the battery lasts the days wanted.

    The answer is that of ``days_off_grid``; it comes sooner, since a spell counts only until the
    days are over.
    """
    gained = _gained_by_rank(month, wh_per_kwh_m2, demand).__getitem__
    full, night = demand.usable_wh, demand.use_wh_day * demand.night_share
    counted = math.ceil(days)
    return [_until_empty(full, night, map(gained, spell[:counted])) >= days for spell in drawn]


def recommended_w(
    *,
    month: MonthSun,
    share_of_rated: float,
    demand: Demand,
    drawn: Sequence[Spell],
    days: float,
    most_w: float,
) -> int | None:
    """Return the fewest watts with which nine spells in ten last the days wanted.

    Args:
        month: The month that counts: the darkest one of use.
        share_of_rated: Product of all harvest factors, 0 to 1.2.
        demand: Battery and use.
        drawn: Spells of weather, no shorter than ``days``.
        days: Days to last, 0 to the length of the spells.
        most_w: No more watts than this are tried [W].

    Returns:
        Watts in steps of 10; 0 if the battery alone lasts; ``None`` if even ``most_w`` does not.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        More watts never shorten a spell, so halving the interval finds the least; and each spell
        is tried only with watts that may decide about it.
    """
    check_demand(demand)
    within("days", days, 0, len(drawn[0]))
    within("share_of_rated", share_of_rated, 0, 1.2)
    positive("most_w", most_w)
    most = int(most_w // STEP_W)
    undecided, may_fail = drawn, len(drawn) // 10
    low, steps, high = -1, most, most + 1
    while high - low > 1:
        last = spells_that_last(
            month=month,
            wh_per_kwh_m2=steps * STEP_W * share_of_rated,
            demand=demand,
            drawn=undecided,
            days=days,
        )
        enough = last.count(False) <= may_fail
        if enough:  # what fails here fails with fewer watts too
            may_fail -= last.count(False)
            high = steps
        else:  # what lasts here lasts with more watts too
            low = steps
        undecided = [spell for spell, lasts in zip(undecided, last, strict=True) if lasts is enough]
        steps = (low + high) // 2
    return high * STEP_W if high <= most else None


def stored_by_day(*, demand: Demand, harvest_wh: Iterable[float]) -> list[float]:
    """Return the energy in the battery at each dawn, from full on the first [Wh]; never below 0."""
    night = demand.use_wh_day * demand.night_share
    stored = [demand.usable_wh]
    for gain in harvest_wh:
        dusk = min(stored[-1] + gain - (demand.use_wh_day - night), demand.usable_wh)
        stored.append(max(0.0, dusk - night))
    return stored


def battery_spells(
    *, month: MonthSun, wh_per_kwh_m2: float, demand: Demand, drawn: Sequence[Spell], days: int
) -> list[dict[str, float]]:
    """Return the battery at each dawn over a good, a middling and a bad spell, for drawing.

    Args:
        month: The month's sunlight.
        wh_per_kwh_m2: What 1 kWh/m² brings to the battery [Wh].
        demand: Battery and use.
        drawn: Spells of weather, no shorter than ``days``.
        days: Days to show.

    Returns:
        One row a day, day 0 first: ``day``, ``good_wh``, ``middling_wh``, ``bad_wh``. The good
        spell is brighter than nine in ten of them, the bad one duller than nine in ten.
    """
    gains = [sun * wh_per_kwh_m2 for sun in daily_sums(month)]
    series = [
        stored_by_day(
            demand=demand,
            harvest_wh=[gains[r] for r in ranked_spell(drawn=drawn, days=days, share=share)],
        )
        for share in (0.9, 0.5, 0.1)
    ]
    return [
        {"day": day, "good_wh": good, "middling_wh": middling, "bad_wh": bad}
        for day, (good, middling, bad) in enumerate(zip(*series, strict=True))
    ]
