"""Show rules to a person: listings, and one rule with where each part of it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from planner.errors import InputError, nearest
from planner.rulebase.base import RuleBase
from planner.rulebase.model import KINDS

#: What the command line lists besides the kinds of rule.
LISTS = ("layers", "departures", "answers")


def listing(base: RuleBase, kind: str) -> Iterator[str]:
    """Yield one line a rule: id, label, unit where there is one, and place.

    ``facts`` lists every name that conditions and slots may use, whoever gives it; ``layers``,
    ``departures`` and ``answers`` list what shops have laid on top.

    Raises:
        InputError: If there is no such kind of rule.
    """
    if kind == "facts":
        for name, shape in sorted(base.shapes.items()):
            unit = f" [{shape.unit}]" if shape.unit else f" ({shape.kind})"
            yield f"{name}{unit}: {shape.label}"
    elif kind in LISTS:
        yield from _laid(base, kind)
    elif kind not in KINDS:
        known = (*KINDS, *LISTS)
        raise InputError.of(kind, "no such kind of rule", nearest(kind, known) or ", ".join(known))
    else:
        for name, rule in getattr(base, kind).items():
            place = base.places.get((kind, name), "")
            mark = "  [changed]" if base.departures_of(kind, name) else ""
            yield f"{name}: {_label(rule)}  ({place}){mark}"


def _laid(base: RuleBase, kind: str) -> Iterator[str]:
    if kind == "layers":
        for layer in base.layers:
            approved = f", approved by {layer.approved_by}" if layer.approved_by else ""
            date = f" of {layer.date}" if layer.date else ""
            yield f"{layer.name} {layer.version}{date}{approved}  ({layer.digest})"
    elif kind == "answers":
        for name, value in base.fixed.items():
            yield f"{name}: {base.label(name)} is {base.text(name, value)}"
    else:
        for one in base.departures:
            yield f"{one.rule}: {one.what}. {one.because}  ({one.layer})"


def _label(rule: Any) -> str:
    for field in ("title", "label", "says", "because"):
        text = getattr(rule, field, "")
        if text:
            return " ".join(str(text).split())
    return ""


def showing(base: RuleBase, name: str) -> Iterator[str]:
    """Yield a rule in full: its layer, its place, each entry, and which layer changed what.

    ``name`` is an id or a fact's name; ``kind/id`` where several kinds know the id.

    Raises:
        InputError: If no rule has that name.
    """
    kind, slash, rest = name.partition("/")
    found = [(kind, rest)] if slash and rest in _held(base, kind) else _all(base, name)
    for number, (one, rule) in enumerate(found):
        yield from ("",) if number else ()
        yield from _shown(base, one, rule)
    gone = [one for one in base.departures if one.rule.endswith(f"/{name}") or one.rule == name]
    if not found and gone:
        yield from (f"{one.rule}: {one.what} by {one.layer}. {one.because}" for one in gone)
    elif not found:
        known = _held(base, kind) or [rule for kind in KINDS for rule in getattr(base, kind)]
        cure = nearest(rest or name, known) or "List the names with: lidwork rules list steps"
        raise InputError.of(name, "no rule has that name", cure)


def _held(base: RuleBase, kind: str) -> Any:
    return getattr(base, kind) if kind in KINDS else {}


def _all(base: RuleBase, name: str) -> list[tuple[str, str]]:
    return [(kind, name) for kind in KINDS if name in getattr(base, kind)]


def _shown(base: RuleBase, kind: str, name: str) -> Iterator[str]:
    rule = getattr(base, kind)[name]
    departures = base.departures_of(kind, name)
    yield f"{kind}/{name}: {_label(rule)}"
    yield f"  from {base.layer_of(kind, name)}, {base.places.get((kind, name), 'no file')}"
    if getattr(rule, "locked", False):
        yield "  locked: a layer may add to it, never weaken or withdraw it"
    for one in departures:
        yield f"  {one.what}, by {one.layer}: {one.because}"
    changed = {entry: one.layer for one in departures for entry in one.entries}
    for entry, value in rule.model_dump(mode="json", exclude_unset=True).items():
        mark = f"  # {changed[entry]}" if entry in changed else ""
        yield from _entry(entry, value, mark)
    if kind == "questions" and name in base.fixed:
        yield f"  not asked: the answer is {base.text(name, base.fixed[name])}"


def _entry(entry: str, value: Any, mark: str) -> Iterator[str]:
    """An entry as it would stand in a file."""
    import yaml  # noqa: PLC0415  - only this command writes YAML so

    text = yaml.safe_dump({entry: value}, allow_unicode=True, sort_keys=False, width=96)
    first, *rest = text.rstrip("\n").split("\n")
    yield f"  {first}{mark}"
    yield from (f"  {line}" for line in rest)
