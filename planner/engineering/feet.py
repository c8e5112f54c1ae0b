"""How many bolted feet a panel needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from planner.engineering.brackets import Bolt, Bracket, Check, Load, Skin, check_foot
from planner.engineering.guards import positive

FOOT_COUNTS = (4, 6, 8, 10, 12)
LEAST_FEET: tuple[tuple[float, int], ...] = ((0.75, 4), (1.4, 6))
"""Panel area up to which so few feet are usual [m²]; 8 above. Common practice, no source."""


class FeetResult(Struct, frozen=True):
    """Number of feet, every check of the worst foot, and whether it is enough."""

    feet: int
    least: int
    checks: tuple[Check, ...]

    @property
    def governing(self) -> Check:
        """The part with the highest utilisation."""
        return max(self.checks, key=lambda check: check.utilisation)

    @property
    def enough(self) -> bool:
        """Whether every part stays within its safe capacity."""
        return self.governing.utilisation <= 1


def least_feet(*, area_m2: float, steps: Sequence[tuple[float, int]] = LEAST_FEET) -> int:
    """Return the fewest feet that common practice gives a panel: 4, 6 or 8.

    Args:
        area_m2: Panel area [m²], more than 0. 4 feet up to 0.75, 6 up to 1.4, 8 above (or rails
            along the whole side).
        steps: Largest area and feet, smallest first.

    Raises:
        OutOfRangeError: If the area is not more than 0.

    References:
        .. [1] Common practice, no source.
    """
    positive("area_m2", area_m2)
    return next((feet for most, feet in steps if area_m2 <= most), 8)


def choose_feet(
    *,
    area_m2: float,
    load: Load,
    bracket: Bracket,
    bolt: Bolt,
    skin: Skin,
    factors: Mapping[str, float],
    steps: Sequence[tuple[float, int]] = LEAST_FEET,
) -> FeetResult:
    """Return the fewest feet, from the common-practice minimum up, that hold with their margins.

    Args:
        area_m2: Panel area [m²], more than 0.
        load: As for ``check_foot``; so are the other arguments.
        steps: As for ``least_feet``.

    Returns:
        The first count that is enough, or the largest considered (12) with ``enough`` false: then
        the governing check says what to change.

    Raises:
        OutOfRangeError: If any dimension, strength or load is out of range.
    """
    least = least_feet(area_m2=area_m2, steps=steps)
    results = (
        FeetResult(
            count,
            least,
            check_foot(
                load=load, feet=count, bracket=bracket, bolt=bolt, skin=skin, factors=factors
            ),
        )
        for count in FOOT_COUNTS
        if count >= least
    )
    result = next(results)
    while not result.enough and result.feet < FOOT_COUNTS[-1]:
        result = next(results)
    return result
