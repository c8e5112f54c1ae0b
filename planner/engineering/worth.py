"""Whether solar pays at all for the stated aim, how many watts it takes, and in words why."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import not_negative
from planner.engineering.sizing import Demand, days_without_sun, recommended_w
from planner.engineering.sunlight import MONTH_NAMES, MonthSun
from planner.engineering.weather import Spell
from planner.errors import OutOfRangeError

#: Living off grid is judged by a whole month of the darkest weather of use.
STEADY_DAYS = 30
#: With fewer months of use there is nothing to tell apart.
FEW_MONTHS = 4


class MonthOfUse(Struct, frozen=True):
    """One month in which the van is used.

    Attributes:
        number: 1 for January.
        sun: Its sunlight.
        share_of_rated: Product of the harvest factors, shade left out.
    """

    number: int
    sun: MonthSun
    share_of_rated: float

    @property
    def name(self) -> str:
        """Name of the month."""
        return MONTH_NAMES[self.number - 1]


class Verdict(Struct, frozen=True):
    """What the aim asks of the panel.

    Attributes:
        worth: Whether a panel is worth fitting for the aim.
        why: The reason, ready to print.
        watts: Fewest watts that meet the aim; ``None`` where none can or none is needed.
        month: Number of the month that those watts are sized for, 1 for January.
    """

    worth: bool
    why: str
    watts: int | None = None
    month: int | None = None


def darkest_first(months: Sequence[MonthOfUse]) -> list[MonthOfUse]:
    """Return the months in order of what a panel brings in them, least first."""
    return sorted(months, key=lambda m: (m.sun.mean_kwh_m2 * m.share_of_rated, m.number))


def solar_verdict(
    *,
    reason: str,
    days_away: float,
    months: Sequence[MonthOfUse],
    demand: Demand,
    drawn: Sequence[Spell],
    most_w: float,
) -> Verdict:
    """Return whether solar is worth fitting for the aim, and how many watts it takes.

    Args:
        reason: ``top_up`` (last the days away) or ``live_off_grid`` (last the darkest month).
        days_away: Days in a row without other charging, 0 or more.
        months: Months of use, at least one.
        demand: Battery and use.
        drawn: Spells of weather of at least 30 days.
        most_w: More watts than this no van roof takes [W].

    Returns:
        The verdict.

    Raises:
        OutOfRangeError: If the aim is not one of the two, or no month is given.

    Notes:
        The aim is met when nine spells in ten last. A stay is counted for as many days as the
        spells have: a balance that holds so long holds longer. For ``top_up`` the watts are those
        of the darkest month that any panel can serve; the darker ones are named.
    """
    wanted = days_wanted(reason, days_away, drawn)
    if not months:
        raise OutOfRangeError("months", "empty", "one month of use or more, 1 to 12")
    if demand.use_wh_day == 0:
        return Verdict(False, "Nothing that uses power is listed, so there is nothing to supply.")
    alone = days_without_sun(usable_wh=demand.usable_wh, use_wh_day=demand.use_wh_day)
    if alone >= wanted:
        return Verdict(False, _enough_words(alone, wanted), 0)
    if demand.usable_wh < demand.use_wh_day * demand.night_share:
        return Verdict(False, _night_words(demand))
    aim = _Aim(wanted, demand, drawn, most_w)
    ordered = darkest_first(months)
    tried = ordered[:1] if reason == "live_off_grid" else ordered
    return _sized(tried, ordered, aim)


class _Aim(Struct, frozen=True):
    wanted: float
    demand: Demand
    drawn: Sequence[Spell]
    most_w: float

    def watts(self, month: MonthOfUse) -> int | None:
        return recommended_w(
            month=month.sun,
            share_of_rated=month.share_of_rated,
            demand=self.demand,
            drawn=self.drawn,
            days=self.wanted,
            most_w=self.most_w,
        )


def _sized(tried: Sequence[MonthOfUse], ordered: Sequence[MonthOfUse], aim: _Aim) -> Verdict:
    too_dark: list[MonthOfUse] = []
    for month in tried:
        watts = aim.watts(month)
        if watts is not None:
            why = _watts_words(watts, aim.wanted, month.name, too_dark)
            easier = _brighter_words(ordered, month, watts, aim)
            return Verdict(True, f"{why}{easier}", watts, month.number)
        too_dark.append(month)
    why = _too_dark_words(tried[0], aim)
    return Verdict(False, f"{why}{_brighter_words(ordered, tried[0], None, aim)}")


def _brighter_words(
    ordered: Sequence[MonthOfUse], sized_for: MonthOfUse, watts: int | None, aim: _Aim
) -> str:
    """Say what the brighter half of the months takes, where it takes a smaller panel.

    A figure for December alone reads as if the whole year asked for it.
    """
    brighter = ordered[len(ordered) // 2 :]
    if len(ordered) < FEW_MONTHS or sized_for in brighter:
        return ""
    fewer = aim.watts(brighter[0])
    if fewer is None or (watts is not None and fewer >= watts):
        return ""
    names = month_words([month.number for month in brighter])
    enough = f"{fewer} W do" if fewer else "the battery alone lasts"
    return f" In the brighter half of the months of use ({names}) {enough}."


def month_words(numbers: Sequence[int]) -> str:
    """Return months as people say them, runs drawn together, also over the end of the year.

    Args:
        numbers: 1 for January; any order.

    Examples:
        >>> month_words([4, 5, 6, 9])
        'April to June and September'
        >>> month_words([12, 1, 2])
        'December to February'
    """
    given = set(numbers)
    starts = [n for n in sorted(given) if (n - 2) % 12 + 1 not in given] or [1]
    runs = []
    for start in starts:
        end = start
        while end % 12 + 1 in given and end % 12 + 1 != start:
            end = end % 12 + 1
        first, last = MONTH_NAMES[start - 1], MONTH_NAMES[end - 1]
        runs.append(first if first == last else f"{first} to {last}")
    return _and(runs)


def watts_by_month(
    *,
    reason: str,
    days_away: float,
    months: Sequence[MonthOfUse],
    demand: Demand,
    drawn: Sequence[Spell],
    most_w: float,
) -> dict[int, int | None]:
    """Return the fewest watts that meet the aim in each month, by its number.

    Args, and errors, as `solar_verdict`; 0 where the battery alone lasts, ``None`` where no panel
    that fits a van roof does.
    """
    aim = _Aim(days_wanted(reason, days_away, drawn), demand, drawn, most_w)
    return {month.number: aim.watts(month) for month in months}


def days_wanted(reason: str, days_away: float, drawn: Sequence[Spell]) -> float:
    """Return for how many days nine spells in ten must last.

    Raises:
        OutOfRangeError: If the aim is not one of the two, or the days are negative.
    """
    not_negative("days_away", days_away)
    if reason not in ("top_up", "live_off_grid"):
        raise OutOfRangeError("reason", reason, "top_up or live_off_grid")
    return float(STEADY_DAYS) if reason == "live_off_grid" else min(days_away, len(drawn[0]))


def _enough_words(alone: float, wanted: float) -> str:
    return (
        f"The full battery alone lasts {alone:.1f} days, no less than the {wanted:g} days wanted: "
        "a panel is not worth fitting for this aim."
    )


def _night_words(demand: Demand) -> str:
    night = demand.use_wh_day * demand.night_share
    return (
        f"The full battery gives {demand.usable_wh:.0f} Wh and one night takes {night:.0f} Wh: no "
        "panel helps, only a larger battery or less use by night."
    )


def _watts_words(watts: int, wanted: float, name: str, too_dark: Sequence[MonthOfUse]) -> str:
    words = f"{watts} W carry {wanted:g} days in nine spells of weather out of ten in {name}."
    if not too_dark:
        return words
    dark = month_words([month.number for month in too_dark])
    return f"{words} In {dark} no panel that fits a van roof does."


def _and(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _too_dark_words(month: MonthOfUse, aim: _Aim) -> str:
    harvest = aim.most_w * month.share_of_rated * month.sun.mean_kwh_m2
    return (
        f"Not worth fitting for this aim: in {month.name} even {aim.most_w:g} W bring "
        f"{harvest:.0f} Wh on a mean day against {aim.demand.use_wh_day:.0f} Wh used, and do not "
        f"carry {aim.wanted:g} days in nine spells out of ten. Use less, or take a larger battery "
        "or another source."
    )


def size_against(*, watts: float, recommended: int | None) -> str | None:
    """Return how the panel owned or wanted stands against the recommendation.

    Args:
        watts: Rated power of all panels [W], 0 or more.
        recommended: Watts recommended; 0 or ``None`` where there is nothing to compare with.

    Returns:
        ``short``, ``enough``, ``ample`` (twice the recommendation or more), or ``None``.

    Raises:
        OutOfRangeError: If the watts are negative.
    """
    not_negative("watts", watts)
    if not recommended:
        return None
    if watts < recommended:
        return "short"
    return "ample" if watts >= 2 * recommended else "enough"
