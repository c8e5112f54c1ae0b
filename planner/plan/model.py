"""What the order of work is made of: tasks, states, clocks, invariants, and the plan itself.

Everything here is already resolved for one job: conditions have been decided, facts filled in.
``order``, ``timetable`` and ``prove`` work on these and know nothing of rules or facts.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from msgspec import Struct, field

from planner.rulebase.base import Departure, House


class Act(Struct, frozen=True):
    """Something a task does that an invariant may speak of: ``drills`` of ``shell``."""

    does: str
    of: str = ""


class Task(Struct, frozen=True):
    """One selected step, or one enabling step that may be put in as often as needs ask.

    Attributes:
        id: The rule's id, unique among tasks.
        phase: Rank of the phase, 0 first: the natural order among ready tasks.
        rank: Position within the phase as the rules list it.
        after: Ids of selected tasks that must be done first (already passed on through
            predecessors that this job does not select).
        needs: Allowed values for each state variable while the task is done.
        leaves: State variables that the task sets when it ends.
        acts: What the task does, for the invariants.
        minutes: Working time of the crew [min], 0 or more.
        people: How many people the task takes, 1 or more.
        enabling: True if the task only changes states and is put in when needed.
        hold: True if somebody signs before the work goes on.
    """

    id: str
    phase: int = 0
    rank: int = 0
    after: frozenset[str] = frozenset()
    needs: Mapping[str, frozenset[str]] = field(default_factory=dict)
    leaves: Mapping[str, str] = field(default_factory=dict)
    acts: tuple[Act, ...] = ()
    minutes: float = 0.0
    people: int = 1
    enabling: bool = False
    hold: bool = False


class Clock(Struct, frozen=True):
    """A value that turns into another by itself: ``wet`` becomes ``skinned`` after 2 h.

    ``waits`` is True where work waits for the change (a cure), False where the value
    merely lapses (``primed`` lasts 4 h) and the work that reads it must come before.
    The hours count from when ``value`` is left, so clocks may follow one another.
    """

    value: str
    becomes: str
    hours: float
    waits: bool = True


class Variable(Struct, frozen=True):
    """One state variable of van, parts or people.

    Attributes:
        id: Its name.
        values: All values it may take.
        initial: The value at the start of the job.
        cost: What one change by an enabling task costs the search; 0 or more.
        clocks: Changes that time makes.
        nights: Values in which a night may be spent; ``None`` means any.
        label: What it is called in documents.
        words: Each value as documents print it.
    """

    id: str
    values: tuple[str, ...]
    initial: str
    cost: float = 1.0
    clocks: tuple[Clock, ...] = ()
    nights: frozenset[str] | None = None
    label: str = ""
    words: Mapping[str, str] = field(default_factory=dict)


class Invariant(Struct, frozen=True):
    """Something that must never be: an act in some state, or a combination of states."""

    id: str
    does: str = ""
    of: str = ""
    states: Mapping[str, frozenset[str]] = field(default_factory=dict)


class Move(Struct, frozen=True):
    """One place in the order of work.

    Attributes:
        task: Id of the task; for a wait, ``variable:value`` that it waits for.
        kind: ``step``, ``enabling`` (put in for a need), ``wait`` (a clock runs out here),
            or ``bracket`` (make safe or resume, put in by the timetable).
        why: For an enabling move or a wait, the id of the task that first needs it.
        more: True if the step is broken off here by a bracket and taken up again after it.
    """

    task: str
    kind: Literal["step", "enabling", "wait", "bracket"]
    why: str = ""
    more: bool = False


class Slot(Struct, frozen=True):
    """One move placed in time, in minutes from the midnight before the first working day.

    ``start_min`` and ``end_min`` are clock minutes: 24 h are 1440, nights included. A wait
    lasts from the start of its clock to its end; a step longer than a day spans the night.
    """

    move: Move
    start_min: float
    end_min: float
    critical: bool = False


class Violation(Struct, frozen=True):
    """One thing that the proof found wrong with an order."""

    index: int
    task: str
    rule: str
    what: str


class Finding(Struct, frozen=True):
    """Something the plan must say."""

    id: str
    severity: Literal["stop", "caution", "note"]
    text: str
    because: str
    source: str
    cure: str = ""


class OptionResult(Struct, frozen=True):
    """How one option of a decision fared."""

    id: str
    label: str
    verdict: Literal["chosen", "possible", "ruled_out"]
    points: float
    reasons: tuple[str, ...]


class DecisionResult(Struct, frozen=True):
    """One decision with every option and its reasons."""

    id: str
    gives: str
    label: str
    chosen: str | None
    options: tuple[OptionResult, ...]
    because: str
    source: str
    overruled: str = ""


class OpenPoint(Struct, frozen=True):
    """A question without a measured answer.

    ``state`` is ``assumed`` (a cautious value stands in) or ``supposed`` (the value only lets
    the plan be drawn, and work must not start).
    """

    fact: str
    label: str
    state: Literal["assumed", "supposed"]
    value: str
    measure: str


class Verdict(Struct, frozen=True):
    """Whether work may start: never an approval."""

    state: Literal["no_stop_found", "not_yet", "do_not_start"]
    why: tuple[str, ...]


class Reading(Struct, frozen=True):
    """A value that the fitter writes down, with its band where there is one."""

    id: str
    label: str
    unit: str = ""
    low: float | None = None
    high: float | None = None


class StepText(Struct, frozen=True):
    """What the pack prints for one step: all slots filled, all conditions decided."""

    id: str
    phase: str
    title: str
    lines: tuple[str, ...]
    accept: str
    prevents: str
    because: str
    source: str
    tools: tuple[str, ...]
    materials: tuple[str, ...]
    hazards: tuple[str, ...]
    readings: tuple[Reading, ...]
    sign: str


class Control(Struct, frozen=True):
    """One control of a hazard, at its place in the hierarchy of control."""

    level: str
    text: str


class HazardResult(Struct, frozen=True):
    """One hazard of this job, assessed."""

    id: str
    title: str
    harm: str
    who: tuple[str, ...]
    before: tuple[int, int]
    after: tuple[int, int]
    controls: tuple[Control, ...]
    steps: tuple[str, ...]
    because: str
    source: str


class Item(Struct, frozen=True):
    """One line of the materials or tools list."""

    id: str
    label: str
    spec: str
    quantity: float | None
    unit: str
    steps: tuple[str, ...]
    note: str = ""
    mass_kg: float | None = None
    part_number: str = ""
    price: float | None = None
    cost: float | None = None


class FactResult(Struct, frozen=True):
    """One fact as the plan file shows it."""

    name: str
    label: str
    value: Any
    text: str
    unit: str
    origin: str
    reads: tuple[str, ...]
    source: str = ""


class Layer(Struct, frozen=True):
    """One layer of rules that made the plan."""

    name: str
    version: str
    digest: str
    date: str = ""
    approved_by: str = ""


class Plan(Struct, frozen=True):
    """The whole plan of one job; documents are composed from this and compute nothing.

    ``departures`` is where the shop's layers depart from the rules below them; ``house`` is what
    the shop puts on its packs.
    """

    job: Mapping[str, Any]
    verdict: Verdict
    facts: Mapping[str, FactResult]
    decisions: tuple[DecisionResult, ...]
    findings: tuple[Finding, ...]
    hazards: tuple[HazardResult, ...]
    variables: tuple[Variable, ...]
    tasks: Mapping[str, Task]
    texts: Mapping[str, StepText]
    timetable: tuple[Slot, ...]
    start: str
    final: Mapping[str, str]
    materials: tuple[Item, ...]
    tools: tuple[Item, ...]
    open_points: tuple[OpenPoint, ...]
    not_needed: tuple[tuple[str, str], ...]
    layers: tuple[Layer, ...]
    departures: tuple[Departure, ...] = ()
    house: House = field(default_factory=House)
