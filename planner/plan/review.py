"""Read the finished plan and say what must be said: findings, open points and the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial

from planner.job.answers import Answers, is_answered, matters
from planner.ledger import NA, Ledger, Origin
from planner.plan.model import DecisionResult, Finding, OpenPoint, Verdict
from planner.rulebase.base import RuleBase, fill
from planner.rulebase.conditions import holds
from planner.rulebase.model import FindingRule, Question

SEVERITIES = ("stop", "caution", "note")


def findings(
    ledger: Ledger, base: RuleBase, decisions: Iterable[DecisionResult]
) -> tuple[Finding, ...]:
    """Return everything the plan must say, the gravest first."""
    found = [
        *_from_decisions(decisions, base, ledger),
        *ledger.once("findings", base, lambda: tuple(_from_rules(ledger, base))),
    ]
    return tuple(sorted(found, key=lambda finding: SEVERITIES.index(finding.severity)))


def _from_rules(ledger: Ledger, base: RuleBase) -> Iterator[Finding]:
    for rule in base.findings.values():
        if holds(rule.when.condition, ledger):
            yield ledger.once("finding", rule, partial(_finding, rule, ledger, base))


def _finding(rule: FindingRule, ledger: Ledger, base: RuleBase) -> Finding:
    return Finding(
        id=rule.id,
        severity=rule.severity,
        text=fill(rule.says, ledger.get, base),
        because=rule.because,
        source=base.cite(rule.source),
        cure=fill(rule.cure, ledger.get, base),
    )


def _from_decisions(
    decisions: Iterable[DecisionResult], base: RuleBase, ledger: Ledger
) -> Iterator[Finding]:
    """A wish that was ruled out, or no option left, stops the job until somebody decides."""
    for result in decisions:
        rule = base.decisions[result.id]
        if result.overruled:
            cure = "Change the answer to what is planned instead, or change what rules it out."
            yield Finding(
                f"{result.id}-wish", "stop", result.overruled, result.because, result.source, cure
            )
        if result.options and result.chosen is None:
            reasons = " ".join(
                f"{option.label}: {' '.join(option.reasons)}" for option in result.options
            )
            yield Finding(
                id=f"{result.id}-none-left",
                severity="stop",
                text=f"{result.label}: no option is left. {reasons}",
                because=result.because,
                source=result.source,
                cure=fill(rule.if_none, ledger.get, base),
            )


def open_points(ledger: Ledger, base: RuleBase, answers: Answers) -> tuple[OpenPoint, ...]:
    """Return every question that matters and has no measured answer, the blocking ones first."""
    points = [
        _open_point(question, ledger, base)
        for question in base.questions.values()
        if not is_answered(base, question, answers)
        and matters(question, ledger)
        and (question.check_before or question.unknown.suppose is not None)
    ]
    return tuple(sorted(points, key=lambda point: point.state != "supposed"))


def _open_point(question: Question, ledger: Ledger, base: RuleBase) -> OpenPoint:
    fact = ledger.fact(question.fact)
    value = "not known" if fact.value is NA else base.text(question.fact, fact.value)
    if question.unknown.span:
        value = f"{fact.value} {question.unit}".strip()
    supposed = fact.origin is Origin.SUPPOSED
    return OpenPoint(
        fact=question.fact,
        label=question.label,
        state="supposed" if supposed else "assumed",
        value=value,
        measure=question.measure or question.ask,
    )


def verdict(found: Iterable[Finding], points: Iterable[OpenPoint]) -> Verdict:
    """Return whether work may start; even the best says only that no stop was found."""
    stops = tuple(finding.text for finding in found if finding.severity == "stop")
    if stops:
        return Verdict("do_not_start", stops)
    open_ = tuple(f"{point.label} is not known" for point in points if point.state == "supposed")
    return Verdict("not_yet", open_) if open_ else Verdict("no_stop_found", ())
