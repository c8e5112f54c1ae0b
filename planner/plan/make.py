"""The whole chain, written out once: from a job's answers to a proved plan."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import partial

from planner.job.file import Job
from planner.ledger import NA, Fact, Ledger, Origin
from planner.plan import review, supplies
from planner.plan.calendar import moment
from planner.plan.facts import judged, ledger_of
from planner.plan.memo import Memo, key_of
from planner.plan.model import FactResult, Layer, Plan, Task
from planner.plan.select import Selection, select, texts
from planner.plan.work import Days, Proved, proved
from planner.rulebase.base import RuleBase, fill

#: What rain spoils while it is half done; drilling inside the van is not of them.
WET_SPOILS = ("drills", "seals", "bonds", "wipes_solvent")
#: What a step leaves open to the sky.
HOLES = ("fixing_holes", "entry_hole")
DAY_START_MIN = 8 * 60


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
    ledger = ledger_of(base, job.answers, memo)
    chosen = ledger.once("selection", base, lambda: select(ledger, base))
    days = _days(ledger)
    work = kept.once((key_of(chosen), days), lambda: proved(chosen, days, kept))
    ledger.give(Origin.CALCULATED, _figures(work, chosen, ledger))
    ledger.give(Origin.CALCULATED, {"plan.rain_steps": _rain_steps(work, chosen, ledger, base)})
    return _plan(job, base, ledger, chosen, work, every_fact, kept)


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


def _first_minute(ledger: Ledger) -> int:
    start = ledger.get("job.start")
    if start is NA:
        return DAY_START_MIN
    moment = datetime.fromisoformat(start)
    return moment.hour * 60 + moment.minute or DAY_START_MIN


def _figures(work: Proved, chosen: Selection, ledger: Ledger) -> dict[str, object]:
    """The figures of the finished plan that findings may read."""
    return {
        "plan.end": _moment(ledger, work.whole.end_min) or NA,
        "plan.nights": work.whole.nights,
        "plan.minutes": round(work.whole.work_min),
        "plan.roof_movements": work.whole.changes.get("roof", 0),
        "plan.people": max((chosen.tasks[name].people for name in work.done), default=1),
        "plan.drive_after_h": (work.ready_min - work.begin_min) / 60,
        "plan.late": _late(ledger, work.ready_min),
    }


def _rain_steps(work: Proved, chosen: Selection, ledger: Ledger, base: RuleBase) -> list[str]:
    """The titles of the steps that rain must not catch half done, in order of work."""
    return [
        fill(base.steps[name].title, ledger.get, base)
        for name in work.done
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
    work: Proved,
    every_fact: bool,
    kept: Memo,
) -> Plan:
    done = work.done
    decisions = tuple(ledger.get(judged(rule)) for rule in base.decisions.values())
    found = review.findings(ledger, base, decisions)
    points = review.open_points(ledger, base, job.answers)
    step_texts = texts(done, ledger, base)
    needed = ledger.once(("materials", done), base, lambda: supplies.materials(done, ledger, base))
    hazards = ledger.once(("hazards", done), base, lambda: supplies.hazards(done, ledger, base))
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
        timetable=work.slots,
        start="" if start is NA else start,
        final=work.final,
        materials=needed,
        tools=kept.once(("tools", done), lambda: supplies.tools(done, base)),
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
    result = partial(_fact_result, base)
    return {
        name: kept.about(ledger.fact(name), result)
        for name in base.fact_names
        if every_fact or ledger.is_known(name)
    }


def _fact_result(base: RuleBase, fact: Fact) -> FactResult:
    name, shape = fact.name, base.shapes[fact.name]
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
