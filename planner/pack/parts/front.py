"""Front page: may I start, what will I have, when does it end, what must I watch."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from planner.pack.blocks import Pair
from planner.pack.facts import Facts
from planner.pack.parts.energy import DAYS, days_off_grid
from planner.pack.parts.risk import HIGH, score
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import capital, duration, opening, plain
from planner.plan.calendar import DAY_MIN, clock
from planner.plan.model import Finding, Plan
from planner.words import counted

HEADLINES = {
    "no_stop_found": ("No stop found", "The plan found nothing that forbids the work."),
    "not_yet": ("Not yet", "Something that matters is not known. Measure it, then plan again."),
    "do_not_start": ("Do not start", "The plan found at least one reason not to do this work."),
}
#: Label of each line and the facts that it is made of, joined by the words between.
GAINS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Array", ("array.watts", "array.arrangement")),
    ("Held by", ("mount.method",)),
    ("Cable entry", ("entry.kind",)),
    ("Height with panel", ("height.new_mm",)),
    ("Mass added", ("mass.added_kg",)),
    ("Harvest a day, darkest month of use", ("harvest.worst_wh_day",)),
    ("Use a day", ("use.daily_wh",)),
    ("Off grid without panel", ("offgrid.days_without",)),
    ("Off grid with it, nine spells in ten", ("offgrid.days_with_9in10",)),
    ("Worth fitting", ("solar.worth", "solar.why")),
)
SHOWN_WARNINGS = 6


class Front(Struct, frozen=True):
    """What the front page says."""

    state: str
    headline: str
    meaning: str
    counts: str
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
        counts=_counts(plan, steps),
        why=tuple(plain(reason) for reason in plan.verdict.why),
        gains=tuple(_gains(facts)),
        end=_end(plan, facts, steps),
        watch=(*_warnings(warnings), *_standing(plan)),
        more=max(len(warnings) - SHOWN_WARNINGS, 0),
    )


def _counts(plan: Plan, steps: tuple[Entry, ...]) -> str:
    """Say in one line how much there is of what must be seen to."""
    found = [finding.severity for finding in plan.findings]
    holds = sum(entry.task.hold for entry in steps)
    counts = (
        _many(found.count("stop"), "stop"),
        _many(found.count("caution"), "caution"),
        _many(len(plan.open_points), "open point"),
        f"{_many(holds, 'hold point')} to sign",
    )
    return capital(", ".join(counts)) + "."


def _many(count: int, what: str) -> str:
    return counted(count, what) if count else f"no {what}s"


def _gains(facts: Facts) -> list[Pair]:
    lines = []
    for label, names in GAINS:
        said = [days_off_grid(facts, name) if name in DAYS else facts.text(name) for name in names]
        texts = [text for text in said if text]
        if texts:
            note = next((pair.note for pair in facts.pairs(*names) if pair.note), "")
            lines.append(Pair(label, opening(", ".join(texts), 110), note))
    return lines


def _end(plan: Plan, facts: Facts, steps: tuple[Entry, ...]) -> tuple[Pair, ...]:
    work = [entry for entry in steps if not entry.is_wait]
    if not work:
        return ()
    drives = [e.slot.start_min for e in work if any(act.does == "drives" for act in e.task.acts)]
    days = len({int(entry.slot.start_min // DAY_MIN) for entry in work})
    hours = facts.number("plan.minutes") or sum(entry.task.minutes for entry in work)
    first, last = work[0].slot.start_min, max(entry.slot.end_min for entry in work)
    said = [
        ("Begin", _moment(first, plan.start)),
        ("End", _moment(last, plan.start)),
        ("Work", f"{duration(hours)} on {days} {'day' if days == 1 else 'days'}"),
        ("Nights between", facts.text("plan.nights")),
        ("First gentle drive", _moment(min(drives), plan.start) if drives else ""),
        ("Must drive by", _wanted(facts)),
        ("People at once", facts.text("plan.people")),
        ("Roof movements", facts.text("plan.roof_movements") if facts.value("roof.moves") else ""),
    ]
    return tuple(Pair(label, text) for label, text in said if text)


def _moment(minute: float, start: str) -> str:
    return f"{day_name(int(minute // DAY_MIN), start)}, {hour(minute)}"


def _wanted(facts: Facts) -> str:
    """The day on which the van must drive, and whether the plan keeps it."""
    wanted = facts.text("job.drive_by")
    try:
        date = datetime.fromisoformat(wanted)
    except ValueError:
        return wanted
    kept = {False: ": first drive in time", True: ": first drive TOO LATE"}
    return capital(clock(date.hour * 60 + date.minute, wanted)) + kept.get(
        facts.value("plan.late"), "")


def _warnings(warnings: list[Finding]) -> list[tuple[str, str]]:
    marks = {"stop": "Stop", "caution": "Caution"}
    return [
        (marks[finding.severity], opening(finding.text, 110))
        for finding in warnings[:SHOWN_WARNINGS]
    ]


def _standing(plan: Plan) -> list[tuple[str, str]]:
    grave = [plain(hazard.title) for hazard in plan.hazards if score(hazard.after) >= HIGH]
    return [("Still high with every control", "; ".join(grave) + ".")] if grave else []
