"""Find what can never come about: conditions, options, steps, and states that nothing leaves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.errors import Fault
from planner.rulebase import walk
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import ALWAYS, Condition, facts_read, say
from planner.rulebase.logic import Logic
from planner.rulebase.model import DecisionRule, Option, StepRule

#: Kinds whose conditions are looked into.
KINDS = ("questions", "flags", "decisions", "findings", "states", "invariants", "steps", "hazards",
         "materials")  # fmt: skip
OUTER = "when"
#: A note that every job prints is a reminder; any other rule that always applies is a slip.
NOTE = "note"


def unreachable(base: RuleBase) -> Iterator[Fault]:
    """Yield a fault for everything that no job can ever bring about."""
    dead = dict(_dead_options(base))
    yield from (fault for options in dead.values() for fault in options.values())
    names = {
        base.decisions[decision].gives: frozenset(options) for decision, options in dead.items()
    }
    logic = Logic(base, names)
    for kind in KINDS:
        for name, rule in getattr(base, kind).items():
            yield from _conditions(rule, base.place(kind, name), logic, base)
    yield from _unorderable(base)


def _conditions(rule: Any, where: str, logic: Logic, base: RuleBase) -> Iterator[Fault]:
    outer = rule.when.condition if hasattr(rule, OUTER) else ALWAYS
    if outer != ALWAYS and _known(outer, base):
        fact = logic.never(outer)
        if fact:
            yield _never(where, OUTER, fact, outer, base)
            return
        if getattr(rule, "severity", "") != NOTE and logic.always(outer):
            what = f"`when` always holds: {say(outer, base)}"
            yield Fault(where, what, "Remove it, or correct the limit that it tests.")
        yield from _dead_branch(where, OUTER, outer, ALWAYS, logic, base)
    for path, when in walk.whens(rule):
        if path != OUTER and when.condition != ALWAYS and _known(when.condition, base):
            fact = logic.never(outer, when.condition)
            if fact:
                yield _never(where, path, fact, when.condition, base)
            else:
                yield from _dead_branch(where, path, when.condition, outer, logic, base)


def _known(condition: Condition, base: RuleBase) -> bool:
    """Whether every fact that it reads is declared; if not, that is the fault to mend first."""
    return all(name in base.shapes for name in facts_read(condition))


def _never(where: str, path: str, fact: str, condition: Condition, base: RuleBase) -> Fault:
    what = f"`{path}` can never hold, for no value of '{fact}' is left: {say(condition, base)}"
    return Fault(where, what, "Correct it, or remove what it governs.")


def _dead_branch(
    where: str, path: str, condition: Condition, outer: Condition, logic: Logic, base: RuleBase
) -> Iterator[Fault]:
    dead = logic.dead_branch(condition, outer)
    if dead is not None:
        part, fact = dead
        what = f"in `{path}`, '{say(part, base)}' can never hold here, because of '{fact}'"
        yield Fault(where, what, "Correct or remove this alternative.")


def _dead_options(base: RuleBase) -> Iterator[tuple[str, Mapping[str, Fault]]]:
    """Yield for each decision its options that can never win, with the fault of each."""
    logic = Logic(base)
    for name, rule in base.decisions.items():
        found = {}
        for option in rule.options:
            reason = _loses(option, rule, logic, base)
            if reason:
                what = f"option '{option.id}' can never win: {reason}"
                found[option.id] = Fault(
                    base.place("decisions", name), what, "Mend its reasons or drop it."
                )
        yield name, found


def _loses(option: Option, rule: DecisionRule, logic: Logic, base: RuleBase) -> str:
    for veto in option.ruled_out:
        if _known(veto.when.condition, base) and logic.always(veto.when.condition):
            return f"it is always ruled out ({veto.says})"
    wish = base.questions.get(rule.wanted) if rule.wanted else None
    if wish and option.id in wish.options:
        return ""
    most = option.points + sum(max(reason.points, 0) for reason in option.reasons)
    for place, other in enumerate(rule.options):
        least = other.points + sum(min(reason.points, 0) for reason in other.reasons)
        first = place < rule.options.index(option)
        if other is not option and not other.ruled_out and (least, first) > (most, False):
            return f"'{other.id}' is never ruled out and always has more points"
    return ""


def _unorderable(base: RuleBase) -> Iterator[Fault]:
    """A step that needs a value of a state that no step, clock or beginning ever gives."""
    given = _given(base)
    for name, step in base.steps.items():
        for state, values in _needs(step):
            if state in base.states and not given[state] & frozenset(values):
                wanted = " or ".join(values)
                what = f"can never be done: nothing ever leaves '{state}: {wanted}'"
                yield Fault(
                    base.place("steps", name), what, "Let a step leave it, or correct the need."
                )


def _needs(step: StepRule) -> Iterator[tuple[str, tuple[str, ...]]]:
    yield from step.needs.items()
    for more in step.needs_if:
        yield from more.states.items()


def _given(base: RuleBase) -> dict[str, frozenset[str]]:
    """The values that each state can ever have."""
    given = {
        name: {
            next(iter(state.values)),
            *(case.value for case in state.initial_if),
            *(change.becomes for change in state.changes),
        }
        for name, state in base.states.items()
    }
    for step in base.steps.values():
        for left, value in step.leaves.items():
            given.setdefault(left, set()).add(value)
        for more in step.leaves_if:
            for left, values in more.states.items():
                given.setdefault(left, set()).update(values)
    return {name: frozenset(values) for name, values in given.items()}
