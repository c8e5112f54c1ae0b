"""Method statement: every step in order, with banners where the roof moves and waits between."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from planner.pack.parts.front import hazard_word
from planner.pack.sequence import Entry, day_name, hour
from planner.pack.text import band, duration, plain, words
from planner.plan.calendar import DAY_MIN
from planner.plan.model import HazardResult, Plan, Reading, StepText

ROOF_WORDS = {
    "shut": "ROOF SHUT",
    "propped": "ROOF RAISED AND PROPPED",
    "fixed": "ROOF DOES NOT MOVE",
}
#: Needs worth a tick before the step; the others are read from the order itself.
ROOF = "roof"


@dataclass(frozen=True)
class Measure:
    """One reading to write down."""

    key: str
    label: str
    limit: str
    unit: str


@dataclass(frozen=True)
class Piece:
    """One thing in the method statement: a phase, a banner, a step or a wait.

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
    steps: tuple[Piece, ...] = field(default=())


def method(plan: Plan, steps: tuple[Entry, ...]) -> tuple[Piece, ...]:
    """Return the pieces in the order of work."""
    hazards = {hazard.id: hazard for hazard in plan.hazards}
    return tuple(_pieces(plan, steps, hazards))


def _pieces(
    plan: Plan, steps: tuple[Entry, ...], hazards: Mapping[str, HazardResult]
) -> Iterator[Piece]:
    roof = next((v.initial for v in plan.variables if v.id == ROOF), "")
    moves = any(ROOF in entry.task.leaves for entry in steps)
    phase = ""
    if roof and moves:
        yield banner(roof, "as the work begins")
    for entry in steps:
        if entry.is_wait:
            yield _wait(entry, plan)
            continue
        if entry.text and entry.text.phase != phase and entry.slot.move.kind == "step":
            phase = entry.text.phase
            yield Piece("phase", plain(phase))
        yield _step(entry, plan, hazards)
        after = entry.task.leaves.get(ROOF, roof)
        if after != roof:
            roof = after
            yield banner(roof, f"from the end of step {entry.number}")


def banner(state: str, when: str) -> Piece:
    """Return the banner that tells how the roof stands."""
    return Piece("banner", ROOF_WORDS.get(state, f"ROOF {words(state).upper()}"), when=when)


def _wait(entry: Entry, plan: Plan) -> Piece:
    return Piece(
        "wait",
        entry.title,
        key=f"wait-{entry.slot.move.task}-{round(entry.slot.start_min)}",
        when=_moment(entry.slot.end_min, plan.start),
        duration=duration(entry.minutes),
        hours=entry.minutes / 60,
    )


def _moment(minute: float, start: str) -> str:
    return f"{day_name(int(minute // DAY_MIN), start)}, {hour(minute)}"


def _step(entry: Entry, plan: Plan, hazards: Mapping[str, HazardResult]) -> Piece:
    text = entry.text or _no_text(entry)
    return Piece(
        "step",
        entry.title,
        number=entry.number,
        key=f"{entry.number}-{entry.slot.move.task}",
        when=_moment(entry.slot.start_min, plan.start),
        duration=duration(entry.minutes),
        people=entry.task.people,
        lines=tuple(plain(line) for line in text.lines),
        needs=_needs(entry),
        tools=tuple(plain(tool) for tool in text.tools),
        materials=tuple(plain(material) for material in text.materials),
        hazards=tuple(hazard_word(hazards[name]) for name in text.hazards if name in hazards),
        readings=tuple(measure(reading, entry.number) for reading in text.readings),
        accept=plain(text.accept),
        prevents=plain(text.prevents),
        because=plain(text.because),
        source=plain(text.source),
        hold=entry.task.hold,
        sign=plain(text.sign),
        inserted=_inserted(entry, plan),
    )


def _no_text(entry: Entry) -> StepText:
    """A bracket that the rules do not word is told by its name."""
    return StepText(entry.slot.move.task, "", entry.title, (), "", "", "", "", (), (), (), (), "")


def _needs(entry: Entry) -> tuple[str, ...]:
    return tuple(
        f"{words(name)}: {' or '.join(words(value) for value in sorted(values))}"
        for name, values in sorted(entry.task.needs.items())
    )


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
    )
