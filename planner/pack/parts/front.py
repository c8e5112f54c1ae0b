"""Front page: may I start, what will I have, when does it end, what must I watch."""

from __future__ import annotations

from dataclasses import dataclass

from planner.pack.blocks import Pair
from planner.pack.facts import Facts
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import duration, plain, short
from planner.plan.calendar import DAY_MIN
from planner.plan.model import Finding, HazardResult, Plan

HEADLINES = {
    "no_stop_found": ("No stop found", "The plan found nothing that forbids the work."),
    "not_yet": ("Not yet", "Something that matters is not known. Measure it, then plan again."),
    "do_not_start": ("Do not start", "The plan found at least one reason not to do this work."),
}
GAINS = (
    "array.watts",
    "array.arrangement",
    "mount.method",
    "entry.kind",
    "mass.added_kg",
    "height.new_mm",
    "harvest.worst_wh_day",
    "use.daily_wh",
    "offgrid.days_without",
    "offgrid.days_with_9in10",
    "solar.worth",
    "solar.why",
)
SHOWN_WARNINGS = 6


@dataclass(frozen=True)
class Front:
    """What the front page says."""

    state: str
    headline: str
    meaning: str
    why: tuple[str, ...]
    gains: tuple[Pair, ...]
    end: tuple[Pair, ...]
    watch: tuple[tuple[str, str], ...]
    more: int


def front(plan: Plan, facts: Facts, steps: tuple[Entry, ...]) -> Front:
    """Return the front page of the plan."""
    headline, meaning = HEADLINES[plan.verdict.state]
    warnings = [finding for finding in plan.findings if finding.severity != "note"]
    return Front(
        state=plan.verdict.state,
        headline=headline,
        meaning=meaning,
        why=tuple(plain(reason) for reason in plan.verdict.why),
        gains=facts.pairs(*GAINS),
        end=_end(plan, facts, steps),
        watch=(*_warnings(warnings), *_standing(plan, steps)),
        more=max(len(warnings) - SHOWN_WARNINGS, 0),
    )


def _end(plan: Plan, facts: Facts, steps: tuple[Entry, ...]) -> tuple[Pair, ...]:
    if not steps:
        return ()
    begin = min(entry.slot.start_min for entry in steps)
    end = max(entry.slot.end_min for entry in steps)
    work = sum(entry.task.minutes for entry in steps)
    nights = facts.text("plan.nights") or str(int(end // DAY_MIN - begin // DAY_MIN))
    return (
        Pair("Begin", _moment(begin, plan.start)),
        Pair("End", _moment(end, plan.start)),
        Pair("Nights between", nights),
        Pair("Working time", duration(work)),
        *facts.pairs("plan.drive_after_h", "job.drive_by", "plan.late", "plan.people"),
        *facts.pairs("plan.roof_movements"),
    )


def _moment(minute: float, start: str) -> str:
    return f"{day_name(int(minute // DAY_MIN), start)}, {hour(minute)}"


def _warnings(warnings: list[Finding]) -> list[tuple[str, str]]:
    marks = {"stop": "Stop", "caution": "Caution"}
    return [
        (marks[finding.severity], short(finding.text, 220))
        for finding in warnings[:SHOWN_WARNINGS]
    ]


def _standing(plan: Plan, steps: tuple[Entry, ...]) -> list[tuple[str, str]]:
    holds = sum(entry.task.hold for entry in steps)
    grave = [hazard for hazard in plan.hazards if score(hazard.after) >= 8]
    said = [("Hold points", f"{holds}: nobody goes on before they are signed.")] if holds else []
    return said + [
        ("Risk", f"{plain(hazard.title)}: still {risk(hazard.after)} with controls.")
        for hazard in grave[:3]
    ]


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
    word = next(w for limit, w in ((15, "very high"), (8, "high"), (5, "medium"), (0, "low"))
                if value >= limit)
    return f"{pair[0]} × {pair[1]} = {value}, {word}"


def hazard_word(hazard: HazardResult) -> str:
    """Return a hazard as a step names it; one that stays high says so again."""
    still = " (still high with controls)" if score(hazard.after) >= 8 else ""
    return f"{plain(hazard.title)}{still}"
