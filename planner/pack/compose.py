"""From the plan to the context of the documents: plain, sorted, all text; nothing is computed."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.metadata import version
from typing import Any

from planner.pack.facts import Facts
from planner.pack.parts import front, judgement, lists, method, technical, timetable
from planner.pack.plan_json import plan_digest
from planner.pack.sequence import entries, numbers
from planner.pack.text import plain, short
from planner.plan.model import Plan

PAPERS = ("a4", "letter")


def compose(plan: Plan) -> dict[str, Any]:
    """Return everything that the templates print."""
    facts = Facts(plan.facts)
    steps = entries(plan)
    numbered = numbers(steps)
    return {
        "meta": _meta(plan, facts),
        "front": front.front(plan, facts, steps),
        "open_points": judgement.open_points(plan),
        "decisions": judgement.decisions(plan),
        "findings": judgement.findings(plan),
        "hazards": judgement.hazards(plan, numbered),
        "method": method.method(plan, steps),
        "days": timetable.timetable(plan, steps),
        "setting_out": technical.setting_out(facts),
        "sheets": (
            technical.fixings(facts),
            technical.sealing(facts),
            technical.cable(facts),
            technical.wiring(facts),
            technical.van(facts),
            technical.energy(facts),
        ),
        "materials": lists.items(plan.materials, numbered, "Materials by class"),
        "tools": lists.items(plan.tools, numbered, "Tools by class"),
        "readings": lists.readings(steps),
        "bench": facts.table("bench.rows", "Expected on the bench, by light and cell temperature"),
        "holds": lists.holds(steps),
        "card": _card(facts),
        "basis": lists.basis(plan),
        "answers": lists.answers(plan),
        "not_needed": lists.not_needed(plan),
        "layers": lists.layers(plan),
    }


def _meta(plan: Plan, facts: Facts) -> dict[str, Any]:
    job = plan.job
    reference = _job(job, "reference") or facts.text("job.reference") or "no reference"
    paper = str(facts.value("job.paper") or "a4")
    return {
        "title": plain(reference),
        "short_title": short(reference, 48),
        "vehicle": _job(job, "vehicle") or facts.text("job.vehicle"),
        "place": _job(job, "place_of_work") or facts.text("job.place_of_work"),
        "revision": short(_job(job, "revision"), 16) or "none",
        "digest": plan_digest(plan),
        "version": version("lidwork"),
        "paper": paper if paper in PAPERS else PAPERS[0],
    }


def _job(job: Mapping[str, Any], name: str) -> str:
    """Return an entry of the job, whether it is kept by its fact's name or by its plain key."""
    value = job.get(f"job.{name}", job.get(name))
    return "" if value is None else plain(str(value))


def _card(facts: Facts) -> dict[str, Any]:
    """Return the figures of the card beside the controller."""
    return {
        "fuse": facts.text("fuse.rating_a"),
        "absorb": facts.text("charge.absorb_v"),
        "float": facts.text("charge.float_v"),
        "chemistry": facts.text("battery.chemistry"),
        "height": facts.text("height.new_mm"),
        "portable": facts.value("entry.kind") == "portable_inlet",
        "lifting": bool(facts.value("roof.moves")),
        "watts": facts.text("array.watts"),
        "cold": facts.text("array.cold_v"),
    }
