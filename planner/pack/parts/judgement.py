"""Open points, decisions with every option, findings, and the risk assessment."""

from __future__ import annotations

from dataclasses import dataclass

from planner.pack.parts.front import risk, score
from planner.pack.sequence import cited
from planner.pack.text import capital, plain, words
from planner.plan.model import DecisionResult, HazardResult, Plan

VERDICTS = {"chosen": "chosen", "possible": "possible", "ruled_out": "ruled out"}
SEVERITIES = (("stop", "Stop"), ("caution", "Caution"), ("note", "Note"))
STATES = {
    "assumed": "assumed, on the safe side",
    "supposed": "supposed, only to draw the plan: do not start",
}


@dataclass(frozen=True)
class Choice:
    """One decision as printed."""

    title: str
    chosen: str
    because: str
    source: str
    overruled: str
    options: tuple[tuple[str, str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Found:
    """One finding as printed."""

    mark: str
    severity: str
    text: str
    because: str
    cure: str
    source: str


@dataclass(frozen=True)
class Hazard:
    """One hazard as printed."""

    title: str
    harm: str
    who: str
    before: str
    after: str
    high: bool
    controls: tuple[tuple[str, str], ...]
    steps: str
    source: str


def open_points(plan: Plan) -> tuple[tuple[str, str, str, str], ...]:
    """Return label, state, the value that stands in, and how to measure it."""
    return tuple(
        (capital(plain(p.label)), STATES[p.state], plain(p.value), plain(p.measure))
        for p in plan.open_points
    )


def decisions(plan: Plan) -> tuple[Choice, ...]:
    """Return the decisions in the order of the plan, the chosen option of each first."""
    return tuple(_choice(decision) for decision in plan.decisions)


def _choice(decision: DecisionResult) -> Choice:
    order = tuple(VERDICTS)
    options = sorted(decision.options, key=lambda option: order.index(option.verdict))
    chosen = next((o.label for o in options if o.verdict == "chosen"), "none is possible")
    return Choice(
        title=capital(plain(decision.label)),
        chosen=plain(chosen),
        because=plain(decision.because),
        source=plain(decision.source),
        overruled=plain(decision.overruled),
        options=tuple(
            (plain(o.label), VERDICTS[o.verdict], tuple(plain(reason) for reason in o.reasons))
            for o in options
        ),
    )


def findings(plan: Plan) -> tuple[Found, ...]:
    """Return stops first, then cautions, then notes."""
    return tuple(
        Found(mark, severity, *(plain(text) for text in (f.text, f.because, f.cure, f.source)))
        for severity, mark in SEVERITIES
        for f in plan.findings
        if f.severity == severity
    )


def hazards(plan: Plan, numbered: dict[str, tuple[int, ...]]) -> tuple[Hazard, ...]:
    """Return the hazards of the job, the gravest before controls first."""
    ranked = sorted(plan.hazards, key=lambda hazard: -score(hazard.before))
    return tuple(_hazard(hazard, numbered) for hazard in ranked)


def _hazard(hazard: HazardResult, numbered: dict[str, tuple[int, ...]]) -> Hazard:
    return Hazard(
        title=plain(hazard.title),
        harm=plain(hazard.harm),
        who=", ".join(words(plain(who)) for who in hazard.who),
        before=risk(hazard.before),
        after=risk(hazard.after),
        high=score(hazard.after) >= 8,
        controls=tuple((capital(c.level), plain(c.text)) for c in hazard.controls),
        steps=cited(hazard.steps, numbered),
        source=plain(hazard.source),
    )
