"""Select the steps that this job needs and resolve their needs, times and texts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial

from msgspec import Struct

from planner.errors import InputError
from planner.ledger import NA, Ledger
from planner.plan.model import Act, Clock, Invariant, Reading, StepText, Task, Variable
from planner.rulebase.base import RuleBase, fill, rounded
from planner.rulebase.conditions import ALWAYS, holds, say
from planner.rulebase.model import InvariantRule, Minutes, ReadingRule, StateRule, StepRule

PACE = "work.pace"


class Selection(Struct, frozen=True):
    """What the job needs of the rules about work, and what it does not need and why."""

    tasks: Mapping[str, Task]
    variables: Mapping[str, Variable]
    invariants: Mapping[str, Invariant]
    not_needed: tuple[tuple[str, str], ...]


def select(ledger: Ledger, base: RuleBase) -> Selection:
    """Return the selected steps as tasks, with the states and invariants of this job."""
    chosen = {rule.id: rule for rule in base.steps.values() if holds(rule.when.condition, ledger)}
    variables = {rule.id: _variable(rule, ledger) for rule in base.states.values()}
    after = ledger.once(("after", tuple(chosen)), base, lambda: _passed_on(base, chosen))
    phases = list(base.phases)
    tasks = {
        rule.id: ledger.once(
            ("task", rank, after[rule.id]),
            rule,
            partial(_task, rule, rank, phases.index(rule.phase), after[rule.id], ledger),
        )
        for rank, rule in enumerate(base.steps.values())
        if rule.id in chosen
    }
    invariants = {
        rule.id: _invariant(rule)
        for rule in base.invariants.values()
        if holds(rule.when.condition, ledger)
    }
    dropped = tuple(
        (rule.title, f"only when {say(rule.when.condition, base)}")
        for rule in base.steps.values()
        if rule.id not in chosen and not rule.enabling
    )
    return Selection(tasks, variables, invariants, dropped)


def _passed_on(base: RuleBase, chosen: Mapping[str, StepRule]) -> dict[str, frozenset[str]]:
    """A predecessor that this job does not select passes its own predecessors on."""
    known: dict[str, frozenset[str]] = {}

    def selected(name: str, trail: tuple[str, ...]) -> frozenset[str]:
        if name in chosen:
            return frozenset((name,))
        return before(name, trail)

    def before(name: str, trail: tuple[str, ...]) -> frozenset[str]:
        if name in trail or name not in base.steps:
            return frozenset()
        if name not in known:
            rule = base.steps[name]
            parts = [selected(earlier, (*trail, name)) for earlier in rule.after]
            known[name] = frozenset().union(*parts)
        return known[name]

    return {name: before(name, ()) - {name} for name in chosen}


def _variable(rule: StateRule, ledger: Ledger) -> Variable:
    initial = next(iter(rule.values))
    for case in rule.initial_if:
        if holds(case.when.condition, ledger):
            initial = case.value
            break
    clocks = tuple(
        Clock(change.value, change.becomes, hours, change.waits)
        for change in rule.changes
        if (hours := _number(change.after_h, ledger)) is not None
    )
    nights = frozenset(rule.nights) if rule.nights is not None else None
    return Variable(
        id=rule.id,
        values=tuple(rule.values),
        initial=initial,
        cost=rule.cost,
        clocks=clocks,
        nights=nights,
        label=rule.label,
        words=rule.values,
    )


def _number(value: float | str | None, ledger: Ledger) -> float | None:
    """Return a number given as such or as a fact's name; None where the fact does not apply."""
    found = ledger.get(value) if isinstance(value, str) else value
    return None if found is None or found is NA else float(found)


def _task(rule: StepRule, rank: int, phase: int, after: frozenset[str], ledger: Ledger) -> Task:
    needs = {name: frozenset(values) for name, values in rule.needs.items()}
    for more in rule.needs_if:
        if holds(more.when.condition, ledger):
            for name, values in more.states.items():
                needs[name] = needs.get(name, frozenset(values)) & frozenset(values)
    leaves = dict(rule.leaves)
    for more in rule.leaves_if:
        if holds(more.when.condition, ledger):
            leaves.update({name: values[0] for name, values in more.states.items()})
    acts = tuple(Act(act.act, act.of) for act in rule.does if holds(act.when.condition, ledger))
    return Task(
        id=rule.id,
        phase=phase,
        rank=rank,
        after=after,
        needs=needs,
        leaves=leaves,
        acts=acts,
        minutes=_minutes(rule.minutes, ledger),
        people=rule.people,
        enabling=rule.enabling,
        hold=rule.hold
        or (rule.hold_if.condition != ALWAYS and holds(rule.hold_if.condition, ledger)),
    )


def _minutes(minutes: Minutes, ledger: Ledger) -> float:
    count = _number(minutes.of, ledger) or 0.0
    return round((minutes.base + minutes.each * count) * float(ledger.get(PACE)))


def _invariant(rule: InvariantRule) -> Invariant:
    states = {name: frozenset(values) for name, values in rule.never.states.items()}
    return Invariant(rule.id, rule.never.does, rule.never.of, states)


def texts(names: Iterable[str], ledger: Ledger, base: RuleBase) -> dict[str, StepText]:
    """Return the printed texts of steps, slots filled.

    Raises:
        InputError: If a slot or condition of a step cannot be worked out.
    """
    return {
        name: ledger.once("text", rule, partial(_text, rule, ledger, base))
        for name, rule in ((name, base.steps[name]) for name in names)
    }


def _text(rule: StepRule, ledger: Ledger, base: RuleBase) -> StepText:
    def filled(text: str) -> str:
        try:
            return fill(text, ledger.get, base)
        except InputError as error:
            raise InputError.of(
                base.place("steps", rule.id), str(error), "Correct the slot."
            ) from None

    lines = tuple(filled(line.say) for line in rule.lines if holds(line.when.condition, ledger))
    readings = tuple(
        _reading(reading, base, ledger)
        for reading in rule.readings
        if holds(reading.when.condition, ledger)
    )
    return StepText(
        id=rule.id,
        phase=base.phases[rule.phase].title,
        title=filled(rule.title),
        lines=lines,
        accept=filled(rule.accept),
        prevents=rule.prevents,
        because=rule.because,
        source=base.cite(rule.source),
        tools=tuple(base.tools[name].label for name in rule.tools),
        materials=tuple(
            base.materials[name].label
            for name in rule.materials
            if holds(base.materials[name].when.condition, ledger)
        ),
        hazards=tuple(
            name for name in rule.hazards if holds(base.hazards[name].when.condition, ledger)
        ),
        readings=readings,
        sign=rule.sign,
    )


def _reading(rule: ReadingRule, base: RuleBase, ledger: Ledger) -> Reading:
    low, high = (_limit(end, base, ledger) for end in (rule.low, rule.high))
    return Reading(rule.id, rule.label, rule.unit, low, high)


def _limit(end: float | str | None, base: RuleBase, ledger: Ledger) -> float | None:
    """Return a limit of a reading: the figure that the step prints, when it is a fact's."""
    value = _number(end, ledger)
    return rounded(base.shapes[end], value) if isinstance(end, str) and value is not None else value
