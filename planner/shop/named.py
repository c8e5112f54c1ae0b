"""What a name given to ``why`` can stand for: facts, rules, options, or what a pack prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from planner.errors import InputError, nearest
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.shop.placed import works_of

#: So many names are offered where words fit several.
MOST_OFFERED = 8


def option_ids(base: RuleBase, decision: str) -> tuple[str, ...]:
    """Return the options of a decision; none if there is no such decision."""
    rule = base.decisions.get(decision)
    return tuple(option.id for option in rule.options) if rule else ()


def known_names(base: RuleBase, kinds: Iterable[str]) -> Iterator[str]:
    """Yield every name: facts, rules of these kinds, options."""
    yield from base.shapes
    for kind in kinds:
        yield from getattr(base, kind)
    for decision in base.decisions:
        yield from option_ids(base, decision)


def near_name(base: RuleBase, kinds: Iterable[str], name: str) -> str:
    """Return ``Did you mean 'x'?`` for a name that nothing has, or an empty text.

    After a kind of rule or a decision, such as ``hazards/fall``, only what belongs to it is near.
    """
    kinds = tuple(kinds)
    kind, _, rest = name.partition("/")
    within = getattr(base, kind) if kind in kinds else option_ids(base, kind)
    if not rest or not within:
        return nearest(name, known_names(base, kinds))
    return nearest(f"{kind}/{rest}", (f"{kind}/{one}" for one in within))


def as_printed(plan: Plan, words: str) -> str | None:
    """Return the name of what a plan or pack prints so: a number of a step, a hazard's code, words.

    Raises:
        InputError: If the words fit several; it names them.
    """
    wanted = " ".join(words.split()).casefold()
    found = [name for name, texts in _printed(plan) if wanted in texts]
    if not found and len(wanted) > 3:
        found = [name for name, texts in _printed(plan) if any(wanted in text for text in texts)]
    found = list(dict.fromkeys(found))
    if len(found) > 1:
        more = ", …" if len(found) > MOST_OFFERED else "."
        cure = f"Name one: {', '.join(found[:MOST_OFFERED])}{more}"
        raise InputError.of("why", f"'{words[:60]}' fits several things in this plan", cure)
    return found[0] if found else None


def _printed(plan: Plan) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each name with the texts by which people know it, in small letters."""
    for name, *texts in (*_of_work(plan), *_of_the_rest(plan)):
        yield name, tuple(" ".join(text.split()).casefold() for text in texts)


def _of_work(plan: Plan) -> Iterator[tuple[str, ...]]:
    """Steps by title and by every number that they have."""
    works = [slot.move.task for slot in works_of(plan)]
    for task, step in plan.texts.items():
        numbers = (str(number) for number, work in enumerate(works, 1) if work == task)
        yield f"steps/{step.id}", step.title, *numbers


def _of_the_rest(plan: Plan) -> Iterator[tuple[str, ...]]:
    from planner.pack.parts.risk import codes  # noqa: PLC0415  - only where no name fitted

    code = codes(plan)
    yield from ((f"findings/{one.id}", one.text) for one in plan.findings)
    yield from ((f"hazards/{one.id}", one.title, code[one.id]) for one in plan.hazards)
    yield from ((f"materials/{one.id}", one.label) for one in plan.materials)
    yield from ((f"decisions/{one.id}", one.label) for one in plan.decisions)
    yield from ((fact.name, fact.label) for fact in plan.facts.values())
