"""The plan file: the plan as plain data, a contract that other people's scripts may rely on."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from importlib.metadata import version
from typing import Any

from planner.pack.sequence import Entry, entries
from planner.plan.calendar import clock, moment
from planner.plan.model import Act, Item, Plan


def plan_to_dict(plan: Plan) -> dict[str, Any]:
    """Return the plan as plain data in the form of the plan file.

    Moments are ISO 8601 local times where the job has a start date, else ``day 2 08:30``; the
    minutes beside them count from midnight before the first working day.
    """
    steps = entries(plan)
    return {
        "lidwork": version("lidwork"),
        "job": _plain(plan.job),
        "verdict": {"state": plan.verdict.state, "why": list(plan.verdict.why)},
        "facts": {
            name: {
                "value": _plain(fact.value),
                "unit": fact.unit,
                "origin": fact.origin,
                "reads": list(fact.reads),
            }
            for name, fact in sorted(plan.facts.items())
        },
        **_judgements(plan),
        "states": {
            "initial": {variable.id: variable.initial for variable in plan.variables},
            "final": dict(sorted(plan.final.items())),
        },
        "steps": [_step(entry) for entry in steps if not entry.is_wait],
        "timetable": [_slot(entry, plan.start) for entry in steps],
        "materials": [_item(item) for item in plan.materials],
        "tools": [_item(item) for item in plan.tools],
        "checks": [check for entry in steps for check in _checks(entry)],
        "open_points": [
            {
                "fact": point.fact,
                "label": point.label,
                "state": point.state,
                "value": point.value,
                "measure": point.measure,
            }
            for point in plan.open_points
        ],
        "rules": [
            {"layer": layer.name, "version": layer.version, "digest": layer.digest}
            for layer in plan.layers
        ],
    }


def plan_text(plan: Plan) -> str:
    """Return the plan file's text."""
    return json.dumps(plan_to_dict(plan), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def plan_digest(plan: Plan) -> str:
    """Return a short digest of everything in the plan: another plan has another one."""
    text = json.dumps(plan_to_dict(plan), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def _judgements(plan: Plan) -> dict[str, Any]:
    return {
        "decisions": {
            decision.gives: {
                "chosen": decision.chosen,
                "options": [
                    {"id": option.id, "verdict": option.verdict, "reasons": list(option.reasons)}
                    for option in decision.options
                ],
            }
            for decision in plan.decisions
        },
        "findings": [
            {
                "id": finding.id,
                "severity": finding.severity,
                "text": finding.text,
                "because": finding.because,
                "source": finding.source,
                "cure": finding.cure,
            }
            for finding in plan.findings
        ],
        "hazards": [
            {
                "id": hazard.id,
                "title": hazard.title,
                "harm": hazard.harm,
                "who": list(hazard.who),
                "before": list(hazard.before),
                "after": list(hazard.after),
                "controls": [{"level": c.level, "text": c.text} for c in hazard.controls],
                "steps": list(hazard.steps),
                "source": hazard.source,
            }
            for hazard in plan.hazards
        ],
    }


def _step(entry: Entry) -> dict[str, Any]:
    task, text = entry.task, entry.text
    return {
        "number": entry.number,
        "id": entry.slot.move.task,
        "kind": entry.slot.move.kind,
        "for": entry.slot.move.why,
        "phase": text.phase if text else "",
        "title": entry.title,
        "minutes": task.minutes,
        "people": task.people,
        "after": sorted(task.after),
        "needs": {name: sorted(values) for name, values in sorted(task.needs.items())},
        "leaves": dict(sorted(task.leaves.items())),
        "does": [_act(act) for act in task.acts],
        "hold": task.hold,
        "lines": list(text.lines) if text else [],
        "accept": text.accept if text else "",
        "hazards": list(text.hazards) if text else [],
    }


def _act(act: Act) -> str:
    return f"{act.does}:{act.of}" if act.of else act.does


def _slot(entry: Entry, start: str) -> dict[str, Any]:
    slot = entry.slot
    return {
        "step": slot.move.task,
        "number": entry.number or None,
        "start": _moment(slot.start_min, start),
        "end": _moment(slot.end_min, start),
        "start_min": round(slot.start_min),
        "end_min": round(slot.end_min),
        "kind": "wait" if entry.is_wait else "work",
        "critical": slot.critical,
    }


def _moment(minute: float, start: str) -> str:
    date = moment(minute, start)
    return date.isoformat(timespec="minutes") if date else clock(minute)


def _checks(entry: Entry) -> list[dict[str, Any]]:
    if entry.text is None:
        return []
    return [
        {
            "number": entry.number,
            "step": entry.slot.move.task,
            "id": reading.id,
            "label": reading.label,
            "unit": reading.unit,
            "low": reading.low,
            "high": reading.high,
        }
        for reading in entry.text.readings
    ]


def _item(item: Item) -> dict[str, Any]:
    return {
        "id": item.id,
        "label": item.label,
        "spec": item.spec,
        "quantity": item.quantity,
        "unit": item.unit,
        "mass_kg": item.mass_kg,
        "note": item.note,
        "steps": list(item.steps),
    }


def _plain(value: Any) -> Any:
    """Return a value as JSON knows it; sets are sorted, so that the bytes stay the same."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, set | frozenset):
        return sorted(_plain(item) for item in value)
    if isinstance(value, float) and not math.isfinite(value):
        return None  # JSON has no word for it
    return value if value is None or isinstance(value, str | int | float | bool) else str(value)
