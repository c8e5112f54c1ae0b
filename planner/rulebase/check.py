"""Check a loaded rule base: names, kinds, units, states, cases, and what needs what.

``check`` returns all faults at once; each names file, line, rule and cure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from typing import Any

from planner.errors import Fault, nearest
from planner.ledger import NA, Binding
from planner.rulebase import graph, implied, reach, tidy, units, walk
from planner.rulebase.base import RuleBase, slots, suggest
from planner.rulebase.conditions import ALWAYS, COMPARISONS, Test, facts_read, holds, tests
from planner.rulebase.model import (
    KINDS,
    FindingRule,
    Published,
    StateRule,
    StepRule,
    When,
)
from planner.rulebase.values import checked

#: Facts that the planner itself gives once the timetable stands.
LATE = "plan."

#: So many names are listed where one is unknown; nobody reads a hundred.
MOST_NAMED = 20


def check(base: RuleBase, bindings: Iterable[Binding]) -> tuple[Fault, ...]:
    """Return every fault of a rule base; an empty tuple means that it is sound."""
    bound = tuple(bindings)
    parts = (
        check_part(base, bound),
        _bindings(base, bound),
        implied.unimplied(base),
        graph.loops(base, bound),
        graph.unread(base, bound),
        reach.unreachable(base),
        tidy.idle(base, bound),
    )
    return tuple(dict.fromkeys(chain.from_iterable(parts)))


def check_part(base: RuleBase, bindings: Iterable[Binding]) -> tuple[Fault, ...]:
    """Return the faults that a rule has of itself, whatever other rules are missing."""
    parts = (
        _every_rule(base),
        _questions(base),
        _value_rules(base),
        _states(base),
        _invariants(base),
        _steps(base),
        _materials(base),
        _cases(base),
        units.wrong_units(base, bindings),
        tidy.gaps(base),
    )
    return tuple(dict.fromkeys(chain.from_iterable(parts)))


def _every_rule(base: RuleBase) -> Iterator[Fault]:
    for kind in KINDS:
        for name, rule in getattr(base, kind).items():
            where = base.place(kind, name)
            for part in walk.parts(rule):
                yield from _part(part, where, base)


def _part(part: When | Published | str, where: str, base: RuleBase) -> Iterator[Fault]:
    if isinstance(part, When):
        for test in tests(part.condition):
            yield from _test(test, where, base)
    elif isinstance(part, str):
        yield from _slots(part, where, base)
    elif part.id not in base.sources:
        cure = nearest(part.id, base.sources) or "Declare it under 'sources:'."
        yield Fault(where, f"unknown source '{part.id}'", cure)


def _slots(text: str, where: str, base: RuleBase) -> Iterator[Fault]:
    for name in slots(text):
        if name not in base.shapes:
            yield Fault(where, f"unknown fact '{name}' in a slot", suggest(name, base))


def _test(test: Test, where: str, base: RuleBase) -> Iterator[Fault]:
    names = [test.fact]
    if test.op in COMPARISONS and isinstance(test.operand, str):
        names.append(test.operand)
    for name in names:
        if name not in base.shapes:
            yield Fault(where, f"unknown fact '{name}' in `when`", suggest(name, base))
            return
        if name in base.questions and base.questions[name].unknown.span:
            cure = f"Write '{name}.low' or '{name}.high', whichever end hurts."
            yield Fault(where, f"'{name}' may be a range and cannot be tested as one value", cure)
    yield from _test_kind(test, where, base)


def _test_kind(test: Test, where: str, base: RuleBase) -> Iterator[Fault]:
    shape = base.shapes[test.fact]
    if test.op in COMPARISONS and shape.kind not in ("number", "integer"):
        yield Fault(where, f"'{test.op}' cannot test '{test.fact}', which is {shape.kind}", "")
    if test.op not in ("is", "is_not"):
        return
    for value in test.operand:
        if shape.options and value not in shape.options:
            cure = nearest(str(value), shape.options) or f"Options: {', '.join(shape.options)}."
            yield Fault(where, f"'{value}' is not an option of '{test.fact}'", cure)
        if shape.kind == "yes_no" and not isinstance(value, bool):
            yield Fault(where, f"'{test.fact}' is true or false, not '{value}'", "")


def _questions(base: RuleBase) -> Iterator[Fault]:
    for name, question in base.questions.items():
        where = base.place("questions", name)
        if question.section not in base.sections:
            yield _unknown(where, "section", question.section, base.sections)
        for fact in facts_read(question.when.condition):
            if fact not in base.questions:
                what = f"`when` reads '{fact}', which is no answer"
                yield Fault(where, what, "Whether a question matters depends on answers only.")
        if question.presets and question.presets not in base.tables:
            yield _unknown(where, "table in 'presets'", question.presets, base.tables)
        yield from _stand_in(question, where)


def _value_rules(base: RuleBase) -> Iterator[Fault]:
    for name, rule in base.values.items():
        try:
            checked(rule, rule.value)
        except ValueError as error:
            yield Fault(base.place("values", name), f"its value does not fit: {error}", "")


def _stand_in(question: Any, where: str) -> Iterator[Fault]:
    unknown = question.unknown
    value = unknown.suppose if unknown.suppose is not None else unknown.assume
    if value == "not known":
        return
    for one in unknown.span or (value,):
        try:
            checked(question, one)
        except ValueError as error:
            yield Fault(where, f"the value that stands in does not fit: {error}", "")


def _states(base: RuleBase) -> Iterator[Fault]:
    for name, state in base.states.items():
        where = base.place("states", name)
        values = [case.value for case in state.initial_if]
        values += [value for change in state.changes for value in (change.value, change.becomes)]
        for value in [*values, *(state.nights or ())]:
            if value not in state.values:
                yield _unknown(where, f"value of state '{name}'", value, state.values)
        yield from _numbers(where, (change.after_h for change in state.changes), base)


def _numbers(where: str, values: Iterable[Any], base: RuleBase) -> Iterator[Fault]:
    for value in values:
        if isinstance(value, str) and value not in base.shapes:
            yield Fault(where, f"unknown fact '{value}'", suggest(value, base))


def _allowed(where: str, states: Mapping[str, Iterable[str]], base: RuleBase) -> Iterator[Fault]:
    for name, values in states.items():
        state: StateRule | None = base.states.get(name)
        if state is None:
            yield _unknown(where, "state", name, base.states)
            continue
        for value in values:
            if value not in state.values:
                yield _unknown(where, f"value of state '{name}'", value, state.values)


def _invariants(base: RuleBase) -> Iterator[Fault]:
    known = {(act.act, act.of) for step in base.steps.values() for act in step.does}
    acts = {act for act, _ in known}
    for name, rule in base.invariants.items():
        where = base.place("invariants", name)
        yield from _allowed(where, rule.never.states, base)
        if rule.never.does and rule.never.does not in acts:
            yield _unknown(where, "act (no step does it)", rule.never.does, acts)
        elif rule.never.of and (rule.never.does, rule.never.of) not in known:
            yield Fault(where, f"no step '{rule.never.does}' of '{rule.never.of}'", "")


def _steps(base: RuleBase) -> Iterator[Fault]:
    lists = {"after": base.steps, "tools": base.tools, "materials": base.materials}
    for name, step in base.steps.items():
        where = base.place("steps", name)
        if step.phase not in base.phases:
            yield _unknown(where, "phase", step.phase, base.phases)
        for field, known in {**lists, "hazards": base.hazards}.items():
            for wanted in getattr(step, field):
                if wanted not in known:
                    yield _unknown(where, f"name in '{field}'", wanted, known)
        yield from _step_states(step, where, base)
        yield from _numbers(where, (step.minutes.of, *_bands(step)), base)


def _step_states(step: StepRule, where: str, base: RuleBase) -> Iterator[Fault]:
    yield from _allowed(where, step.needs, base)
    yield from _allowed(where, {name: (value,) for name, value in step.leaves.items()}, base)
    for more in (*step.needs_if, *step.leaves_if):
        yield from _allowed(where, more.states, base)
    left = {name: value for name, value in step.leaves.items() if name in base.states}
    if step.enabling and not left:
        yield Fault(where, "an enabling step leaves no state", "Say what it 'leaves'.")
    for name, value in left.items():
        if step.enabling and value in step.needs.get(name, ()):
            what = f"enables '{name}: {value}' but needs it already"
            yield Fault(where, what, "Remove the need.")


def _bands(step: StepRule) -> Iterator[Any]:
    for reading in step.readings:
        yield reading.low
        yield reading.high


def _materials(base: RuleBase) -> Iterator[Fault]:
    for name, rule in base.materials.items():
        where = base.place("materials", name)
        yield from _numbers(where, (rule.quantity, rule.mass_kg), base)
    for name, decision in base.decisions.items():
        if decision.wanted and decision.wanted not in base.questions:
            where = base.place("decisions", name)
            yield _unknown(where, "question in 'wanted'", decision.wanted, base.questions)


class _Given:
    """The facts of one case, with the named values of the rule base behind them."""

    def __init__(self, given: Mapping[str, Any], base: RuleBase) -> None:
        self._given, self._base = given, base

    def get(self, name: str) -> Any:
        """Return a given fact, a named value, or NA."""
        if name in self._given:
            return self._given[name]
        return self._base.values[name].value if name in self._base.values else NA


def _cases(base: RuleBase) -> Iterator[Fault]:
    for name, rule in base.findings.items():
        where = base.place("findings", name)
        outcomes = {case.applies for case in rule.cases}
        if outcomes != {True, False} and rule.when.condition != ALWAYS:
            yield Fault(where, "needs a case that applies and one that does not", "Add it.")
        yield from _run_cases(rule, where, base)


def _run_cases(rule: FindingRule, where: str, base: RuleBase) -> Iterator[Fault]:
    for case in rule.cases:
        for fact in case.given:
            if fact not in base.shapes:
                yield Fault(
                    where, f"case '{case.name}': unknown fact '{fact}'", suggest(fact, base)
                )
        said = "applies" if case.applies else "does not apply"
        try:
            is_so = holds(rule.when.condition, _Given(case.given, base)) is case.applies
        except TypeError:
            yield Fault(where, f"case '{case.name}' gives a fact what it cannot be", "Correct it.")
            continue
        if not is_so:
            yield Fault(where, f"case '{case.name}' says it {said}, but it is otherwise", "")


def _bindings(base: RuleBase, bindings: tuple[Binding, ...]) -> Iterator[Fault]:
    given: dict[str, Binding] = {}
    for binding in bindings:
        where = f"bindings: {getattr(binding.call, '__name__', binding.call)}"
        for name in binding.gives:
            if name not in base.facts:
                yield Fault(where, f"gives '{name}', which no rule declares", suggest(name, base))
            if name in given:
                yield Fault(where, f"gives '{name}', which another binding gives too", "")
            given[name] = binding
        yield from _takes(binding, where, base)
    for name in base.facts:
        if name not in given and not name.startswith(LATE):
            yield Fault(base.place("facts", name), "no calculation gives this fact", "Bind one.")


def _takes(binding: Binding, where: str, base: RuleBase) -> Iterator[Fault]:
    for taken in binding.takes.values():
        name = taken.removesuffix("?")
        if name.startswith("table."):
            if name.removeprefix("table.") not in base.tables:
                yield _unknown(where, "table", name.removeprefix("table."), base.tables)
        elif name not in base.shapes:
            yield Fault(where, f"takes unknown fact '{name}'", suggest(name, base))
        elif name in base.questions and base.questions[name].unknown.span:
            yield Fault(
                where, f"takes '{name}', which may be a range", f"Take {name}.low or .high."
            )


def _unknown(where: str, what: str, name: str, known: Iterable[str]) -> Fault:
    names = sorted(known)
    more = len(names) - MOST_NAMED
    rest = f" and {more} more; see: lidwork rules list" if more > 0 else ""
    listed = f"Known: {', '.join(names[:MOST_NAMED])}{rest}."
    return Fault(where, f"unknown {what} '{name}'", nearest(name, names) or listed)
