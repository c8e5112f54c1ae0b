"""What reads what across rules and calculations: loops, and answers that nobody reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from planner.errors import Fault
from planner.ledger import Binding
from planner.rulebase import walk
from planner.rulebase.base import RuleBase, slots
from planner.rulebase.conditions import facts_read
from planner.rulebase.model import When


def loops(base: RuleBase, bindings: Iterable[Binding]) -> Iterator[Fault]:
    """Yield a fault for each loop among facts, and among the ``after`` links of steps."""
    facts = _fact_links(base, bindings)
    for loop in _find_loops(facts):
        yield Fault("", f"these facts need each other: {' -> '.join(loop)}", "Break one link.")
    steps = {name: step.after for name, step in base.steps.items()}
    for loop in _find_loops(steps):
        where = base.place("steps", loop[0])
        yield Fault(where, f"steps wait for each other: {' after '.join(loop)}", "Remove one.")


def _fact_links(base: RuleBase, bindings: Iterable[Binding]) -> dict[str, tuple[str, ...]]:
    links: dict[str, tuple[str, ...]] = {
        name: tuple(facts_read(question.when.condition))
        for name, question in base.questions.items()
    }
    for binding in bindings:
        reads = tuple(name.removesuffix("?") for name in binding.takes.values())
        links.update(dict.fromkeys(binding.gives, reads))
    for flag in base.flags.values():
        links[flag.fact] = tuple(_reads(flag))
    for rule in base.decisions.values():
        links[rule.gives] = (*((rule.wanted,) if rule.wanted else ()), *_reads(rule))
    return links


def _reads(rule: Any) -> Iterator[str]:
    """Yield every fact that a rule's conditions and slots read."""
    for part in walk.parts(rule):
        if isinstance(part, When):
            yield from facts_read(part.condition)
        elif isinstance(part, str):
            yield from slots(part)


def _find_loops(links: Mapping[str, Iterable[str]]) -> Iterator[tuple[str, ...]]:
    """Yield one loop for each knot, by depth-first walk without recursion."""
    done: set[str] = set()
    for start in sorted(links):
        trail: list[tuple[str, Iterator[str]]] = []
        if start not in done:
            trail.append((start, iter(links[start])))
        while trail:
            name, rest = trail[-1]
            following = next((one for one in rest if one in links and one not in done), None)
            names = [step for step, _ in trail]
            if following is None:
                done.add(name)
                trail.pop()
            elif following in names:
                yield (*names[names.index(following) :], following)
                done.add(following)
            else:
                trail.append((following, iter(links[following])))


def unread(base: RuleBase, bindings: Iterable[Binding]) -> Iterator[Fault]:
    """Yield a fault for each question, named value and flag that nothing reads.

    Under a layer a value that fell idle is no fault; a question would still be asked.
    """
    read = {name.removesuffix("?") for binding in bindings for name in binding.takes.values()}
    for kind in (
        "questions",
        "flags",
        "decisions",
        "findings",
        "states",
        "invariants",
        "steps",
        "hazards",
        "materials",
    ):
        for rule in getattr(base, kind).values():
            read.update(walk.named_numbers(rule))
            read.update(_reads(rule))
    read.update(rule.wanted for rule in base.decisions.values() if rule.wanted)
    for name in base.questions:
        ends = (name, f"{name}.low", f"{name}.high")
        if not read.intersection(ends) and not name.startswith("job."):
            yield Fault(
                base.place("questions", name), "nothing reads this answer", "Use or drop it."
            )
    for kind in ("values", "flags"):
        for name in getattr(base, kind):
            is_ours = len(base.layers) == 1 or (kind, name) in base.added
            if is_ours and name not in read:
                what = f"nothing reads this {kind[:-1]}"
                yield Fault(base.place(kind, name), what, "Use or drop it.")
