"""The record read against the plan: what stands, what it was before, and what is still open."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from msgspec import Struct

from planner.pack.text import plain
from planner.record.judge import judge, limits, value_text
from planner.record.model import Entry, Kind, PlanId, shown
from planner.record.points import Point, ReadingPoint


class Matter(Struct, frozen=True):
    """One thing that keeps the job from being closed."""

    number: int
    key: str
    title: str
    what: str


def closed_words(entry: Entry) -> str:
    """Return when and by whom a job was closed; a name's own full stop is left to the sentence."""
    return f"Closed on {shown(entry.at)} by {plain(str(entry.value))}".rstrip(".")


class Book(Struct, frozen=True, dict=True):
    """A plan's points together with all entries of its record."""

    points: tuple[Point, ...]
    entries: tuple[Entry, ...]

    @cached_property
    def _by_name(self) -> dict[tuple[str, str], tuple[Entry, ...]]:
        found: dict[tuple[str, str], list[Entry]] = {}
        for entry in self.entries:
            found.setdefault((entry.kind, entry.key), []).append(entry)
        return {name: tuple(entries) for name, entries in found.items()}

    def history(self, kind: Kind, key: str) -> tuple[Entry, ...]:
        """Return all entries about one thing, oldest first."""
        return self._by_name.get((kind, key), ())

    def now(self, kind: Kind, key: str) -> Entry | None:
        """Return the entry that stands, or None where there is none or it was taken back."""
        found = self.history(kind, key)
        return found[-1] if found and found[-1].value is not None else None

    def standing(self, kind: Kind) -> tuple[Entry, ...]:
        """Return what stands of one kind, in the order in which it was first written."""
        found = (self.now(kind, key) for one, key in self._by_name if one == kind)
        return tuple(entry for entry in found if entry is not None)

    def history_of(self, kind: Kind) -> tuple[Entry, ...]:
        """Return all entries of one kind, oldest first."""
        return tuple(entry for entry in self.entries if entry.kind == kind)

    @property
    def plan(self) -> PlanId | None:
        """The plan that the record belongs to."""
        found = [entry for entry in self.entries if entry.kind == "plan"]
        return PlanId.read(found[-1]) if found else None

    @property
    def closed(self) -> Entry | None:
        """The entry that closed the job; whatever is written after it opens the job again."""
        last = self.entries[-1] if self.entries else None
        if last is None or last.kind != "close" or not last.value or self.open():
            return None
        return last

    def agreed(self, point: Point) -> Entry | None:
        """Return the acceptance or signature of a step that counts for its present wording."""
        entry = self.now("sign" if point.signed else "accept", point.key)
        if entry is None or entry.value is False or entry.more.get("seal") != point.seal:
            return None
        return entry

    def waived(self, key: str) -> Entry | None:
        """Return the waiver of a step or of one reading."""
        entry = self.now("waive", key)
        return entry if entry and entry.value else None

    def excused(self, point: ReadingPoint) -> Entry | None:
        """Return the reason why a reading outside its band may stay, given for that very value."""
        entry = self.now("deviation", point.key)
        value = self.now("reading", point.key)
        if entry is None or value is None or entry.more.get("value") != value.value:
            return None
        return entry

    def open(self) -> tuple[Matter, ...]:
        """Return everything that keeps the job from being closed, in the order of work."""
        return tuple(matter for point in self.points for matter in self.open_at(point))

    def open_at(self, point: Point) -> Iterator[Matter]:
        """Yield what is open at one step."""
        if self.waived(point.key):
            return
        for reading in point.readings:
            what = self._reading_open(reading)
            if what:
                yield Matter(point.number, reading.key, point.title, what)
        if (point.accept or point.signed) and not self.agreed(point):
            yield Matter(point.number, point.key, point.title, self._why_not_agreed(point))

    def _reading_open(self, point: ReadingPoint) -> str:
        if self.waived(point.key):
            return ""
        label, entry = plain(point.reading.label), self.now("reading", point.key)
        if entry is None:
            return f"reading missing: {label}"
        verdict = judge(entry.value, point.reading)
        if verdict in ("within", "noted") or self.excused(point):
            return ""
        value = value_text(entry.value, point.reading.unit)
        return f"{label}: {value} is {verdict} the limit, {limits(point.reading)}"

    def _why_not_agreed(self, point: Point) -> str:
        word = "sign" if point.signed else "accept"
        entry = self.now("sign" if point.signed else "accept", point.key)
        if entry is None:
            said = f"to be signed: {point.signers}" if point.signed else "not accepted yet"
        elif entry.value is False:
            said = f"not right: {entry.why}" if entry.why else "not right"
        else:
            said = f"the step reads differently since {shown(entry.at)}: {word} it again"
        return f"hold point {said}" if point.hold else said

    def strays(self) -> tuple[Entry, ...]:
        """Return what stands for steps or readings that the present plan does not have."""
        known = {point.key for point in self.points}
        known |= {reading.key for point in self.points for reading in point.readings}
        return tuple(
            entry
            for kind in ("reading", "accept", "sign", "waive")
            for entry in self.standing(kind)
            if entry.key not in known
        )
