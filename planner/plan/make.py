"""The whole chain, written out once: from a job's answers to a proved plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from planner.errors import InputError
from planner.job.file import Job
from planner.ledger import NA, Ledger, Origin
from planner.plan import order, prove, review, supplies, timetable
from planner.plan.calendar import moment
from planner.plan.facts import judged, ledger_of
from planner.plan.memo import Memo, key_of
from planner.plan.model import FactResult, Layer, Move, Plan, Slot, Task, Violation
from planner.plan.select import Selection, select, texts
from planner.rulebase.base import RuleBase, fill

MAKE_SAFE, RESUME = "make-safe", "resume-work"
#: What rain spoils while it is half done; drilling inside the van is not of them.
WET_SPOILS = ("drills", "seals", "bonds", "wipes_solvent")
#: What a step leaves open to the sky.
HOLES = ("fixing_holes", "entry_hole")
DAY_START_MIN = 8 * 60


@dataclass(frozen=True)
class Days:
    """How the days of the work are: first minute, working hours, people, days without work."""

    start_min: int
    hours: float
    crew: int
    off: frozenset[int]


class UnprovedOrderError(Exception):
    """An order of work that breaks a rule: our own fault, never printed as a plan."""

    def __init__(self, violations: Iterable[Violation]) -> None:
        self.violations = tuple(violations)
        super().__init__("; ".join(f"{v.task}: {v.what}" for v in self.violations))


def make_plan(
    job: Job, base: RuleBase, *, every_fact: bool = False, memo: Memo | None = None
) -> Plan:
    """Return the plan of a job.

    Args:
        job: The checked job.
        base: The rules.
        every_fact: Work out every declared fact (documents show them), not only those that
            some rule of this job reads.
        memo: What was worked out for other jobs by the same rules; saves time, changes nothing.

    Raises:
        InputError: If an answer leads a calculation out of its range, or no order exists.
        UnprovedOrderError: If the proof finds a fault in the order.
    """
    kept = memo or Memo()
    ledger = ledger_of(base, job.answers, memo.recall if memo else None)
    chosen = ledger.once("selection", base, lambda: select(ledger, base))
    days = _days(ledger)
    slots = kept.once((key_of(chosen), days), lambda: _proved(chosen, days))
    ledger.give(Origin.CALCULATED, _figures(slots, chosen, ledger))
    ledger.give(Origin.CALCULATED, {"plan.rain_steps": _rain_steps(slots, chosen, ledger, base)})
    return _plan(job, base, ledger, chosen, slots, every_fact, kept)


def _days(ledger: Ledger) -> Days:
    return Days(
        start_min=_first_minute(ledger),
        hours=float(ledger.get("job.hours_per_day")),
        crew=int(ledger.get("job.crew")),
        off=_days_off(ledger),
    )


#: Days of the week without work, Monday is 0, by the answer to ``job.rest_days``.
REST_DAYS = {"none": (), "sundays": (6,), "weekends": (5, 6)}


def _days_off(ledger: Ledger) -> frozenset[int]:
    """Return the days without work, counted from the first day; none without a calendar."""
    start = ledger.get("job.start")
    if start is NA:
        return frozenset()
    first = datetime.fromisoformat(start).weekday()
    return frozenset((day - first) % 7 for day in REST_DAYS[ledger.get("job.rest_days")])


def _proved(chosen: Selection, days: Days) -> tuple[Slot, ...]:
    """Put the work in order and in time, and prove that it may be done so."""
    work = {name: task for name, task in chosen.tasks.items() if name not in (MAKE_SAFE, RESUME)}
    slots = _timetable(order.arrange(work, chosen.variables), chosen, days)
    _prove(slots, chosen)
    return slots


def _timetable(moves: tuple[Move, ...], chosen: Selection, days: Days) -> tuple[Slot, ...]:
    brackets = (
        (chosen.tasks[MAKE_SAFE], chosen.tasks[RESUME]) if MAKE_SAFE in chosen.tasks else None
    )
    return timetable.schedule(
        moves,
        chosen.tasks,
        chosen.variables,
        day_start_min=days.start_min,
        hours_per_day=days.hours,
        crew=days.crew,
        brackets=brackets,
        days_off=days.off,
    )


def _first_minute(ledger: Ledger) -> int:
    start = ledger.get("job.start")
    if start is NA:
        return DAY_START_MIN
    moment = datetime.fromisoformat(start)
    return moment.hour * 60 + moment.minute or DAY_START_MIN


def _prove(slots: tuple[Slot, ...], chosen: Selection) -> None:
    violations = prove.prove(
        tuple(slot.move for slot in slots),
        chosen.tasks,
        chosen.variables,
        chosen.invariants,
        slots=slots,
    )
    lapsed = [violation for violation in violations if violation.rule == "lapse"]
    if lapsed:
        raise InputError.of(
            "job.hours_per_day",
            f"no day is long enough: {chosen.tasks[lapsed[0].task].id}: {lapsed[0].what}",
            "Give more working hours a day, so that what is prepared is used before it goes stale.",
        )
    if violations:
        raise UnprovedOrderError(violations)


def _figures(slots: tuple[Slot, ...], chosen: Selection, ledger: Ledger) -> dict[str, object]:
    """The figures of the finished plan that findings may read."""
    whole = timetable.summary(slots, chosen.tasks, chosen.variables)
    work = [slot for slot in slots if slot.move.kind != "wait"]
    begin = min((slot.start_min for slot in work), default=0.0)
    drives = [slot.start_min for slot in work if _does(chosen.tasks[slot.move.task], "drives")]
    ready = min(drives, default=whole.end_min)
    return {
        "plan.end": _moment(ledger, whole.end_min) or NA,
        "plan.nights": whole.nights,
        "plan.minutes": round(whole.work_min),
        "plan.roof_movements": whole.changes.get("roof", 0),
        "plan.people": max((chosen.tasks[slot.move.task].people for slot in work), default=1),
        "plan.drive_after_h": (ready - begin) / 60,
        "plan.late": _late(ledger, ready),
    }


def _does(task: Task, act: str) -> bool:
    return any(one.does == act for one in task.acts)


def _rain_steps(
    slots: tuple[Slot, ...], chosen: Selection, ledger: Ledger, base: RuleBase
) -> list[str]:
    """The titles of the steps that rain must not catch half done, in order of work."""
    names = dict.fromkeys(slot.move.task for slot in slots if slot.move.task in chosen.tasks)
    return [
        fill(base.steps[name].title, ledger.get, base)
        for name in names
        if _spoilt_by_rain(chosen.tasks[name])
    ]


def _spoilt_by_rain(task: Task) -> bool:
    wet = any(one.does in WET_SPOILS and one.of != "inside" for one in task.acts)
    return wet or any(task.leaves.get(hole) == "open" for hole in HOLES)


def _moment(ledger: Ledger, minute: float) -> str | None:
    start = ledger.get("job.start")
    date = None if start is NA else moment(minute, start)
    return date.strftime("%Y-%m-%d %H:%M") if date else None


def _late(ledger: Ledger, ready_min: float) -> object:
    ready, by = _moment(ledger, ready_min), ledger.get("job.drive_by")
    return NA if ready is None or by is NA else ready > by


def _plan(
    job: Job,
    base: RuleBase,
    ledger: Ledger,
    chosen: Selection,
    slots: tuple[Slot, ...],
    every_fact: bool,
    kept: Memo,
) -> Plan:
    done = list(dict.fromkeys(s.move.task for s in slots if s.move.kind != "wait"))
    decisions = tuple(ledger.get(judged(rule)) for rule in base.decisions.values())
    found = review.findings(ledger, base, decisions)
    points = review.open_points(ledger, base, job.answers)
    step_texts = texts(done, ledger, base)
    work = tuple(done)
    needed = ledger.once(("materials", work), base, lambda: supplies.materials(work, ledger, base))
    hazards = ledger.once(("hazards", work), base, lambda: supplies.hazards(work, ledger, base))
    start = ledger.get("job.start")
    return Plan(
        job={
            **{k: v for k, v in job.answers.items() if k.startswith("job.")},
            "revision": job.revision,
        },
        verdict=review.verdict(found, points),
        facts=_facts(ledger, base, every_fact, kept),
        decisions=tuple(decision for decision in decisions if decision.options),
        findings=found,
        hazards=hazards,
        variables=tuple(chosen.variables.values()),
        tasks={name: chosen.tasks[name] for name in done},
        texts=step_texts,
        timetable=slots,
        start="" if start is NA else start,
        final=_final(slots, chosen),
        materials=needed,
        tools=supplies.tools(done, base),
        open_points=points,
        not_needed=chosen.not_needed,
        layers=tuple(
            Layer(layer.name, layer.version, layer.digest, layer.date, layer.approved_by)
            for layer in base.layers
        ),
        departures=base.departures,
        house=base.house,
    )


def _facts(
    ledger: Ledger, base: RuleBase, every_fact: bool, kept: Memo
) -> Mapping[str, FactResult]:
    if every_fact:
        for name in base.shapes:
            ledger.get(name)
    return {
        name: _kept_fact(name, ledger, base, kept)
        for name in sorted(base.shapes)
        if every_fact or ledger.is_known(name)
    }


def _kept_fact(name: str, ledger: Ledger, base: RuleBase, kept: Memo) -> FactResult:
    fact = ledger.fact(name)
    if not isinstance(fact.value, int | float | str):
        return _fact(name, ledger, base)
    key = (name, fact.value.__class__, fact.value, fact.origin, fact.reads)
    return kept.once(key, lambda: _fact(name, ledger, base))


def _fact(name: str, ledger: Ledger, base: RuleBase) -> FactResult:
    fact, shape = ledger.fact(name), base.shapes[name]
    value = None if fact.value is NA else fact.value
    source = base.cite(base.values[name].source) if name in base.values else ""
    return FactResult(
        name=name,
        label=shape.label,
        value=value,
        text=base.text(name, fact.value),
        unit=shape.unit,
        origin=fact.origin.value,
        reads=fact.reads,
        source=source,
    )


def _final(slots: tuple[Slot, ...], chosen: Selection) -> dict[str, str]:
    state = {name: variable.initial for name, variable in chosen.variables.items()}
    for slot in slots:
        if slot.move.kind == "wait":
            name, _, value = slot.move.task.partition(":")
            state[name] = value
        elif slot.move.kind != "bracket" and not slot.move.more:
            state.update(chosen.tasks[slot.move.task].leaves)
    return state
