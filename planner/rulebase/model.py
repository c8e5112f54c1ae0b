"""Every kind of rule, as it is written in YAML and as the planner uses it."""

from __future__ import annotations

from datetime import date as Day  # noqa: N812  - rules have an entry of that name
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    field_validator,
    model_validator,
)

from planner.rulebase.conditions import ALWAYS, Condition, parse

Scalar = bool | int | float | str
Kind = Literal["number", "integer", "text", "choice", "yes_no", "moment", "list", "rows"]
NAME = r"^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)*$"
ID = r"^[a-z0-9]+([-_][a-z0-9]+)*$"

FactName = Annotated[str, Field(pattern=NAME)]
RuleId = Annotated[str, Field(pattern=ID)]


def _one_or_many(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


Names = Annotated[
    tuple[str, ...], BeforeValidator(_one_or_many, json_schema_input_type=str | tuple[str, ...])
]


class When(BaseModel):
    """A condition together with the data that it was written as."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True, defer_build=True)

    raw: Any = None
    condition: Annotated[Condition, Field(exclude=True)] = Field(default_factory=lambda: ALWAYS)

    @model_validator(mode="before")
    @classmethod
    def _parsed(cls, data: Any) -> Any:
        if isinstance(data, When):
            return {"raw": data.raw, "condition": data.condition}
        return {"raw": data, "condition": parse(data)}


Whenever = Annotated[When, PlainSerializer(lambda when: when.raw)]
NO_CONDITION = When.model_validate(None)


class Rule(BaseModel):
    """What all rule models share: nothing unknown is accepted, nothing changes after loading."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Published(Rule):
    """A place in a published source."""

    id: RuleId
    at: str = ""
    read: Literal["verified", "restated", "from memory"] = "from memory"


#: Where a rule or a value comes from when it is not a publication.
Unpublished = Literal["common practice", "from memory", "physics", "planning assumption"]
SourceRef = Published | Unpublished


class Reasoned(Rule):
    """A rule that says why and on whose word."""

    because: str = Field(min_length=1)
    source: SourceRef


class SourceRule(Rule):
    """A publication that rules cite."""

    id: RuleId
    title: str
    publisher: str = ""
    edition: str = Field(min_length=1)
    note: str = ""


class FactShape(Rule):
    """How the value of a fact looks: declared once, printed everywhere the same.

    ``rounded: up`` is for what is bought or set to at least the figure, ``down`` for at most.
    ``multiple_of`` is for what comes in whole steps only, such as 12 and 24 V.
    """

    fact: FactName
    label: str = Field(min_length=1)
    kind: Kind
    unit: str = ""
    precision: int = Field(default=0, ge=0, le=6)
    rounded: Literal["nearest", "up", "down"] = "nearest"
    least: float | None = None
    most: float | None = None
    multiple_of: float | None = Field(default=None, gt=0)
    options: dict[str, str] = {}
    columns: dict[str, str] = {}

    @model_validator(mode="after")
    def _consistent(self) -> FactShape:
        if (self.kind == "choice") != bool(self.options):
            raise ValueError("'options' go with kind 'choice', and only with it")
        if self.least is not None and self.most is not None and self.least > self.most:
            raise ValueError(f"'least' {self.least} is above 'most' {self.most}")
        return self


class FactRule(FactShape):
    """A fact that a calculation gives. ``basis`` prints it under "Basis of the figures"."""

    basis: bool = False
    note: str = ""


class ValueRule(FactShape, Reasoned):
    """A named value with its source: a limit, a factor, an assumption. Read as a fact."""

    kind: Kind = "number"
    value: Scalar
    confirm: bool = False
    locked: bool = False

    @model_validator(mode="after")
    def _printed_as_it_is(self) -> ValueRule:
        if isinstance(self.value, float) and round(self.value, self.precision) != self.value:
            shown = f"{self.value:.{self.precision}f}"
            raise ValueError(
                f"'value' {self.value} is printed as {shown}: write 'precision' with its decimals"
            )
        return self


class FlagRule(Rule):
    """A condition with a name, read as a yes-or-no fact wherever several rules share it."""

    fact: FactName
    label: str = Field(min_length=1)
    when: Whenever

    @property
    def shape(self) -> FactShape:
        """How the flag looks as a fact."""
        return FactShape(fact=self.fact, label=self.label, kind="yes_no")


class TableRule(Reasoned):
    """Rows of published or assumed values, read whole as ``table.ID``.

    ``ascending`` names a column whose values must rise from row to row; ``covers`` says of a
    column that it has a row for each option of a fact.
    """

    id: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
    label: str
    columns: dict[str, str]
    rows: tuple[dict[str, Any], ...]
    ascending: str = ""
    covers: dict[str, FactName] = {}

    @model_validator(mode="after")
    def _rows_fit(self) -> TableRule:
        for number, row in enumerate(self.rows, 1):
            unknown = [key for key in row if key not in self.columns]
            if unknown:
                raise ValueError(f"row {number} has no column '{unknown[0]}' declared")
        if self.ascending:
            values = [
                value
                for row in self.rows
                if isinstance(value := row.get(self.ascending), int | float)
            ]
            if len(values) < len(self.rows):
                raise ValueError(f"column '{self.ascending}' needs a number in every row")
            if any(a >= b for a, b in pairwise(values)):
                raise ValueError(f"column '{self.ascending}' does not rise from row to row")
        return self


class Unknown(Rule):
    """What stands in for an answer that is not known.

    Either ``assume`` (one cautious value, or ``{low, high}`` where both ends can hurt), or
    ``suppose``: a value that lets the plan be drawn while the verdict is not yet.
    """

    assume: Any = None
    suppose: Any = None

    @model_validator(mode="after")
    def _one_of_both(self) -> Unknown:
        if (self.assume is None) == (self.suppose is None):
            raise ValueError("give either 'assume' or 'suppose'")
        return self

    @property
    def span(self) -> tuple[float, float] | None:
        """The low and high end where both can hurt, else None."""
        if isinstance(self.assume, dict) and set(self.assume) == {"low", "high"}:
            return self.assume["low"], self.assume["high"]
        return None


class ListField(FactShape):
    """One field of the items of a list answer; ``fact`` is its plain key."""

    ask: str
    required: bool = True


class Question(FactShape):
    """A question of the survey; its id is the name of the fact that it answers.

    Attributes:
        section: Section of the survey.
        ask: The question.
        why: Why it is asked, in one sentence.
        measure: How to find the answer at the van.
        when: When the question matters; reads answers only.
        unknown: What stands in until it is known.
        first: Asked in the first pass although it has a safe assumption.
        fields: For a list, what each item holds.
        presets: Table whose rows are offered: names to complete, or entries to begin from.
        check_before: Shown under "measure before you start" while assumed.
    """

    section: RuleId
    ask: str
    why: str = Field(min_length=1)
    measure: str = ""
    when: Whenever = NO_CONDITION
    unknown: Unknown
    first: bool = False
    fields: tuple[ListField, ...] = ()
    presets: str = ""
    check_before: bool = True
    source: SourceRef = "common practice"

    @property
    def in_first_pass(self) -> bool:
        """Whether the first pass of the survey asks it."""
        return self.first or self.unknown.suppose is not None


class Reason(Rule):
    """A reason that counts when its condition holds. Points above 0 speak for, below 0 against."""

    when: Whenever = NO_CONDITION
    says: str
    points: float = 0
    source: SourceRef = "common practice"


class Option(Rule):
    """One option of a decision. ``ruled_out`` reasons are vetoes; ``reasons`` add points."""

    id: RuleId
    label: str
    points: float = 0
    ruled_out: tuple[Reason, ...] = ()
    reasons: tuple[Reason, ...] = ()


class DecisionRule(Reasoned):
    """A choice among options by rules. ``wanted`` is the fact with the fitter's own wish."""

    id: RuleId
    gives: FactName
    label: str
    section: str = ""
    when: Whenever = NO_CONDITION
    wanted: FactName | None = None
    options: tuple[Option, ...] = Field(min_length=1)
    if_none: str
    locked: bool = False


class Case(Rule):
    """A finding's own test: with these facts it applies, or does not."""

    name: str
    given: dict[str, Any]
    applies: bool


class FindingRule(Reasoned):
    """Something the plan must say when its condition holds."""

    id: RuleId
    severity: Literal["stop", "caution", "note"]
    when: Whenever
    says: str
    cure: str = ""
    locked: bool = False
    cases: tuple[Case, ...] = ()


class Change(Rule):
    """A change that time makes to a state, after hours given as a number or a fact.

    ``waits``: work waits for it (a cure); else the value only lapses and readers must come before.
    """

    value: str
    becomes: str
    after_h: float | FactName
    waits: bool = True


class Initial(Rule):
    """An initial value that holds when its condition does."""

    when: Whenever
    value: str


class StateRule(Rule):
    """A state variable of van, parts or people. The first value listed is the initial one."""

    id: RuleId
    label: str
    values: dict[str, str] = Field(min_length=1)
    initial_if: tuple[Initial, ...] = ()
    cost: float = Field(default=1.0, ge=0)
    changes: tuple[Change, ...] = ()
    nights: Names | None = None


class Never(Rule):
    """What must never be: an act (of something) in some states, or states together."""

    does: str = ""
    of: str = ""
    states: dict[RuleId, Names] = {}


class InvariantRule(Reasoned):
    """Something that must never be done, or be, in some state."""

    id: RuleId
    never: Never
    when: Whenever = NO_CONDITION
    locked: bool = True


class ActRule(Rule):
    """Something a step does that an invariant may speak of."""

    act: str
    of: str = ""
    when: Whenever = NO_CONDITION


class StatesIf(Rule):
    """Needs or leavings that hold only under a condition."""

    when: Whenever
    states: dict[RuleId, Names]


class Minutes(Rule):
    """Working time: a base, and so much for each of a counted fact."""

    base: float = Field(default=0, ge=0)
    each: float = Field(default=0, ge=0)
    of: FactName | None = None


class Line(Rule):
    """One imperative line of a step, with slots; printed when its condition holds."""

    say: str
    when: Whenever = NO_CONDITION


class ReadingRule(Rule):
    """A value the fitter writes down; low and high are numbers or facts."""

    id: RuleId
    label: str
    unit: str = ""
    low: float | FactName | None = None
    high: float | FactName | None = None
    when: Whenever = NO_CONDITION


def _line(value: Any) -> Any:
    return {"say": value} if isinstance(value, str) else value


def _minutes(value: Any) -> Any:
    return {"base": value} if isinstance(value, int | float) else value


OneLine = Annotated[Line, BeforeValidator(_line, json_schema_input_type=str | Line)]
Lines = tuple[OneLine, ...]
OneMinutes = Annotated[
    Minutes, BeforeValidator(_minutes, json_schema_input_type=float | Minutes)
]


class StepRule(Reasoned):
    """One piece of work: what it needs, what it leaves, how long, with what, how it is accepted."""

    id: RuleId
    phase: RuleId
    title: str
    when: Whenever = NO_CONDITION
    after: Names = ()
    needs: dict[RuleId, Names] = {}
    needs_if: tuple[StatesIf, ...] = ()
    leaves: dict[RuleId, str] = {}
    leaves_if: tuple[StatesIf, ...] = ()
    does: tuple[ActRule, ...] = ()
    minutes: OneMinutes
    people: int = Field(default=1, ge=1, le=4)
    lines: Lines = Field(min_length=1)
    tools: Names = ()
    materials: Names = ()
    hazards: Names = ()
    accept: str = ""
    readings: tuple[ReadingRule, ...] = ()
    hold: bool = False
    hold_if: Whenever = NO_CONDITION
    sign: str = ""
    prevents: str = ""
    enabling: bool = False
    locked: bool = False


class ControlRule(Rule):
    """One control of a hazard, at its place in the hierarchy of control."""

    level: Literal["eliminate", "substitute", "engineer", "organise", "protect"]
    says: str
    when: Whenever = NO_CONDITION


class Risk(Rule):
    """Likelihood and severity, 1 to 5 each."""

    likelihood: int = Field(ge=1, le=5)
    severity: int = Field(ge=1, le=5)


class HazardRule(Reasoned):
    """What can hurt whom, how likely and how badly before and after the controls."""

    id: RuleId
    title: str
    harm: str
    who: Names
    when: Whenever = NO_CONDITION
    before: Risk
    after: Risk
    controls: tuple[ControlRule, ...] = Field(min_length=1)
    locked: bool = True


class MaterialRule(Rule):
    """A material by class: what it must be, and how much of it.

    A shop's own layer may add what it buys: ``part_number``, and the ``price`` of one ``unit``.
    """

    id: RuleId
    label: str
    spec: str
    when: Whenever = NO_CONDITION
    quantity: float | FactName | None = None
    unit: str = ""
    spare_percent: float = 0
    mass_kg: float | FactName | None = None
    note: str = ""
    part_number: str = ""
    price: float | None = Field(default=None, ge=0)


class ToolRule(Rule):
    """A tool by class; listed when a step of this job uses it."""

    id: RuleId
    label: str
    note: str = ""


class PhaseRule(Rule):
    """A phase of the work; listed order is the natural order."""

    id: RuleId
    title: str


class SectionRule(Rule):
    """A section of the survey; listed order is the order of asking."""

    id: RuleId
    title: str


class BaseRule(Rule):
    """What a layer says of itself, and what a shop puts on its packs.

    Attributes:
        name: Name of the layer.
        version: Its version; raised with every change.
        date: Day of that version.
        note: Anything else to know.
        approved_by: Who approved it.
        sign_off: Who signs the finished work, one line each.
        logo: A PNG or SVG file in the layer's folder.
        currency: Sign or code of the prices.
    """

    name: str = Field(min_length=1)
    version: str = Field(min_length=1)
    date: str = Field(min_length=1)
    note: str = ""
    approved_by: str = ""
    sign_off: Names = ()
    logo: str = ""
    currency: str = ""

    @field_validator("date")
    @classmethod
    def _is_a_day(cls, text: str) -> str:
        try:
            Day.fromisoformat(text)
        except ValueError:
            raise ValueError(f"'{text[:20]}' is no day; write it as \"2026-05-17\"") from None
        return text


class ChangeRule(Rule):
    """A shop's change to one rule of the layers below, with its reason.

    ``set`` replaces entries; ``add`` appends to lists, adds to mappings, or switches on. A locked
    rule takes ``add`` only.
    """

    of: str
    id: str
    set: dict[str, Any] = {}
    add: dict[str, Any] = {}
    because: str = Field(min_length=1)

    @property
    def target(self) -> str:
        """Kind and id of the rule that is changed."""
        return f"{self.of}/{self.id}"


class WithdrawnRule(Rule):
    """A rule of the layers below that a shop does without, with its reason."""

    of: str
    id: str
    because: str = Field(min_length=1)

    @property
    def target(self) -> str:
        """Kind and id of the rule that is withdrawn."""
        return f"{self.of}/{self.id}"


class ShopAnswer(Rule):
    """An answer that a shop fixes (the question is not asked) or usually gives."""

    fact: FactName
    fixed: Any = None
    usual: Any = None
    because: str = Field(min_length=1)

    @model_validator(mode="after")
    def _one_of_both(self) -> ShopAnswer:
        if (self.fixed is None) == (self.usual is None):
            raise ValueError("give either 'fixed' or 'usual'")
        return self


#: Key in a rule file -> (model, name of the field that identifies a rule).
KINDS: dict[str, tuple[type[Rule], str]] = {
    "sources": (SourceRule, "id"),
    "sections": (SectionRule, "id"),
    "phases": (PhaseRule, "id"),
    "facts": (FactRule, "fact"),
    "values": (ValueRule, "fact"),
    "flags": (FlagRule, "fact"),
    "tables": (TableRule, "id"),
    "questions": (Question, "fact"),
    "decisions": (DecisionRule, "id"),
    "findings": (FindingRule, "id"),
    "states": (StateRule, "id"),
    "invariants": (InvariantRule, "id"),
    "steps": (StepRule, "id"),
    "hazards": (HazardRule, "id"),
    "materials": (MaterialRule, "id"),
    "tools": (ToolRule, "id"),
}

#: What only a layer on top of another may hold.
LAYER_KINDS: dict[str, tuple[type[Rule], str]] = {
    "changes": (ChangeRule, "target"),
    "withdrawn": (WithdrawnRule, "target"),
    "answers": (ShopAnswer, "fact"),
}
