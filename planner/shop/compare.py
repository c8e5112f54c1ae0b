"""Two plans side by side: what changes, and which answers or rules cause it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher

from planner.plan.model import DecisionResult, FactResult, Plan


@dataclass(frozen=True)
class Difference:
    """One thing that differs.

    Attributes:
        what: ``answer``, ``decision``, ``step``, ``finding``, ``figure`` or ``rules``.
        name: Its id, or the fact's name.
        label: Its wording.
        before: What it is in the first plan; empty where it is missing.
        after: What it is in the second.
        causes: The answers that differ and that it rests on.
    """

    what: str
    name: str
    label: str
    before: str
    after: str
    causes: tuple[str, ...] = ()


def compare(first: Plan, second: Plan) -> tuple[Difference, ...]:
    """Return every difference, answers first, in a fixed order."""
    answers = tuple(_answers(first, second))
    changed = frozenset(one.name for one in answers)
    return (
        *_layers(first, second),
        *answers,
        *_decisions(first, second, changed),
        *_steps(first, second),
        *_findings(first, second),
        *_figures(first, second, changed),
    )


def _layers(first: Plan, second: Plan) -> Iterator[Difference]:
    before = " + ".join(f"{one.name} {one.version} ({one.digest})" for one in first.layers)
    after = " + ".join(f"{one.name} {one.version} ({one.digest})" for one in second.layers)
    if before != after:
        yield Difference("rules", "layers", "rules that made the plan", before, after)


def _given(fact: FactResult | None) -> bool:
    return fact is not None and fact.origin in ("answered", "assumed", "supposed")


def _text(fact: FactResult | None) -> str:
    if fact is None:
        return ""
    return f"{fact.text} ({fact.origin})" if fact.origin in ("assumed", "supposed") else fact.text


def _answers(first: Plan, second: Plan) -> Iterator[Difference]:
    for name, before, after in _pairs(first.facts, second.facts):
        if _given(before) or _given(after):
            yield _difference("answer", name, before, after, ())


def _figures(first: Plan, second: Plan, changed: frozenset[str]) -> Iterator[Difference]:
    for name, before, after in _pairs(first.facts, second.facts):
        if not (_given(before) or _given(after)) and not _decided(before, after):
            causes = _causes(name, (first, second), changed)
            yield _difference("figure", name, before, after, causes)


def _decided(*facts: FactResult | None) -> bool:
    return any(fact is not None and fact.origin == "decided" for fact in facts)


def _pairs(
    first: Mapping[str, FactResult], second: Mapping[str, FactResult]
) -> Iterator[tuple[str, FactResult | None, FactResult | None]]:
    """Yield the facts whose value or standing differs; documents need not hold the same set."""
    for name in sorted({*first, *second}):
        before, after = first.get(name), second.get(name)
        same = before and after and (before.value, _text(before)) == (after.value, _text(after))
        if not same:
            yield name, before, after


def _difference(
    what: str,
    name: str,
    before: FactResult | None,
    after: FactResult | None,
    causes: tuple[str, ...],
) -> Difference:
    label = (before or after).label  # type: ignore[union-attr]
    return Difference(what, name, label, _text(before), _text(after), causes)


def _causes(name: str, plans: Iterable[Plan], changed: frozenset[str]) -> tuple[str, ...]:
    """Walk the recorded reads down to the answers that differ."""
    found: set[str] = set()
    for plan in plans:
        seen: set[str] = set()
        waiting = [name]
        while waiting:
            one = waiting.pop()
            if one in seen or one not in plan.facts:
                continue
            seen.add(one)
            waiting.extend(plan.facts[one].reads)
        found |= seen & changed
    return tuple(sorted(found - {name}))


def _decisions(first: Plan, second: Plan, changed: frozenset[str]) -> Iterator[Difference]:
    before = {one.id: one for one in first.decisions}
    after = {one.id: one for one in second.decisions}
    for name in sorted({*before, *after}):
        one, other = before.get(name), after.get(name)
        if _chosen(one) != _chosen(other):
            named = one or other
            assert named is not None  # noqa: S101  - the name came from one of them
            causes = _causes(named.gives, (first, second), changed)
            yield Difference("decision", name, named.label, _chosen(one), _chosen(other), causes)


def _chosen(decision: DecisionResult | None) -> str:
    if decision is None:
        return ""
    return next((o.label for o in decision.options if o.id == decision.chosen), "none left")


def _steps(first: Plan, second: Plan) -> Iterator[Difference]:
    before, after = _places(first), _places(second)
    for name in sorted({*before, *after}, key=lambda one: (before.get(one, after.get(one)), one)):
        old, new = before.get(name), after.get(name)
        title = (first if old else second).texts[name].title
        if old is None or new is None:
            yield Difference("step", name, title, _place(old), _place(new))
    kept = [name for name in before if name in after]
    moved = _moved(kept, sorted(kept, key=lambda one: after[one]))
    for name in moved:
        title = first.texts[name].title
        yield Difference("step", name, title, _place(before[name]), _place(after[name]))


def _places(plan: Plan) -> dict[str, int]:
    """The first place of each step in the order of work, counted from 1."""
    places: dict[str, int] = {}
    works = [slot.move.task for slot in plan.timetable if slot.move.kind != "wait"]
    for number, task in enumerate(works, 1):
        places.setdefault(task, number)
    return places


def _place(number: int | None) -> str:
    return "" if number is None else f"number {number}"


def _moved(before: list[str], after: list[str]) -> list[str]:
    """The steps outside the longest run that both orders have in common."""
    matcher = SequenceMatcher(a=before, b=after, autojunk=False)
    kept = {
        name for block in matcher.get_matching_blocks() for name in before[block.a :][: block.size]
    }
    return [name for name in before if name not in kept]


def _findings(first: Plan, second: Plan) -> Iterator[Difference]:
    before = {one.id: one for one in first.findings}
    after = {one.id: one for one in second.findings}
    for name in sorted({*before, *after}):
        one, other = before.get(name), after.get(name)
        if (one and one.text) != (other and other.text):
            severity = (one or other).severity  # type: ignore[union-attr]
            yield Difference(
                "finding", name, severity, one.text if one else "", other.text if other else ""
            )
