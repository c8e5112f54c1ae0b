"""How a hazard is named and scored wherever the pack speaks of it."""

from __future__ import annotations

from planner.pack.text import plain
from planner.plan.model import HazardResult, Plan

#: From this score on a risk is high.
HIGH = 8
BANDS = ((15, "very high"), (HIGH, "high"), (5, "medium"), (0, "low"))


def score(pair: tuple[int, int]) -> int:
    """Return likelihood times severity."""
    return pair[0] * pair[1]


def risk(pair: tuple[int, int]) -> str:
    """Return a score with its band in words.

    Examples:
        >>> risk((3, 5)), risk((1, 4))
        ('3 × 5 = 15, very high', '1 × 4 = 4, low')
    """
    value = score(pair)
    word = next(word for limit, word in BANDS if value >= limit)
    return f"{pair[0]} × {pair[1]} = {value}, {word}"


def codes(plan: Plan) -> dict[str, str]:
    """Return the code of each hazard, H1 for the gravest before controls."""
    ranked = sorted(plan.hazards, key=lambda hazard: -score(hazard.before))
    return {hazard.id: f"H{number}" for number, hazard in enumerate(ranked, 1)}


def hazard_word(hazard: HazardResult, code: str) -> str:
    """Return a hazard as a step names it; one that stays high says so again."""
    still = ", still high" if score(hazard.after) >= HIGH else ""
    return f"{plain(hazard.title)} ({code}{still})"
