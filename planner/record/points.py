"""What a plan asks to be recorded: acceptances, signatures and readings, in the order of work."""

from __future__ import annotations

import hashlib

from msgspec import Struct

from planner.pack.sequence import Entry, entries
from planner.pack.text import plain
from planner.plan.model import Plan, Reading, StepText


class ReadingPoint(Struct, frozen=True):
    """One reading to be written down.

    Attributes:
        key: Its name in the record.
        step: The step that asks for it.
        number: That step's number in the order of work.
        reading: Label, unit and band.
    """

    key: str
    step: str
    number: int
    reading: Reading


class Point(Struct, frozen=True):
    """One step to be accepted or signed.

    Attributes:
        key: Its name in the record: the step's id, with ``/2`` where it comes a second time.
        number: Number in the order of work.
        phase: The phase in which it is done; a step put in for a need belongs to where it stands.
        title: What is done.
        accept: When it is right; empty where nothing needs to be said.
        hold: True for a hold point.
        sign: Who signs; empty where nobody does.
        names_needed: How many must sign; the owner who does the work signs once.
        seal: Changes when the wording or a limit of the step does: a signature is for what it said.
        readings: Its readings.
        parts: Earlier numbers of the same step, where a stop breaks it into parts.
    """

    key: str
    number: int
    phase: str
    title: str
    accept: str
    hold: bool
    sign: str
    names_needed: int
    seal: str
    readings: tuple[ReadingPoint, ...]
    parts: tuple[int, ...] = ()

    @property
    def signed(self) -> bool:
        """Whether names are asked for."""
        return self.hold or bool(self.sign)

    @property
    def signers(self) -> str:
        """Who signs."""
        return self.sign or "Fitter"


def points(plan: Plan) -> tuple[Point, ...]:
    """Return everything that this plan asks to be recorded."""
    own = plan.job.get("job.doer") == "self_build"
    found: list[Point] = []
    times: dict[str, int] = {}
    parts: dict[str, tuple[int, ...]] = {}
    for entry in entries(plan):
        name = entry.slot.move.task
        if entry.is_wait or entry.text is None:
            continue
        if entry.slot.move.more:
            parts[name] = (*parts.get(name, ()), entry.number)
            continue
        times[name] = times.get(name, 0) + 1
        key = name if times[name] == 1 else f"{name}/{times[name]}"
        found.append(_point(entry, entry.text, key, parts.pop(name, ()), own=own))
    return tuple(point for point in found if point.accept or point.signed or point.readings)


def _point(
    entry: Entry, text: StepText, key: str, parts: tuple[int, ...], *, own: bool
) -> Point:
    sign = plain(text.sign)
    readings = tuple(
        ReadingPoint(f"{key}:{reading.id}", key, entry.number, reading)
        for reading in text.readings
    )
    return Point(
        key=key,
        number=entry.number,
        phase=plain(entry.phase),
        title=entry.title,
        accept=plain(text.accept),
        hold=entry.task.hold,
        sign=sign,
        names_needed=_people(sign, own=own),
        seal=seal(text),
        readings=readings,
        parts=parts,
    )


def _people(sign: str, *, own: bool) -> int:
    words = set(sign.lower().split())
    return 1 if "and" not in words or (own and {"owner", "fitter"} <= words) else 2


def seal(text: StepText) -> str:
    """Return eight characters that change when the step says something else."""
    said = (text.title, text.lines, text.accept, text.sign, text.readings)
    return hashlib.sha256(repr(said).encode()).hexdigest()[:8]
