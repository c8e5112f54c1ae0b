"""Where a fact, decision, step, hazard, finding or material comes from, down to the answers.

The tree is a walk over what was really read; nothing in it is written by hand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from planner.errors import InputError, nearest
from planner.job.file import Job
from planner.ledger import Ledger, Origin
from planner.plan.decide import decide
from planner.plan.facts import ledger_of
from planner.plan.model import DecisionResult
from planner.rulebase.base import RuleBase, fill
from planner.rulebase.conditions import Condition, Test, holds, say
from planner.rulebase.model import Reasoned, StepRule, When

ORIGINS = {
    Origin.ANSWERED: "answered",
    Origin.ASSUMED: "assumed, not measured",
    Origin.SUPPOSED: "supposed only so that the plan can be drawn",
    Origin.LOOKED_UP: "named value",
    Origin.CALCULATED: "calculated",
    Origin.DECIDED: "decided",
    Origin.INAPPLICABLE: "does not apply to this job",
}


@dataclass(frozen=True)
class Node:
    """One line of the explanation, with what it rests on."""

    text: str
    children: tuple[Node, ...] = ()


@dataclass(frozen=True)
class Walk:
    """What an explanation walks over."""

    ledger: Ledger
    base: RuleBase


def why(job: Job, base: RuleBase, name: str) -> Node:
    """Explain a fact, decision, option, step, hazard, finding or material by its name or id.

    Raises:
        InputError: If nothing has that name.
    """
    walk = Walk(ledger_of(base, job.answers), base)
    kinds: Mapping[str, Callable[[Walk, str], Node]] = {
        "decisions": _decision,
        "findings": _finding,
        "steps": _step,
        "hazards": _hazard,
        "materials": _material,
        "tools": _tool,
    }
    if name in base.shapes:
        return _fact(walk, name, ())
    for kind, explain in kinds.items():
        if name in getattr(base, kind):
            return explain(walk, name)
    for rule in base.decisions.values():
        if any(option.id == name for option in rule.options):
            return _option(walk, rule.id, name)
    known = [*base.shapes, *(rule for kind in kinds for rule in getattr(base, kind))]
    raise InputError.of(
        name,
        "nothing in this plan has that name",
        nearest(name, known) or "See: lidwork rules list",
    )


def _fact(walk: Walk, name: str, trail: tuple[str, ...]) -> Node:
    """A fact with its reads; what was explained on the way here is not explained again."""
    if name.startswith("table."):
        table = walk.base.tables[name.removeprefix("table.")]
        return Node(f"table: {table.label}  [{walk.base.cite(table.source)}]")
    fact = walk.ledger.fact(name)
    value = walk.base.text(name, fact.value)
    text = f"{walk.base.label(name)} = {value}  [{ORIGINS[fact.origin]}]  {name}"
    if name in walk.base.values:
        rule = walk.base.values[name]
        return Node(f"{text}: {walk.base.cite(rule.source)}. {rule.because}")
    if name in trail:
        return Node(f"{text} (above)")
    chosen = next((rule for rule in walk.base.decisions.values() if rule.gives == name), None)
    reads = _reads(walk, fact.reads, (*trail, name))
    return Node(text, (_because(walk, "decisions", chosen.id), *reads) if chosen else reads)


def _reads(walk: Walk, names: Iterable[str], trail: tuple[str, ...]) -> tuple[Node, ...]:
    return tuple(_fact(walk, name, trail) for name in names)


def _because(walk: Walk, kind: str, name: str) -> Node:
    rule: Reasoned = getattr(walk.base, kind)[name]
    place = walk.base.place(kind, name)
    return Node(f"rule {place}: {rule.because}  [{walk.base.cite(rule.source)}]")


def _conditions(walk: Walk, when: When) -> Node:
    met, reads = walk.ledger.reading(lambda: holds(when.condition, walk.ledger))
    said = say(when.condition, walk.base)
    text = f"applies, because {said}" if met else f"does not apply: it would only when {said}"
    failed = () if met else tuple(_failed(when.condition, walk))
    return Node(text, (*failed, *_reads(walk, reads, ())))


def _failed(condition: Condition, walk: Walk) -> Iterable[Node]:
    """The tests that fail, each with the value that fails it."""
    if isinstance(condition, Test):
        if not holds(condition, walk.ledger):
            value = walk.base.text(condition.fact, walk.ledger.get(condition.fact))
            yield Node(f"fails: {say(condition, walk.base)} (here: {value})")
    elif condition.kind != "none":
        for part in condition.parts:
            yield from _failed(part, walk)


def _decision(walk: Walk, name: str) -> Node:
    result = decide(walk.base.decisions[name], walk.ledger, walk.base)
    options = tuple(_option_node(result, option.id) for option in result.options)
    fact = _fact(walk, result.gives, ())
    return Node(f"decision: {result.label}", (_because(walk, "decisions", name), *options, fact))


def _option_node(result: DecisionResult, option_id: str) -> Node:
    option = next(one for one in result.options if one.id == option_id)
    verdict = {"chosen": "chosen", "possible": "possible, not chosen", "ruled_out": "ruled out"}
    points = "" if option.verdict == "ruled_out" else f", {option.points:g} points"
    reasons = tuple(Node(reason) for reason in option.reasons)
    return Node(f"{option.label}: {verdict[option.verdict]}{points}", reasons)


def _option(walk: Walk, decision: str, option: str) -> Node:
    result, reads = walk.ledger.reading(
        lambda: decide(walk.base.decisions[decision], walk.ledger, walk.base)
    )
    if not result.options:
        return _decision(walk, decision)
    node = _option_node(result, option)
    return Node(f"{result.label}: {node.text}", (*node.children, *_reads(walk, reads, ())))


def _finding(walk: Walk, name: str) -> Node:
    rule = walk.base.findings[name]
    said = fill(rule.says, walk.ledger.get, walk.base)
    parts = (_because(walk, "findings", name), _conditions(walk, rule.when))
    return Node(f"{rule.severity}: {said}", parts)


def _step(walk: Walk, name: str) -> Node:
    rule: StepRule = walk.base.steps[name]
    needs = [f"{state} is {' or '.join(values)}" for state, values in rule.needs.items()]
    parts = [_because(walk, "steps", name), _conditions(walk, rule.when)]
    if needs:
        parts.append(Node(f"needs: {'; '.join(needs)}"))
    if rule.after:
        parts.append(Node(f"comes after: {', '.join(rule.after)}"))
    return Node(f"step: {fill(rule.title, walk.ledger.get, walk.base)}", tuple(parts))


def _users(walk: Walk, field: str, name: str) -> tuple[Node, ...]:
    """The selected steps that name a hazard, material or tool."""
    steps = [rule for rule in walk.base.steps.values() if name in getattr(rule, field)]
    live = [rule for rule in steps if holds(rule.when.condition, walk.ledger)]
    if not live:
        return tuple(Node(f"not in this job: {_step(walk, rule.id).text}") for rule in steps)
    return tuple(_step(walk, rule.id) for rule in live)


def _hazard(walk: Walk, name: str) -> Node:
    rule = walk.base.hazards[name]
    parts = (
        _because(walk, "hazards", name),
        _conditions(walk, rule.when),
        *_users(walk, "hazards", name),
    )
    return Node(f"hazard: {rule.title}", parts)


def _material(walk: Walk, name: str) -> Node:
    rule = walk.base.materials[name]
    quantity = (_fact(walk, rule.quantity, ()),) if isinstance(rule.quantity, str) else ()
    parts = (_conditions(walk, rule.when), *quantity, *_users(walk, "materials", name))
    return Node(f"material: {rule.label}", parts)


def _tool(walk: Walk, name: str) -> Node:
    return Node(f"tool: {walk.base.tools[name].label}", _users(walk, "tools", name))


def lines(node: Node, depth: int = 0) -> Iterable[str]:
    """Yield the tree as indented text."""
    yield "  " * depth + node.text
    for child in node.children:
        yield from lines(child, depth + 1)
