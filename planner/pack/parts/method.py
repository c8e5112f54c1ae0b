"""Method statement: every step in order, with banners where the roof moves and waits between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby

from msgspec import Struct, field

from planner.pack.parts.risk import codes, hazard_word
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import band, capital, duration, plain, printed, words
from planner.plan.calendar import DAY_MIN
from planner.plan.model import HazardResult, Plan, Reading, StepText, Variable

#: Tools and materials of one stretch of work.
AtHand = tuple[tuple[str, ...], tuple[str, ...]]
#: The state variable that banners speak of.
ROOF = "roof"


class Measure(Struct, frozen=True):
    """One reading to write down; the page judges it by ``low`` and ``high``."""

    key: str
    label: str
    limit: str
    unit: str
    low: str = ""
    high: str = ""


class Piece(Struct, frozen=True):
    """One thing in the method statement: a day, a phase, a banner, a wait or a step.

    ``kind`` says which; the fields that do not belong to the kind stay empty.
    """

    kind: str
    title: str
    number: int = 0
    key: str = ""
    when: str = ""
    duration: str = ""
    people: int = 1
    lines: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    readings: tuple[Measure, ...] = ()
    accept: str = ""
    prevents: str = ""
    because: str = ""
    source: str = ""
    hold: bool = False
    sign: str = ""
    inserted: str = ""
    hours: float = 0.0


class Group(Struct, frozen=True):
    """A step with what stands just before it and just after it: headings, banners, waits."""

    before: tuple[Piece, ...]
    step: Piece
    after: tuple[Piece, ...] = ()


class _Scene(Struct):
    """Where the telling stands: what the last pieces said need not be said again."""

    plan: Plan
    hazards: Mapping[str, str]
    variables: Mapping[str, Variable]
    roof: str = ""
    day: int = -1
    phase: str = ""
    told: set[str] = field(default_factory=set)
    hand: Mapping[int, AtHand] = field(default_factory=dict)
    changed: set[str] = field(default_factory=set)
    needed: Mapping[str, frozenset[str]] = field(default_factory=dict)


def method(plan: Plan, steps: tuple[Entry, ...]) -> tuple[Group, ...]:
    """Return the steps in the order of work, each with what belongs to it."""
    variables = {variable.id: variable for variable in plan.variables}
    roof = variables[ROOF].initial if ROOF in variables else ""
    scene = _Scene(plan, _hazard_words(plan), variables, roof, hand=_at_hand(steps))
    return tuple(_groups(scene, steps))


def _hazard_words(plan: Plan) -> dict[str, str]:
    names = codes(plan)
    found: Mapping[str, HazardResult] = {hazard.id: hazard for hazard in plan.hazards}
    return {id_: hazard_word(hazard, names[id_]) for id_, hazard in found.items()}


def _at_hand(steps: tuple[Entry, ...]) -> dict[int, AtHand]:
    """Return what each stretch of one phase needs, by the number of its first step."""
    found: dict[int, AtHand] = {}
    work = (entry for entry in steps if not entry.is_wait)
    for _, stretch in groupby(work, key=lambda entry: entry.phase):
        entries = list(stretch)
        texts = [entry.text for entry in entries if entry.text]
        tools = dict.fromkeys(plain(tool) for text in texts for tool in text.tools)
        materials = dict.fromkeys(plain(item) for text in texts for item in text.materials)
        found[entries[0].number] = (tuple(tools), tuple(materials))
    return found


def _groups(scene: _Scene, steps: tuple[Entry, ...]) -> Iterator[Group]:
    before: list[Piece] = []
    if scene.roof and any(ROOF in entry.task.leaves for entry in steps):
        before.append(_banner(scene, "as the work begins"))
    for entry in steps:
        if entry.is_wait:
            before.append(_wait(entry, scene.plan))
            continue
        before += _headings(scene, entry)
        step = _step(entry, scene)
        yield Group(tuple(before), step, tuple(_moved(scene, entry)))
        before = []


def _moved(scene: _Scene, entry: Entry) -> Iterator[Piece]:
    """After a step that moves the roof, a banner tells how it stands now."""
    scene.changed |= set(entry.task.leaves)
    after = entry.task.leaves.get(ROOF, scene.roof)
    if after != scene.roof:
        scene.roof = after
        yield _banner(scene, f"from the end of step {entry.number}")


def _headings(scene: _Scene, entry: Entry) -> Iterator[Piece]:
    """A new day says so, and so does a new phase, with what must be at hand for it."""
    day = int(entry.slot.start_min // DAY_MIN)
    if day != scene.day:
        scene.day = day
        yield Piece("day", day_name(day, scene.plan.start))
    if entry.phase and entry.phase != scene.phase:
        again = entry.phase in scene.told
        scene.phase = entry.phase
        scene.told.add(entry.phase)
        title = f"{entry.phase}, continued" if again else entry.phase
        tools, materials = scene.hand[entry.number]
        yield Piece("phase", title, tools=tools, materials=materials)


def _banner(scene: _Scene, when: str) -> Piece:
    """Return the banner that tells how the roof stands."""
    return Piece("banner", state_words(ROOF, (scene.roof,), scene.variables).upper(), when=when)


def state_words(name: str, values: tuple[str, ...], variables: Mapping[str, Variable]) -> str:
    """Return a state as documents print it, such as ``Roof: shut and latched``."""
    variable = variables.get(name)
    label = variable.label if variable and variable.label else words(name)
    told = variable.words if variable else {}
    said = " or ".join(plain(told.get(value, "")) or words(value) for value in values)
    return f"{capital(plain(label))}: {said}"


def _wait(entry: Entry, plan: Plan) -> Piece:
    return Piece(
        "past" if entry.filled else "wait",
        entry.title,
        key=f"wait-{entry.slot.move.task}-{round(entry.slot.start_min)}",
        when=_moment(entry.slot.end_min, plan.start),
        duration=duration(entry.minutes),
        hours=entry.minutes / 60,
    )


def _moment(minute: float, start: str) -> str:
    return f"{day_name(int(minute // DAY_MIN), start)}, {hour(minute)}"


def _step(entry: Entry, scene: _Scene) -> Piece:
    text = entry.text or _no_text(entry)
    return Piece(
        "step",
        entry.title,
        number=entry.number,
        key=f"{entry.number}-{entry.slot.move.task}",
        when=hour(entry.slot.start_min),
        duration=duration(entry.minutes),
        people=entry.task.people,
        lines=tuple(plain(line) for line in text.lines),
        needs=_needs(entry, scene),
        tools=tuple(plain(tool) for tool in text.tools),
        materials=tuple(plain(material) for material in text.materials),
        hazards=tuple(scene.hazards[name] for name in text.hazards if name in scene.hazards),
        readings=tuple(measure(reading, entry.number) for reading in text.readings),
        accept=plain(text.accept),
        prevents=plain(text.prevents),
        because=plain(text.because),
        source=plain(text.source),
        hold=entry.task.hold,
        sign=plain(text.sign),
        inserted=_inserted(entry, scene.plan),
    )


def _no_text(entry: Entry) -> StepText:
    """A bracket that the rules do not word is told by its name."""
    return StepText(entry.slot.move.task, "", entry.title, (), "", "", "", "", (), (), (), (), "")


def _needs(entry: Entry, scene: _Scene) -> tuple[str, ...]:
    """Return what must newly be so before the step.

    What still is as it was when the job began, and what the step before asked for as well, is
    not said again: a list that is always long is not read.
    """
    needs = entry.task.needs
    news = [name for name in sorted(needs)
            if name in scene.changed and scene.needed.get(name) != needs[name]]
    scene.needed = {
        name: values
        for name, values in {**scene.needed, **needs}.items()
        if name not in entry.task.leaves
    }
    return tuple(
        state_words(name, _in_order(name, needs[name], scene), scene.variables) for name in news
    )


def _in_order(name: str, values: frozenset[str], scene: _Scene) -> tuple[str, ...]:
    """The allowed values that this job can be in, as the rules list them."""
    variable = scene.variables.get(name)
    if variable is None:
        return tuple(sorted(values))
    met = {task.leaves[name] for task in scene.plan.tasks.values() if name in task.leaves}
    for clock in variable.clocks:  # listed in the order in which they follow one another
        if clock.value in met:
            met.add(clock.becomes)
    allowed = tuple(value for value in variable.values if value in values)
    return tuple(value for value in allowed if value in met | {variable.initial}) or allowed


def _inserted(entry: Entry, plan: Plan) -> str:
    """Why a step stands here that only changes the state of things."""
    move = entry.slot.move
    if move.kind == "bracket":
        return "for the night or a stop"
    why = plan.texts.get(move.why)
    return f"for: {plain(why.title)}" if move.kind == "enabling" and why else ""


def measure(reading: Reading, number: int) -> Measure:
    """Return a reading as a sheet shows it."""
    return Measure(
        f"{number}-{reading.id}",
        plain(reading.label),
        band(reading.low, reading.high, reading.unit),
        reading.unit,
        *("" if end is None else f"{printed(end):g}" for end in (reading.low, reading.high)),
    )
