"""Choose one option by rules, each option with its reasons for and against."""

from __future__ import annotations

from planner.ledger import NA, Ledger
from planner.plan.model import DecisionResult, OptionResult
from planner.rulebase.base import RuleBase, fill
from planner.rulebase.conditions import holds
from planner.rulebase.model import DecisionRule, Option, Reason


def decide(rule: DecisionRule, ledger: Ledger, base: RuleBase) -> DecisionResult:
    """Return the decision; ``chosen`` is None where it does not apply or no option is left.

    The fitter's own wish is taken where no veto stands against it; otherwise the option with the
    most points, the first listed on a tie.
    """
    if not holds(rule.when.condition, ledger):
        return _result(rule, base, None, ())
    judged = [_judge(option, ledger, base) for option in rule.options]
    allowed = [option for option in judged if option.verdict == "possible"]
    best = max(allowed, key=lambda option: option.points, default=None)
    wish = ledger.get(rule.wanted) if rule.wanted else NA
    wished = next((option for option in judged if option.id == wish), None)
    overruled = ""
    if wished is not None and wished.verdict == "possible":
        best = wished
    elif wished is not None:
        overruled = f"{wished.label} was asked for but is ruled out: {' '.join(wished.reasons)}"
    options = tuple(_final(option, best, wished) for option in judged)
    return _result(rule, base, best.id if best else None, options, overruled)


def _judge(option: Option, ledger: Ledger, base: RuleBase) -> OptionResult:
    vetoes = _said(option.ruled_out, ledger, base)
    counted = [reason for reason in option.reasons if holds(reason.when.condition, ledger)]
    points = option.points + sum(reason.points for reason in counted)
    reasons = vetoes or tuple(
        f"{_sign(reason.points)} {fill(reason.says, ledger.get, base)}".strip()
        for reason in counted
    )
    verdict = "ruled_out" if vetoes else "possible"
    return OptionResult(option.id, option.label, verdict, points, reasons)  # type: ignore[arg-type]


def _said(reasons: tuple[Reason, ...], ledger: Ledger, base: RuleBase) -> tuple[str, ...]:
    return tuple(
        fill(reason.says, ledger.get, base)
        for reason in reasons
        if holds(reason.when.condition, ledger)
    )


def _sign(points: float) -> str:
    if points == 0:
        return ""
    return "For:" if points > 0 else "Against:"


def _final(
    option: OptionResult, best: OptionResult | None, wished: OptionResult | None
) -> OptionResult:
    if best is None or option.id != best.id:
        return option
    reasons = option.reasons
    if wished is not None and wished.id == option.id:
        reasons = ("For: you asked for it.", *reasons)
    return OptionResult(option.id, option.label, "chosen", option.points, reasons)


def _result(
    rule: DecisionRule,
    base: RuleBase,
    chosen: str | None,
    options: tuple[OptionResult, ...],
    overruled: str = "",
) -> DecisionResult:
    return DecisionResult(
        id=rule.id,
        gives=rule.gives,
        label=rule.label,
        chosen=chosen,
        options=options,
        because=rule.because,
        source=base.cite(rule.source),
        overruled=overruled,
    )
