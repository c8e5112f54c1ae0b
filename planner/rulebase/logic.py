"""Tell by reasoning over ranges and options whether a condition can hold, or must.

A condition is multiplied out into terms, each a list of tests that must all hold; a term is
impossible where some fact has no value left. What cannot be reasoned about counts as possible.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import product
from math import inf
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import COMPARISONS, Condition, Group, Test
from planner.rulebase.model import FactShape
from planner.rulebase.values import NOT_KNOWN

#: Above so many terms a condition is taken as possible; no hand-written one comes near.
MOST_TERMS = 3000
OPPOSITE = {"above": "at_most", "at_least": "below", "below": "at_least", "at_most": "above",
            "is": "is_not", "is_not": "is"}  # fmt: skip


class Span(Struct, frozen=True):
    """The numbers from ``low`` to ``high``; an open end does not count itself."""

    low: float = -inf
    high: float = inf
    low_open: bool = False
    high_open: bool = False

    @property
    def empty(self) -> bool:
        """Whether no number is left."""
        return self.low > self.high or (
            self.low == self.high and (self.low_open or self.high_open)
        )


Domain = Span | frozenset[Any]
Term = tuple[Test, ...]


class Logic:
    """What conditions mean in one rule base.

    ``dead`` names options of decisions that can never win, by the fact that the decision gives.
    """

    def __init__(self, base: RuleBase, dead: dict[str, frozenset[str]] | None = None) -> None:
        self._base = base
        self._dead = dead or {}
        self._domains: dict[str, Domain | None] = {}

    def never(self, *conditions: Condition) -> str:
        """Return a fact for which nothing is left when all conditions hold, or an empty text."""
        terms = _terms(Group("all", conditions), _unknown, wanted=True)
        if terms is None:
            return ""
        blocked = [self._blocked(term) for term in terms]
        return blocked[0] if blocked and all(blocked) else ""

    def always(self, condition: Condition) -> bool:
        """Return whether a condition holds in every job."""
        if not (isinstance(condition, Test) or condition.parts):
            return True
        terms = _terms(condition, self._fails, wanted=False)
        return terms is not None and all(self._blocked(term) for term in terms)

    def _fails(self, test: Test) -> list[Term]:
        """What must hold for a test to fail; nothing that is known, if its fact need not apply."""
        opposite = _opposite(test) if self._applies(test.fact) else None
        return [(opposite,)] if opposite else [()]

    def dead_branch(self, condition: Condition, *around: Condition) -> tuple[Condition, str] | None:
        """Return an alternative inside the condition that can never hold, and the fact it fails on.

        ``around`` is what must hold besides.
        """
        for choice, rest in _choices(condition):
            for part in choice.parts:
                fact = self.never(part, *rest, *around)
                if fact:
                    return part, fact
        return None

    def _blocked(self, term: Term) -> str:
        """Return a fact that no value of fits the term, or an empty text."""
        left: dict[str, Domain] = {}
        for test in self._with_certain(term):
            domain = left.get(test.fact, self.domain(test.fact))
            if domain is None:
                continue
            left[test.fact] = self._narrowed(domain, test)
            if _is_empty(left[test.fact]):
                return test.fact
        return ""

    def _with_certain(self, term: Term) -> Iterator[Test]:
        """The tests of a term, and all that must hold because the facts they test apply."""
        waiting, seen = list(term), set(term)
        while waiting:
            test = waiting.pop(0)
            yield test
            for more in self._implied(test):
                if more not in seen:
                    seen.add(more)
                    waiting.append(more)

    def _implied(self, test: Test) -> Iterable[Test]:
        base, name = self._base, test.fact
        question = base.questions.get(name) or base.questions.get(name.rpartition(".")[0])
        if question:
            return _certain(question.when.condition)
        if name in base.flags and test.op == "is" and test.operand == (True,):
            return _certain(base.flags[name].when.condition)
        decision = next((one for one in base.decisions.values() if one.gives == name), None)
        return _certain(decision.when.condition) if decision else ()

    def _applies(self, name: str) -> bool:
        """Whether a fact has a value in every job."""
        if name in self._base.values or name in self._base.flags:
            return True
        question = self._base.questions.get(name)
        if question is None or question.unknown.assume == NOT_KNOWN:
            return False
        return self.always(question.when.condition)

    def domain(self, name: str) -> Domain | None:
        """Return the values that a fact can have; None where that is not known."""
        if name not in self._domains:
            self._domains[name] = self._domain(name)
        return self._domains[name]

    def _domain(self, name: str) -> Domain | None:
        value = self._base.values.get(name)
        if value is not None:
            return _constant(value.value)
        shape = self._base.shapes.get(name)
        if shape is None:
            return None
        if shape.options:
            return frozenset(shape.options) - self._dead.get(name, frozenset())
        return _declared(shape)

    def _narrowed(self, domain: Domain, test: Test) -> Domain:
        if test.op in COMPARISONS:
            return self._compared(domain, test) if isinstance(domain, Span) else domain
        if isinstance(domain, Span):
            return _among(domain, test.operand) if test.op == "is" else domain
        if test.op == "is":
            return domain & frozenset(test.operand)
        return domain - frozenset(test.operand) if test.op == "is_not" else domain

    def _compared(self, span: Span, test: Test) -> Span:
        bound = self.domain(test.operand) if isinstance(test.operand, str) else test.operand
        if isinstance(bound, int | float):
            bound = Span(bound, bound)
        if not isinstance(bound, Span):
            return span
        is_open = test.op in ("above", "below")
        if test.op in ("above", "at_least"):
            return _raised(span, bound.low, is_open=is_open or bound.low_open)
        return _lowered(span, bound.high, is_open=is_open or bound.high_open)


def _raised(span: Span, low: float, *, is_open: bool) -> Span:
    if low < span.low or (low == span.low and not is_open):
        return span
    return replace(span, low=low, low_open=is_open)


def _lowered(span: Span, high: float, *, is_open: bool) -> Span:
    if high > span.high or (high == span.high and not is_open):
        return span
    return replace(span, high=high, high_open=is_open)


def _among(span: Span, values: Iterable[Any]) -> Domain:
    fitting = frozenset(
        value
        for value in values
        if isinstance(value, int | float) and span.low <= value <= span.high
    )
    return Span(min(fitting), max(fitting)) if fitting else fitting


def _is_empty(domain: Domain) -> bool:
    return domain.empty if isinstance(domain, Span) else not domain


def _constant(value: Any) -> Domain:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return Span(value, value) if is_number else frozenset((value,))


def _declared(shape: FactShape) -> Domain | None:
    if shape.kind == "yes_no":
        return frozenset((True, False))
    if shape.kind in ("number", "integer"):
        low = -inf if shape.least is None else shape.least
        return Span(low, inf if shape.most is None else shape.most)
    return None


def _certain(condition: Condition) -> Iterator[Test]:
    """The tests that hold whenever the condition does."""
    if isinstance(condition, Test):
        yield condition
    elif condition.kind == "all" or (condition.kind == "any" and len(condition.parts) == 1):
        for part in condition.parts:
            yield from _certain(part)


def _choices(condition: Condition) -> Iterator[tuple[Group, tuple[Condition, ...]]]:
    """Each group of alternatives that must hold, with what must hold beside it."""
    if isinstance(condition, Test) or condition.kind == "none":
        return
    if condition.kind == "any":
        yield condition, ()
        return
    for part in condition.parts:
        rest = tuple(other for other in condition.parts if other is not part)
        for choice, more in _choices(part):
            yield choice, (*rest, *more)


#: What must hold, as terms, for a test to fail.
Opposites = Callable[[Test], list[Term]]


def _terms(condition: Condition, opposite: Opposites, *, wanted: bool) -> list[Term] | None:
    """Multiply a condition, or its opposite, out; None where that grows too large."""
    if isinstance(condition, Test):
        return [(condition,)] if wanted else opposite(condition)
    inner = wanted if condition.kind != "none" else not wanted
    parts = [_terms(part, opposite, wanted=inner) for part in condition.parts]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    if (condition.kind == "any") == wanted:
        return [term for part in known for term in part]
    return _multiplied(known)


def _multiplied(parts: list[list[Term]]) -> list[Term] | None:
    count = 1
    for part in parts:
        count *= len(part)
    if count > MOST_TERMS:
        return None
    return [tuple(test for term in chosen for test in term) for chosen in product(*parts)]


def _unknown(_test: Test) -> list[Term]:
    """A test that fails says nothing: the fact may have another value, or not apply at all."""
    return [()]


def _opposite(test: Test) -> Test | None:
    """The opposite of a test of a fact that has a value in every job."""
    if test.op == "empty":
        return replace(test, operand=not test.operand)
    opposite = OPPOSITE.get(test.op)
    return replace(test, op=opposite) if opposite else None
