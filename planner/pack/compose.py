"""From the plan to the context of the documents: plain, sorted, all text; nothing is computed."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.metadata import version
from typing import Any

from planner.pack.facts import Facts
from planner.pack.outline import ALL, SUMMARY, outline
from planner.pack.parts import front, judgement, lists, method, technical, timetable
from planner.pack.plan_json import plan_digest
from planner.pack.sequence import Entry, entries, numbers
from planner.pack.text import capital, plain, short
from planner.plan.model import Plan

PAPERS = ("a4", "letter")


def compose(plan: Plan, *, only: str = ALL, customer: bool = False) -> dict[str, Any]:
    """Return everything that the templates print.

    Args:
        plan: The finished plan.
        only: ``all``, ``summary``, or one of the short forms of ``outline.SHORT``.
        customer: Leave out prices, internal notes and the sections that a shop keeps.
    """
    facts = Facts(plan.facts, plan.decisions)
    steps = entries(plan)
    content = _content(plan, facts, steps, only=only, customer=customer)
    return {
        "meta": _meta(plan, facts, only=only, customer=customer),
        "front": front.front(plan, facts, steps),
        "sections": outline(
            content, only=only, customer=customer, lifting=bool(facts.value("roof.moves"))
        ),
        **{name.replace("-", "_"): found for name, found in content.items()},
        "sheets": {name: content[name] for name in technical.SHEETS},
        "layers": lists.layers(plan),
        "house": plan.house,
    }


def _content(
    plan: Plan, facts: Facts, steps: tuple[Entry, ...], *, only: str, customer: bool
) -> dict[str, Any]:
    """Return what each section prints, by its id; an empty one is left out."""
    numbered = numbers(steps)
    return {
        "open-points": judgement.open_points(plan),
        "departures": judgement.departures(plan),
        "findings": judgement.findings(plan),
        "decisions": judgement.decisions(plan, customer=customer),
        "risk": judgement.hazards(plan, numbered),
        "timetable": timetable.timetable(plan, steps),
        "method": method.method(plan, steps),
        **{name: make(facts) for name, make in technical.SHEETS.items()},
        "materials": lists.supplies(plan, numbered, customer=customer),
        "tests": lists.test_sheet(facts, steps),
        "card": _card(facts),
        "signoff": lists.sign_off(plan, owner=customer and only == ALL),
        "limits": True,
        "basis": lists.basis(plan),
        "appendix": lists.not_needed(plan) or True,
    }


def _meta(plan: Plan, facts: Facts, *, only: str, customer: bool) -> dict[str, Any]:
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
        "both_units": facts.value("job.units") == "both",
        "customer": customer,
        "whole": only == ALL,
        "front": only in {ALL, SUMMARY},
    }


def _job(job: Mapping[str, Any], name: str) -> str:
    """Return an entry of the job, whether it is kept by its fact's name or by its plain key."""
    value = job.get(f"job.{name}", job.get(name))
    return "" if value is None else plain(str(value))


def _card(facts: Facts) -> dict[str, Any]:
    """Return the orders and the figures of the card beside the controller."""
    return {
        "off": capital(facts.text("wiring.switch_off")),
        "on": capital(facts.text("wiring.switch_on")),
        "order": facts.rows("wiring.order"),
        "fuse": facts.text("fuse.rating_a"),
        "absorb": facts.text("charge.absorb_v"),
        "float": facts.text("charge.float_v"),
        "chemistry": facts.text("battery.chemistry"),
        "height": facts.text("height.new_mm"),
        "portable": facts.value("entry.kind") == "portable_inlet",
        "lifting": bool(facts.value("roof.moves")),
        "cold": facts.text("array.cold_v"),
    }
