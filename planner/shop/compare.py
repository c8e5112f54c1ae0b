"""Two plans side by side: what changes, and which answers or rules cause it.

Plans are compared as plan files, so a plan made long ago can stand beside one made now.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from msgspec import Struct

from planner.rulebase import walk
from planner.rulebase.base import RuleBase, slots
from planner.rulebase.conditions import facts_read
from planner.rulebase.model import When
from planner.shop.planfile import (
    GIVEN,
    PlanFile,
    chosen,
    layers_of,
    moved,
    place,
    places,
    said,
    standing,
    titles,
    words,
)

#: Facts that the finished timetable gives.
LATE = "plan."
#: Why a step stands elsewhere, or a figure of the whole work differs, if not by its own rule.
AROUND = "other steps or times in the work around it"


class Difference(Struct, frozen=True):
    """One thing that differs.

    Attributes:
        what: ``verdict``, ``rules``, ``answer``, ``decision``, ``step``, ``finding``,
            ``hazard``, ``material`` or ``figure``.
        name: Its id, or the fact's name.
        label: Its wording.
        before: What it is in the first plan; empty where it is missing.
        after: What it is in the second.
        causes: The answers that differ and that it rests on, and the rules that a layer changed.
    """

    what: str
    name: str
    label: str
    before: str
    after: str
    causes: tuple[str, ...] = ()


def compare(
    first: PlanFile, second: PlanFile, before: RuleBase, after: RuleBase
) -> tuple[Difference, ...]:
    """Return every difference, answers first, in a fixed order.

    Args:
        first: A plan as plain data, as ``plan.json`` holds it.
        second: The other plan.
        before: The rules of the first plan, or the nearest there are: for labels and causes.
        after: The rules of the second.
    """
    return tuple(_Pair(first, second, before, after).differences())


class _Pair:
    """Two plans and the rules that explain them."""

    def __init__(
        self, first: PlanFile, second: PlanFile, before: RuleBase, after: RuleBase
    ) -> None:
        self.plans, self.bases = (first, second), (before, after)
        self.facts = (first["facts"], second["facts"])
        self.changed: frozenset[str] = frozenset()
        self.unlike = frozenset(self._unlike())

    def differences(self) -> Iterator[Difference]:
        """Yield every difference."""
        yield from self._verdict()
        yield from self._rules()
        answers = tuple(self._answers())
        self.changed = frozenset(one.name for one in answers)
        yield from answers
        yield from self._decisions()
        yield from self._steps()
        yield from self._texts("finding", "findings", "text", self._finding_causes)
        yield from self._texts("hazard", "hazards", "title", self._work_causes("hazards"))
        yield from self._texts("material", "materials", "spec", self._work_causes("materials"))
        yield from self._figures()

    def _verdict(self) -> Iterator[Difference]:
        before, after = (plan["verdict"]["state"] for plan in self.plans)
        if before != after:
            yield Difference("verdict", "verdict", "verdict", words(before), words(after))

    def _rules(self) -> Iterator[Difference]:
        before, after = (layers_of(plan) for plan in self.plans)
        if before != after:
            yield Difference("rules", "layers", "rules that made the plan", before, after)

    def _label(self, name: str) -> str:
        return next((b.shapes[name].label for b in self.bases if name in b.shapes), name)

    def _text(self, side: int, name: str) -> str:
        fact = self.facts[side].get(name)
        if fact is None:
            return ""
        base = self.bases[side] if name in self.bases[side].shapes else self.bases[1 - side]
        text = base.text(name, fact["value"])
        return f"{text} ({fact['origin']})" if fact["origin"] in GIVEN[1:] else text

    def _unlike(self) -> Iterator[str]:
        """The facts whose value or standing differs."""
        for name in {*self.facts[0], *self.facts[1]}:
            one, other = (facts.get(name) for facts in self.facts)
            if standing(one) != standing(other):
                yield name

    def _answers(self) -> Iterator[Difference]:
        for name in sorted(self.unlike):
            if self._is_given(name):
                yield self._difference("answer", name, self._told("answers", name))

    def _figures(self) -> Iterator[Difference]:
        decided = {name for plan in self.plans for name in plan["decisions"]}
        for name in sorted(self.unlike):
            if not self._is_given(name) and name not in decided:
                causes = self._causes((name,)) or self._of_rule("values", name)
                late = (AROUND,) if name.startswith(LATE) else ()
                found = self._difference("figure", name, causes or late)
                if found.before != found.after:  # what prints the same is the same to a fitter
                    yield found

    def _is_given(self, name: str) -> bool:
        return any(facts[name]["origin"] in GIVEN for facts in self.facts if name in facts)

    def _difference(self, what: str, name: str, causes: tuple[str, ...]) -> Difference:
        before, after = self._text(0, name), self._text(1, name)
        return Difference(what, name, self._label(name), before, after, causes)

    def _causes(self, names: Iterable[str]) -> tuple[str, ...]:
        """Walk the recorded reads down to the answers and named values that differ."""
        found: set[str] = set()
        names = set(names)
        for facts in self.facts:
            seen: set[str] = set()
            waiting = list(names)
            while waiting:
                one = waiting.pop()
                if one not in seen and one in facts:
                    seen.add(one)
                    waiting.extend(facts[one]["reads"])
            found |= seen
        rules = (cause for name in sorted(found) for cause in self._of_rule("values", name))
        return (*sorted((found & self.changed) - names), *rules)

    def _told(self, kind: str, name: str) -> tuple[str, ...]:
        """What layers say of a rule or answer that they changed for only one of the plans."""
        one, other = (
            {f"{d.what}, by {d.layer}: {d.because}" for d in base.departures_of(kind, name)}
            for base in self.bases
        )
        return tuple(f"{kind}/{name} {text}" for text in sorted(one ^ other))

    def _of_rule(self, kind: str, name: str) -> tuple[str, ...]:
        """What layers say of a rule, or which layer's own it is where one plan alone has it."""
        told = self._told(kind, name)
        holders = [base for base in self.bases if name in getattr(base, kind)]
        if told or len(holders) != 1:
            return told
        return (f"{kind}/{name} is a rule of {holders[0].layer_of(kind, name)}",)

    def _decisions(self) -> Iterator[Difference]:
        one, other = (plan["decisions"] for plan in self.plans)
        for gives in sorted({*one, *other}):
            before, after = chosen(one.get(gives)), chosen(other.get(gives))
            if before != after:
                causes = (*self._causes((gives,)), *self._of_rule("decisions", self._id(gives)))
                yield Difference("decision", gives, self._label(gives),
                                 self._option(gives, before), self._option(gives, after),
                                 causes)  # fmt: skip

    def _id(self, gives: str) -> str:
        rules = (rule for base in self.bases for rule in base.decisions.values())
        return next((rule.id for rule in rules if rule.gives == gives), gives)

    def _option(self, gives: str, option: str | None) -> str:
        if option is None:
            return ""
        shapes = (base.shapes[gives] for base in self.bases if gives in base.shapes)
        labels = (shape.options[option] for shape in shapes if option in shape.options)
        return next(labels, option or "none left")

    def _steps(self) -> Iterator[Difference]:
        before, after = (places(plan) for plan in self.plans)
        first = {**after, **before}
        for name in sorted(first, key=lambda one: (first[one], one)):
            if name not in before or name not in after:
                yield self._step(name, before.get(name), after.get(name))
        kept = [name for name in before if name in after]
        for name in moved(kept, sorted(kept, key=lambda one: after[one])):
            yield self._step(name, before[name], after[name])

    def _step(self, name: str, before: int | None, after: int | None) -> Difference:
        title = next(found[name] for found in map(titles, self.plans) if name in found)
        causes = self._work_causes("steps")(name)
        return Difference("step", name, title, place(before), place(after), causes)

    def _texts(
        self, what: str, part: str, field: str, causes: Callable[[str], tuple[str, ...]]
    ) -> Iterator[Difference]:
        one, other = ({item["id"]: item for item in plan.get(part, ())} for plan in self.plans)
        for name in sorted({*one, *other}):
            before, after = said(one.get(name), field), said(other.get(name), field)
            if before != after:
                item = one.get(name) or other[name]
                label = item.get("label") or item.get("title") or name
                yield Difference(what, name, label, before, after, causes(name))

    def _finding_causes(self, name: str) -> tuple[str, ...]:
        decision = name.removesuffix("-wish").removesuffix("-none-left")
        gives = [b.decisions[decision].gives for b in self.bases if decision in b.decisions]
        return (*self._rule_causes("findings")(name), *self._causes(gives))

    def _rule_causes(self, kind: str) -> Callable[[str], tuple[str, ...]]:
        def causes(name: str) -> tuple[str, ...]:
            rules = [rule for base in self.bases if (rule := getattr(base, kind).get(name))]
            read = {fact for rule in rules for fact in _reads(rule)}
            users = [step for base in self.bases for step in base.steps.values()
                     if name in getattr(step, kind, ())]  # fmt: skip
            read.update(fact for step in users for fact in facts_read(step.when.condition))
            return tuple(dict.fromkeys((*self._within(read), *self._of_rule(kind, name))))

        return causes

    def _work_causes(self, kind: str) -> Callable[[str], tuple[str, ...]]:
        """Causes of what follows the work: if not its own rule, then the work around it."""
        causes = self._rule_causes(kind)
        return lambda name: causes(name) or (AROUND,)

    def _within(self, read: Iterable[str]) -> tuple[str, ...]:
        """The causes of those facts that differ, an answer that differs being its own."""
        names = self.unlike.intersection(read)
        return (*sorted(names & self.changed), *self._causes(names - self.changed))


def _reads(rule: Any) -> Iterator[str]:
    """Every fact that a rule tests, prints or counts by."""
    for part in walk.parts(rule):
        if isinstance(part, When):
            yield from facts_read(part.condition)
        elif isinstance(part, str):
            yield from slots(part)
    yield from walk.named_numbers(rule)
