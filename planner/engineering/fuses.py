"""Fuses: which rating, of which kind, protects the battery run and the strings."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within
from planner.errors import OutOfRangeError

CONTINUOUS_FACTOR = 1.25
STRING_WINDOW = (1.5, 2.4)
SHORT_CIRCUIT_FACTOR = 1.25


class FuseSeries(Struct, frozen=True):
    """One kind of fuse and what its standard or data sheet states.

    Attributes:
        id: Short name, such as ``blade``.
        ratings_a: Standard ratings, smallest first.
        rated_v: Highest d.c. volts it may interrupt.
        breaking_a: Highest current it can interrupt at those volts.
        source: Where the figures come from, ready to print.
    """

    id: str
    ratings_a: tuple[float, ...]
    rated_v: float
    breaking_a: float
    source: str = ""


class FuseNeed(Struct, frozen=True):
    """What the battery-side fuse must carry, withstand and break.

    Attributes:
        continuous_a: Highest steady current, the controller's output.
        max_charge_v: Highest charging voltage of the battery.
        short_circuit_a: Short-circuit current of the battery, known or estimated.
        breaking_must_hold: True where a fuse that cannot break the short is refused (lithium);
            False where it is taken with a caution if no better kind fits (lead).
        controller_max_fuse_a: Largest fuse that the controller's maker allows; None if unstated.
    """

    continuous_a: float
    max_charge_v: float
    short_circuit_a: float
    breaking_must_hold: bool
    controller_max_fuse_a: float | None = None


class SeriesResult(Struct, frozen=True):
    """How one kind of fuse fares: the rating that fits, or what is wrong with it."""

    id: str
    rating_a: float | None
    breaking_short: bool
    failed: tuple[str, ...]


class FuseChoice(Struct, frozen=True):
    """The battery-side fuse, or why there is none.

    Attributes:
        chosen: The kind taken with its rating; None when nothing fits.
        lowest_a: The rating must be at least this.
        highest_a: The rating must be at most this.
        short_circuit_a: Current that the battery can drive through a dead short.
        tried: Every kind in the order given, with its result.
        cure: What to change, when nothing fits; else empty.
    """

    chosen: SeriesResult | None
    lowest_a: float
    highest_a: float
    short_circuit_a: float
    tried: tuple[SeriesResult, ...]
    cure: str


class StringFuse(Struct, frozen=True):
    """Whether strings in parallel need a fuse each, and which ratings would do.

    Attributes:
        needed: True when the other strings could feed a faulty one beyond its own limit.
        reverse_a: The most that the others can feed back, 1.25 x their short-circuit current.
        lowest_a: Smallest rating that carries the string's own sun, 1.5 x Isc.
        highest_a: Largest that protects it: 2.4 x Isc, or the module's limit if lower.
        rating_a: The smallest standard rating in that window; None when not needed or none fits.
    """

    needed: bool
    reverse_a: float
    lowest_a: float
    highest_a: float
    rating_a: float | None


def estimated_short_circuit_a(*, capacity_ah: float, amps_per_ah: float) -> float:
    """Return an estimate of what the battery drives through a dead short.

    Args:
        capacity_ah: Rated capacity [Ah], more than 0.
        amps_per_ah: Short-circuit amps for each amp-hour, by chemistry [A/Ah], more than 0.

    Returns:
        Current [A]. An estimate: the figure on the battery's own sheet wins.

    Raises:
        OutOfRangeError: If an argument is not more than 0.

    Notes:
        Cells in series raise volts and resistance alike, so volts drop out of the estimate.

    References:
        Planning estimate; the factors are rows of a table, from memory.
    """
    positive("capacity_ah", capacity_ah)
    positive("amps_per_ah", amps_per_ah)
    return capacity_ah * amps_per_ah


def first_rating_between(
    *, ratings_a: Sequence[float], lowest_a: float, highest_a: float
) -> float | None:
    """Return the smallest standard rating in the window, both ends included, or None.

    Examples:
        >>> first_rating_between(ratings_a=(30, 40, 50), lowest_a=37.5, highest_a=45.0)
        40
    """
    positive("lowest_a", lowest_a)
    positive("highest_a", highest_a)
    fitting = [rating for rating in ratings_a if lowest_a <= rating <= highest_a]
    return min(fitting, default=None)


def battery_fuse(
    *, need: FuseNeed, cable_capacity_a: float, series: Sequence[FuseSeries]
) -> FuseChoice:
    """Return the smallest fuse that carries the current and protects the cable.

    Args:
        need: What the fuse must carry, withstand and break.
        cable_capacity_a: What the cable carries after derating [A], more than 0.
        series: The kinds of fuse to try, in order of preference.

    Returns:
        The choice, with the result of every kind.

    Raises:
        OutOfRangeError: If a number is not more than 0 or no kind is given.

    Notes:
        1.25 · I ≤ In ≤ min(Iz, maker's limit); rated volts ≥ charge volts;
        breaking capacity ≥ short-circuit current.

    References:
        IEC 60364-4-43, Ib ≤ In ≤ Iz, and NEC 690.9(B), 1.25 (clauses from memory).
    """
    positive("cable_capacity_a", cable_capacity_a)
    for name in ("continuous_a", "max_charge_v", "short_circuit_a"):
        positive(name, getattr(need, name))
    if need.controller_max_fuse_a is not None:
        positive("controller_max_fuse_a", need.controller_max_fuse_a)
    if not series:
        raise OutOfRangeError("series", series, "at least one kind of fuse")
    lowest = CONTINUOUS_FACTOR * need.continuous_a
    highest = min(cable_capacity_a, need.controller_max_fuse_a or cable_capacity_a)
    tried = tuple(_try_series(kind, lowest, highest, need) for kind in series)
    chosen = _pick(tried, breaking_must_hold=need.breaking_must_hold)
    cure = "" if chosen else _cure(tried, lowest, highest, cable_capacity_a, need)
    return FuseChoice(chosen, lowest, highest, need.short_circuit_a, tried, cure)


def _try_series(
    kind: FuseSeries, lowest_a: float, highest_a: float, need: FuseNeed
) -> SeriesResult:
    rating = first_rating_between(
        ratings_a=kind.ratings_a, lowest_a=lowest_a, highest_a=highest_a
    )
    failed = []
    if rating is None:
        failed.append("rating")
    if kind.rated_v < need.max_charge_v:
        failed.append("volts")
    return SeriesResult(kind.id, rating, kind.breaking_a < need.short_circuit_a, tuple(failed))


def _pick(tried: Sequence[SeriesResult], *, breaking_must_hold: bool) -> SeriesResult | None:
    sound = [result for result in tried if not result.failed]
    safe = [result for result in sound if not result.breaking_short]
    pool = safe or ([] if breaking_must_hold else sound)
    return pool[0] if pool else None


def _cure(
    tried: Sequence[SeriesResult],
    lowest_a: float,
    highest_a: float,
    cable_a: float,
    need: FuseNeed,
) -> str:
    if lowest_a > highest_a:
        limit = "a thicker cable" if highest_a == cable_a else "a controller that allows more"
        return (
            f"The fuse must be at least {lowest_a:.1f} A and at most {highest_a:.1f} A, so no "
            f"rating can exist: take {limit}, or fewer watts."
        )
    if any(not result.failed for result in tried):
        return (
            f"The fuses that fit cannot break the battery's {need.short_circuit_a:.0f} A short "
            "circuit: take a fuse of higher breaking capacity, proved by its data sheet."
        )
    if all("volts" in result.failed for result in tried):
        return "No fuse here is rated for the battery's charging volts: take one of higher volts."
    return (
        f"No standard rating lies from {lowest_a:.1f} to {highest_a:.1f} A: take a thicker cable, "
        "so that the next rating up may be used."
    )


def string_fuse(
    *,
    isc_a: float,
    others_isc_a: Sequence[float],
    module_max_fuse_a: float,
    ratings_a: Sequence[float],
) -> StringFuse:
    """Return whether one string in parallel with others needs a fuse, and which.

    Args:
        isc_a: Short-circuit current of this string [A], more than 0.
        others_isc_a: Short-circuit current of each string in parallel with it [A].
        module_max_fuse_a: Largest series fuse that its modules allow [A], more than 0.
        ratings_a: Standard ratings of d.c. string fuses [A].

    Returns:
        Need, window and rating.

    Raises:
        OutOfRangeError: If a current is not more than 0.

    Notes:
        Needed when Σ 1.25 · Isc of the others > the module's limit. Two like strings never need
        one: the most that one feeds the other is what the module makes itself. Two unlike strings
        get no such exemption. Window: 1.5 · Isc to min(2.4 · Isc, module limit).

    References:
        IEC 62548 clause 6.5 (window and rule from memory); HD 60364-7-712 clause 712.431.4 as
        restated in NEN 1010:2020 (no device for one or two strings); NEC 690.9 note.
    """
    positive("isc_a", isc_a)
    positive("module_max_fuse_a", module_max_fuse_a)
    for other in others_isc_a:
        positive("others_isc_a", other)
    reverse = SHORT_CIRCUIT_FACTOR * sum(others_isc_a)
    like_pair = len(others_isc_a) == 1 and others_isc_a[0] <= 1.05 * isc_a
    needed = reverse > module_max_fuse_a and not like_pair
    lowest = STRING_WINDOW[0] * isc_a
    highest = min(STRING_WINDOW[1] * isc_a, module_max_fuse_a)
    rating = (
        first_rating_between(ratings_a=ratings_a, lowest_a=lowest, highest_a=highest)
        if needed
        else None
    )
    return StringFuse(needed, reverse, lowest, highest, rating)


def string_fuse_volts_ok(*, rated_v: float, array_max_v: float) -> bool:
    """Return whether a fuse on the panel side is rated for the array's coldest volts.

    Args:
        rated_v: The fuse's d.c. volts, 0 to 1500.
        array_max_v: Coldest open-circuit volts of the array, 0 or more.

    Raises:
        OutOfRangeError: If a voltage is out of range.

    References:
        ISO 8820-1 and IEC 60269-6: a fuse is used at or below its rated volts (from memory).
    """
    within("rated_v", rated_v, 0, 1500)
    not_negative("array_max_v", array_max_v)
    return rated_v >= array_max_v
