"""The loaded rule base: every kind of rule by id, where each stands, and how facts are worded."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cached_property, lru_cache
from typing import Any

from msgspec import Struct, field

from planner.errors import nearest
from planner.ledger import Inapplicable
from planner.rounding import down, up
from planner.rulebase.model import (
    BaseRule,
    DecisionRule,
    FactRule,
    FactShape,
    FindingRule,
    FlagRule,
    HazardRule,
    InvariantRule,
    MaterialRule,
    PhaseRule,
    Published,
    Question,
    SectionRule,
    SourceRef,
    SourceRule,
    StateRule,
    StepRule,
    TableRule,
    ToolRule,
    ValueRule,
)

#: Answers that stand for figures given elsewhere, as they are printed.
IN_WORDS = {"by_position": "by its position", "by_values": "by figures given"}
SLOT = re.compile(r"\{([^{}]*)\}")


class LayerId(Struct, frozen=True):
    """One layer of rules and the digest of its files."""

    name: str
    version: str
    digest: str
    date: str = ""
    approved_by: str = ""


class House(Struct, frozen=True):
    """What a shop's layer puts on its packs.

    Attributes:
        logo: The picture as a data URI; empty if there is none.
        sign_off: Who signs the finished work, one line each.
        currency: Sign or code of the prices.
        templates: Text of each template that the shop words itself, by the name that it replaces.
    """

    logo: str = ""
    sign_off: tuple[str, ...] = ()
    currency: str = ""
    templates: Mapping[str, str] = field(default_factory=dict)


class Departure(Struct, frozen=True):
    """Where a layer departs from the rules below it: what, and the layer's own reason.

    ``rule`` is kind and id, such as ``steps/wash-roof``; ``answers/…`` for an answer it gives.
    ``entries`` names the entries of the rule that it changed.
    """

    layer: str
    rule: str
    what: str
    because: str
    entries: tuple[str, ...] = ()


class RuleBase(Struct, frozen=True, dict=True):
    """All rules, in the order of the files and lists that hold them.

    ``places`` maps ``(kind, id)`` to ``file:line``. ``fixed`` holds answers that a shop's layer
    gives for every job; ``departures`` is what the layers changed of the rules below them;
    ``added`` names the layer that added a rule to those below.
    """

    base: BaseRule
    sources: Mapping[str, SourceRule] = field(default_factory=dict)
    sections: Mapping[str, SectionRule] = field(default_factory=dict)
    phases: Mapping[str, PhaseRule] = field(default_factory=dict)
    facts: Mapping[str, FactRule] = field(default_factory=dict)
    values: Mapping[str, ValueRule] = field(default_factory=dict)
    flags: Mapping[str, FlagRule] = field(default_factory=dict)
    tables: Mapping[str, TableRule] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    decisions: Mapping[str, DecisionRule] = field(default_factory=dict)
    findings: Mapping[str, FindingRule] = field(default_factory=dict)
    states: Mapping[str, StateRule] = field(default_factory=dict)
    invariants: Mapping[str, InvariantRule] = field(default_factory=dict)
    steps: Mapping[str, StepRule] = field(default_factory=dict)
    hazards: Mapping[str, HazardRule] = field(default_factory=dict)
    materials: Mapping[str, MaterialRule] = field(default_factory=dict)
    tools: Mapping[str, ToolRule] = field(default_factory=dict)
    places: Mapping[tuple[str, str], str] = field(default_factory=dict)
    layers: tuple[LayerId, ...] = ()
    fixed: Mapping[str, Any] = field(default_factory=dict)
    departures: tuple[Departure, ...] = ()
    added: Mapping[tuple[str, str], str] = field(default_factory=dict)
    house: House = House()

    @cached_property
    def shapes(self) -> Mapping[str, FactShape]:
        """The declared shape of every fact, by name."""
        shapes: dict[str, FactShape] = {**self.questions, **self.facts, **self.values}
        for question in self.questions.values():
            if question.unknown.span:
                for end in ("low", "high"):
                    name = f"{question.fact}.{end}"
                    label = f"{question.label}, {end} end"
                    shapes[name] = question.model_copy(update={"fact": name, "label": label})
        shapes.update({name: flag.shape for name, flag in self.flags.items()})
        for decision in self.decisions.values():
            shapes[decision.gives] = _decided_shape(decision)
        return shapes

    @cached_property
    def fact_names(self) -> tuple[str, ...]:
        """The names of all facts, sorted."""
        return tuple(sorted(self.shapes))

    def layer_of(self, kind: str, rule: str) -> str:
        """Return the name of the layer that a rule comes from."""
        return self.added.get((kind, rule), self.layers[0].name if self.layers else "")

    def departures_of(self, kind: str, rule: str) -> tuple[Departure, ...]:
        """Return what layers changed of a rule, the lowest layer first."""
        return tuple(one for one in self.departures if one.rule == f"{kind}/{rule}")

    def place(self, kind: str, rule: str) -> str:
        """Return where a rule stands, as ``file:line: id``."""
        return f"{self.places.get((kind, rule), kind)}: {rule}"

    def label(self, name: str) -> str:
        """Return a fact's label, or its name where none is declared."""
        shape = self.shapes.get(name)
        return shape.label if shape else name

    def text(self, name: str, value: Any, *, unit: bool = True) -> str:
        """Return a value as it is printed, with the fact's unit and precision."""
        shape = self.shapes.get(name)
        return worded(shape, value, unit=unit) if shape else str(value)

    def cite(self, source: SourceRef) -> str:
        """Return a source as it is printed behind a rule or figure."""
        if not isinstance(source, Published):
            return {"common practice": "common practice, no source"}.get(source, source)
        named = self.sources.get(source.id)
        title = named.title if named else source.id
        if named and not named.title.endswith(named.edition):
            title += f", {named.edition}"
        mark = " (from memory: confirm before use)" if source.read == "from memory" else ""
        return f"{title}{', ' + source.at if source.at else ''}{mark}"


def _decided_shape(decision: DecisionRule) -> FactShape:
    options = {option.id: option.label for option in decision.options}
    return FactShape(fact=decision.gives, label=decision.label, kind="choice", options=options)


def worded(shape: FactShape, value: Any, *, unit: bool = True) -> str:
    """Return a value in words: ``12.4 kg``, ``yes``, an option's label, or a dash."""
    if value is None or isinstance(value, Inapplicable):
        return "—"
    if shape.options:
        return shape.options.get(str(value), str(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        number = f"{rounded(shape, value):.{shape.precision}f}".replace("-", "\N{MINUS SIGN}")
        return f"{number}{_unit(shape.unit)}" if unit else number
    if isinstance(value, list | tuple):
        return _listed(value)
    return IN_WORDS.get(str(value), str(value))


def rounded(shape: FactShape, value: float) -> float:
    """Return a number as it is printed, with the fact's precision and to its safe side."""
    if shape.rounded == "nearest":
        return round(value, shape.precision)
    return (up if shape.rounded == "up" else down)(value, shape.precision)


def _unit(unit: str) -> str:
    if not unit:
        return ""
    return unit if unit in ("%", "°") else f"\N{NO-BREAK SPACE}{unit}"


def _listed(values: list[Any] | tuple[Any, ...]) -> str:
    if not values:
        return "none"
    names = [
        str(item.get("name", "")) if isinstance(item, Mapping) else str(item) for item in values
    ]
    return ", ".join(name for name in names if name) or f"{len(values)} entries"


def slots(text: str) -> list[str]:
    """Return the fact names in a text's slots."""
    return [found.partition(":")[0] for found in SLOT.findall(text)]


def fill(text: str, get: Callable[[str], Any], base: RuleBase) -> str:
    """Fill a text's slots with facts as they are printed.

    ``get`` returns a fact's value; reads are recorded by the ledger behind it.
    """
    if "{" not in text:
        return text
    parts = _parts(text)
    return "".join(
        part if name is None else base.text(name, get(name), unit=part != "bare")
        for name, part in parts
    )


@lru_cache(maxsize=5000)
def _parts(text: str) -> tuple[tuple[str | None, str], ...]:
    """Return a text cut at its slots: a fact and how it is printed, or None and plain words."""
    cut = SLOT.split(text)
    plain = [(None, words) for words in cut[::2]]
    named = [(name, how) for name, _, how in (slot.partition(":") for slot in cut[1::2])]
    whole = [part for pair in zip(plain, named, strict=False) for part in pair]
    return (*whole, plain[-1])


def suggest(name: str, base: RuleBase) -> str:
    """Return a suggestion for an unknown fact name."""
    return nearest(name, base.shapes) or "List the names with: lidwork rules list facts"
