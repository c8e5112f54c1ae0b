"""Where a fact, decision, step, hazard, finding or material comes from, down to the answers.

The tree is a walk over what was really read; nothing in it is written by hand. It says as well why
something is not in the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from msgspec import Struct, field

from planner.errors import InputError
from planner.job.file import Job
from planner.ledger import Ledger, Origin
from planner.plan.decide import decide
from planner.plan.facts import ledger_of
from planner.plan.model import DecisionResult, Plan
from planner.rulebase.base import RuleBase, fill
from planner.rulebase.conditions import ALWAYS, Condition, Test, holds, say
from planner.rulebase.model import When
from planner.rulebase.values import shown
from planner.shop.named import as_printed, near_name, option_ids
from planner.shop.placed import LATE, PLANNED_BY, course, in_order
from planner.shop.tree import Node

ORIGINS = {
    Origin.ANSWERED: "answered",
    Origin.ASSUMED: "assumed, not measured",
    Origin.SUPPOSED: "supposed only so that the plan can be drawn",
    Origin.LOOKED_UP: "named value",
    Origin.CALCULATED: "calculated",
    Origin.DECIDED: "decided",
    Origin.INAPPLICABLE: "does not apply to this job",
}
VERDICTS = {"chosen": "chosen", "possible": "possible, not chosen", "ruled_out": "ruled out"}


class _Walk(Struct, frozen=True):
    """What an explanation walks over; each fact is explained once, where it is first met."""

    ledger: Ledger
    base: RuleBase
    plan: Plan | None
    told: set[str] = field(default_factory=set)


def why(job: Job, base: RuleBase, name: str, plan: Plan | None = None) -> Node:
    """Explain a fact, decision, option, step, hazard, finding or material by its name or id.

    Args:
        job: The job.
        base: The rules.
        name: A fact's name, a rule's id or an option's, or ``table.NAME``; ``steps/ID`` or
            ``DECISION/OPTION`` where several know the id; or what the plan prints of it: the number
            of a step, the code of a hazard, words.
        plan: The finished plan, where there is one: figures known only late, and places in the
            order of work.

    Raises:
        InputError: If nothing has that name.
    """
    walk = _Walk(_ledger(job, base, plan), base, plan)
    kind, slash, rest = name.partition("/")
    if slash and kind in _KINDS and rest in getattr(base, kind):
        return _KINDS[kind](walk, rest)
    if slash and rest in option_ids(base, kind):
        return _option(walk, kind, rest)
    explain = _explainer(walk, name)
    if explain is None:
        printed = as_printed(plan, name) if plan else None
        if printed:
            return why(job, base, printed, plan)
        cure = near_name(base, _KINDS, name) or "See: lidwork rules list steps"
        raise InputError.of("why", f"nothing in this plan is named {shown(name)}", cure)
    found = explain(walk, name)
    others = [kind for kind in _KINDS if name in getattr(base, kind)][1:]
    also = tuple(Node(f"another rule has this name too: {kind}/{name}") for kind in others)
    return Node(found.text, (*also, *found.children))


def _ledger(job: Job, base: RuleBase, plan: Plan | None) -> Ledger:
    """The job's facts, with those that only a finished plan gives."""
    ledger = ledger_of(base, job.answers)
    if plan is not None:
        late = {name: fact for name, fact in plan.facts.items() if name.startswith(LATE)}
        values = {name: fact.value for name, fact in late.items() if fact.value is not None}
        ledger.give(Origin.CALCULATED, values)
    return ledger


def _explainer(walk: _Walk, name: str) -> Callable[[_Walk, str], Node] | None:
    base = walk.base
    if name in base.shapes or name.removeprefix("table.") in base.tables:
        return _fact
    for kind, explain in _KINDS.items():
        if name in getattr(base, kind):
            return explain
    if any(name in option_ids(base, rule) for rule in base.decisions):
        return _options
    return _withdrawn if any(_is_of(one.rule, name) for one in base.departures) else None


def _is_of(rule: str, name: str) -> bool:
    return rule in (name, f"{rule.partition('/')[0]}/{name}")


def _withdrawn(walk: _Walk, name: str) -> Node:
    gone = next(one for one in walk.base.departures if _is_of(one.rule, name))
    return Node(f"{gone.rule}: {gone.what} by {gone.layer}: {gone.because}")


def _fact(walk: _Walk, name: str) -> Node:
    if name.removeprefix("table.") in walk.base.tables:
        return _table(walk, name.removeprefix("table."))
    fact = walk.ledger.fact(name)
    value = walk.base.text(name, fact.value)
    text = f"{walk.base.label(name)} = {value}  [{ORIGINS[fact.origin]}]  {name}"
    if name in walk.told:
        return Node(f"{text} (explained above)" if fact.reads else text)
    walk.told.add(name)
    if name in walk.base.values:
        rule = walk.base.values[name]
        text = f"{text}: {walk.base.cite(rule.source)}. {rule.because}"
        return Node(text, _layers(walk, "values", name))
    question = name if name in walk.base.questions else name.rpartition(".")[0]
    if question in walk.base.questions:
        return Node(text, _given(walk, question))
    if name.startswith(LATE) and walk.plan is not None:
        given = (one for one in PLANNED_BY if one in walk.base.shapes)
        return Node(text, (course(walk.plan), *_reads(walk, given)))
    return Node(text, (*_decided(walk, name), *_reads(walk, fact.reads)))


def _table(walk: _Walk, name: str) -> Node:
    table, place = walk.base.tables[name], walk.base.place("tables", name)
    if f"table.{name}" in walk.told:
        return Node(f"table {place}: {table.label}")
    walk.told.add(f"table.{name}")
    text = f"table {place}: {table.label}  [{walk.base.cite(table.source)}]"
    return Node(text, _layers(walk, "tables", name))


def _reads(walk: _Walk, names: Iterable[str]) -> tuple[Node, ...]:
    return tuple(_fact(walk, name) for name in names)


def _given(walk: _Walk, name: str) -> tuple[Node, ...]:
    """What a shop's layer says of an answer, and why it is not asked where it is not."""
    said = walk.base.departures_of("answers", name)
    notes = tuple(Node(f"{one.what}, by {one.layer}: {one.because}") for one in said)
    when = walk.base.questions[name].when
    lacks = () if holds(when.condition, walk.ledger) else (_conditions(walk, when),)
    return (*notes, *_layers(walk, "questions", name), *lacks)


def _decided(walk: _Walk, name: str) -> tuple[Node, ...]:
    chosen = next((rule for rule in walk.base.decisions.values() if rule.gives == name), None)
    if chosen is not None:
        return (_because(walk, "decisions", chosen.id),)
    if name in walk.base.flags:
        when = walk.base.flags[name].when
        return (Node(f"yes when {say(when.condition, walk.base)}"),)
    return ()


def _because(walk: _Walk, kind: str, name: str) -> Node:
    rule: Any = getattr(walk.base, kind)[name]
    place = walk.base.place(kind, name)
    source = f"  [{walk.base.cite(rule.source)}]" if hasattr(rule, "source") else ""
    because = getattr(rule, "because", "") or rule.label
    return Node(f"rule {place}: {because}{source}", _layers(walk, kind, name))


def _layers(walk: _Walk, kind: str, name: str) -> tuple[Node, ...]:
    """Which layer a rule comes from, where it is not the lowest, and which layers changed it."""
    added = walk.base.added.get((kind, name))
    new = (Node(f"a rule of {added}"),) if added else ()
    changed = walk.base.departures_of(kind, name)
    return (*new, *(Node(f"{one.what}, by {one.layer}: {one.because}") for one in changed))


def _conditions(walk: _Walk, when: When) -> Node:
    if when.condition == ALWAYS:
        return Node("applies to every job")
    met, reads = walk.ledger.reading(lambda: holds(when.condition, walk.ledger))
    said = say(when.condition, walk.base)
    text = f"applies, because {said}" if met else f"does not apply: it would only when {said}"
    failed = () if met else tuple(_failed(when.condition, walk))
    return Node(text, (*failed, *_reads(walk, reads)))


def _failed(condition: Condition, walk: _Walk) -> Iterable[Node]:
    """The tests that fail, each with the value that fails it."""
    if holds(condition, walk.ledger):
        return
    if isinstance(condition, Test):
        value = walk.base.text(condition.fact, walk.ledger.get(condition.fact))
        yield Node(f"fails: {say(condition, walk.base)} (here: {value})")
    elif condition.kind == "none":
        yield Node(f"fails: {say(condition, walk.base)}")
    else:
        for part in condition.parts:
            yield from _failed(part, walk)


def _decision(walk: _Walk, name: str) -> Node:
    rule = walk.base.decisions[name]
    result, reads = walk.ledger.reading(lambda: decide(rule, walk.ledger, walk.base))
    parts = [_because(walk, "decisions", name)]
    if not result.options:
        parts.append(_conditions(walk, rule.when))
    options = (_option_node(result, option.id) for option in result.options)
    return Node(f"decision: {result.label}", (*parts, *options, *_reads(walk, reads)))


def _option_node(result: DecisionResult, option_id: str) -> Node:
    option = next(one for one in result.options if one.id == option_id)
    points = "" if option.verdict == "ruled_out" else f", {option.points:g} points"
    reasons = tuple(Node(reason) for reason in option.reasons)
    return Node(f"{option.label}: {VERDICTS[option.verdict]}{points}", reasons)


def _options(walk: _Walk, name: str) -> Node:
    """An option by its id, in each decision that has one of that name."""
    rules = [rule for rule in walk.base.decisions if name in option_ids(walk.base, rule)]
    nodes = tuple(_option(walk, rule, name) for rule in rules)
    return nodes[0] if len(nodes) == 1 else Node(f"option {name}", nodes)


def _option(walk: _Walk, decision: str, option: str) -> Node:
    rule = walk.base.decisions[decision]
    result, reads = walk.ledger.reading(lambda: decide(rule, walk.ledger, walk.base))
    if not result.options:
        return _decision(walk, decision)
    node = _option_node(result, option)
    won = [_option_node(result, one.id) for one in result.options if one.verdict == "chosen"]
    instead = tuple(Node(f"instead: {one.text}", one.children) for one in won if one != node)
    because = _because(walk, "decisions", decision)
    text = f"{result.label}: {node.text}"
    return Node(text, (because, *node.children, *instead, *_reads(walk, reads)))


def _finding(walk: _Walk, name: str) -> Node:
    rule = walk.base.findings[name]
    said = fill(rule.says, walk.ledger.get, walk.base)
    parts = (_because(walk, "findings", name), _conditions(walk, rule.when))
    return Node(f"{rule.severity}: {said}", parts)


def _step(walk: _Walk, name: str) -> Node:
    rule = walk.base.steps[name]
    placed = in_order(walk.plan, walk.base, name)
    parts = [_because(walk, "steps", name), *placed, _conditions(walk, rule.when)]
    needs = [f"{state} is {' or '.join(values)}" for state, values in rule.needs.items()]
    if needs:
        parts.append(Node(f"needs: {'; '.join(needs)}"))
    if rule.after:
        parts.append(Node(f"comes after: {', '.join(rule.after)}"))
    return Node(f"step: {fill(rule.title, walk.ledger.get, walk.base)}", tuple(parts))


def _users(walk: _Walk, entry: str, name: str) -> tuple[Node, ...]:
    """The selected steps that name a hazard, material or tool."""
    steps = [rule for rule in walk.base.steps.values() if name in getattr(rule, entry)]
    live = [rule for rule in steps if holds(rule.when.condition, walk.ledger)]
    if not live:
        return (Node("no step of this job names it", tuple(_step(walk, r.id) for r in steps)),)
    return tuple(_step(walk, rule.id) for rule in live)


def _hazard(walk: _Walk, name: str) -> Node:
    rule = walk.base.hazards[name]
    because, when = _because(walk, "hazards", name), _conditions(walk, rule.when)
    return Node(f"hazard: {rule.title}", (because, when, *_users(walk, "hazards", name)))


def _material(walk: _Walk, name: str) -> Node:
    rule = walk.base.materials[name]
    quantity = (_fact(walk, rule.quantity),) if isinstance(rule.quantity, str) else ()
    parts = (_conditions(walk, rule.when), *quantity, *_users(walk, "materials", name))
    return Node(f"material: {rule.label}", (*_layers(walk, "materials", name), *parts))


def _tool(walk: _Walk, name: str) -> Node:
    node = _layers(walk, "tools", name)
    return Node(f"tool: {walk.base.tools[name].label}", (*node, *_users(walk, "tools", name)))


_KINDS: Mapping[str, Callable[[_Walk, str], Node]] = {
    "decisions": _decision,
    "findings": _finding,
    "steps": _step,
    "hazards": _hazard,
    "materials": _material,
    "tools": _tool,
}
