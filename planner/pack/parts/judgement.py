"""Open points, decisions with every option, findings, and the risk assessment."""

from __future__ import annotations

from msgspec import Struct

from planner.pack.parts.risk import codes, risk, score
from planner.pack.sequence import cited
from planner.pack.text import capital, plain, words
from planner.plan.model import DecisionResult, HazardResult, OptionResult, Plan

#: How a plan marks a reason that counts for or against an option.
PRO, CON = "For: ", "Against: "
VERDICTS = {"chosen": "chosen", "possible": "possible", "ruled_out": "ruled out"}
SEVERITIES = (("stop", "Stop"), ("caution", "Caution"), ("note", "Note"))
STATES = {
    "assumed": "assumed, on the safe side",
    "supposed": "supposed, only to draw the plan: do not start",
}


class Option(Struct, frozen=True):
    """One option as printed; ``plain`` are reasons that are neither for nor against."""

    label: str
    verdict: str
    pros: tuple[str, ...]
    cons: tuple[str, ...]
    plain: tuple[str, ...]


class Choice(Struct, frozen=True):
    """One decision as printed: the option chosen, then the others."""

    title: str
    chosen: str
    because: str
    source: str
    overruled: str
    options: tuple[Option, ...]


class Found(Struct, frozen=True):
    """One finding as printed."""

    mark: str
    severity: str
    text: str
    because: str
    cure: str
    source: str


class Hazard(Struct, frozen=True):
    """One hazard as printed, with its code."""

    code: str
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


def departures(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return where a shop's layers depart from the rules below them: what, and why."""
    return tuple(
        (f"{words(plain(one.rule.replace('/', ': ')))}: {plain(one.what).replace('_', ' ')}",
         f"{plain(one.layer)}: {plain(one.because)}")
        for one in plan.departures
    )


def decisions(plan: Plan, *, customer: bool = False) -> tuple[Choice, ...]:
    """Return the decisions in the order of the plan, the chosen option of each first.

    A customer's copy leaves out who overruled whom.
    """
    return tuple(_choice(decision, customer=customer) for decision in plan.decisions)


def _choice(decision: DecisionResult, *, customer: bool) -> Choice:
    order = tuple(VERDICTS)
    options = sorted(decision.options, key=lambda option: order.index(option.verdict))
    chosen = next((o.label for o in options if o.verdict == "chosen"), "none is possible")
    return Choice(
        title=capital(plain(decision.label)),
        chosen=plain(chosen),
        because=plain(decision.because),
        source=plain(decision.source),
        overruled="" if customer else plain(decision.overruled),
        options=tuple(_option(option) for option in options),
    )


def _option(option: OptionResult) -> Option:
    reasons = [plain(reason) for reason in option.reasons]
    return Option(
        label=capital(plain(option.label)),
        verdict=VERDICTS[option.verdict],
        pros=tuple(r.removeprefix(PRO) for r in reasons if r.startswith(PRO)),
        cons=tuple(r.removeprefix(CON) for r in reasons if r.startswith(CON)),
        plain=tuple(r for r in reasons if not r.startswith((PRO, CON))),
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
    names = codes(plan)
    ranked = sorted(plan.hazards, key=lambda hazard: int(names[hazard.id][1:]))
    return tuple(_hazard(hazard, names[hazard.id], numbered) for hazard in ranked)


def _hazard(
    hazard: HazardResult, code: str, numbered: dict[str, tuple[int, ...]]
) -> Hazard:
    return Hazard(
        code=code,
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
