"""Spells of weather drawn the same way on every machine, so that dull days come together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from random import Random

from planner.engineering.guards import within
from planner.engineering.sunlight import RANKS, MonthSun

#: A day's rank among the days of its month is kept in this many steps.
STEPS = 1000
Spell = tuple[int, ...]


def normal_share_below(z: float) -> float:
    """Return the share of a standard normal distribution that lies below ``z``.

    Args:
        z: Standard deviations from the mean, any finite number.

    Returns:
        0 to 1, within 0.00000015.

    Notes:
        A polynomial to the power −16: only sums, products and one quotient, which every machine
        rounds alike. That is why the library's error function is not used.

    References:
        Abramowitz and Stegun 1964, Handbook of Mathematical Functions, 26.2.19 (from memory).
    """
    x = abs(z)
    series = x * (5.383e-6 * x + 4.88906e-5)
    series = x * (x * (x * (series + 3.80036e-5) + 3.2776263e-3) + 2.11410061e-2)
    series = x * (series + 4.98673470e-2) + 1
    square = series * series
    fourth = square * square
    eighth = fourth * fourth
    tail = 0.5 / (eighth * eighth)
    return 1 - tail if z >= 0 else tail


def normal_draw(source: Random) -> float:
    """Return a nearly normal number: the sum of twelve uniform numbers, less six.

    Mean 0 and variance 1 exactly; no draw lies beyond 6. Sums alone, so every machine agrees.

    References:
        Irwin 1927 and Hall 1927, distribution of the sum of uniform numbers (from memory).
    """
    u = source.random
    return u() + u() + u() + u() + u() + u() + u() + u() + u() + u() + u() + u() - 6


@lru_cache(maxsize=8)
def drawn_spells(*, spells: int, days: int, lag_1: float, seed: int) -> tuple[Spell, ...]:
    """Return spells of days, each day given by its rank among the days of its month.

    Args:
        spells: How many, 1 to 2000.
        days: Length of each, 1 to 400.
        lag_1: Correlation between one day and the next, 0 to 0.95.
        seed: The same seed gives the same spells.

    Returns:
        For each spell its days' ranks, 0 (dullest) to ``STEPS − 1``.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        z(t) = ρ z(t − 1) + √(1 − ρ²) ε, rank = Φ(z): a first-order autoregression under a Gaussian
        copula, so that any month's own spread of days can be laid over it.

    References:
        Aguiar, Collares-Pereira and Conde 1988, Solar Energy 40(3), daily sequences as a
        first-order Markov process (from memory).
    """
    within("spells", spells, 1, 2000)
    within("days", days, 1, 400)
    within("lag_1", lag_1, 0, 0.95)
    source, fresh = Random(seed), math.sqrt(1 - lag_1 * lag_1)  # noqa: S311  - weather, no secret
    return tuple(_spell(source, days, lag_1, fresh) for _ in range(spells))


def _spell(source: Random, days: int, lag_1: float, fresh: float) -> Spell:
    z = normal_draw(source)
    ranks = []
    for _ in range(days):
        ranks.append(min(int(normal_share_below(z) * STEPS), STEPS - 1))
        z = lag_1 * z + fresh * normal_draw(source)
    return tuple(ranks)


@lru_cache(maxsize=64)
def daily_sums(month: MonthSun) -> tuple[float, ...]:
    """Return the daily sum of sunlight at each of the ``STEPS`` ranks [kWh/m²], dullest first.

    Straight lines between the month's listed ranks, carried on to both ends and never below 0;
    scaled so that their mean is the month's mean.
    """
    ranks, shares = _with_ends(RANKS, month.spread)
    curve: list[float] = []
    for i in range(1, len(ranks)):
        slope = (shares[i] - shares[i - 1]) / (ranks[i] - ranks[i - 1])
        steps = range(len(curve), round(ranks[i] * STEPS))
        curve += [shares[i - 1] + slope * ((step + 0.5) / STEPS - ranks[i - 1]) for step in steps]
    scale = month.mean_kwh_m2 * STEPS / (sum(curve) or 1.0)
    return tuple(share * scale for share in curve)


def _with_ends(
    ranks: Sequence[float], shares: Sequence[float]
) -> tuple[Sequence[float], Sequence[float]]:
    first = shares[0] - (shares[1] - shares[0]) / (ranks[1] - ranks[0]) * ranks[0]
    last = shares[-1] + (shares[-1] - shares[-2]) / (ranks[-1] - ranks[-2]) * (1 - ranks[-1])
    return (0.0, *ranks, 1.0), (max(0.0, first), *shares, last)


def ranked_spell(*, drawn: Sequence[Spell], days: int, share: float) -> Spell:
    """Return the spell that stands at a share of all, ordered by how bright its days are.

    Args:
        drawn: Spells as drawn.
        days: How many of their days count.
        share: 0 for the dullest to 1 for the brightest; 0.5 is the middling one.

    Returns:
        The spell, cut to ``days``.

    Raises:
        OutOfRangeError: If the share is not 0 to 1.
    """
    within("share", share, 0, 1)
    ordered = sorted((sum(spell[:days]), spell[:days]) for spell in drawn)
    return ordered[round(share * (len(ordered) - 1))][1]
