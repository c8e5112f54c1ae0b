"""One person at one job's record: lock it, read it against the plan, and add to it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType

from planner.errors import InputError
from planner.folder import as_typed
from planner.job.file import read_job
from planner.job.hold import Hold
from planner.pack.text import plain
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.record import photos, store
from planner.record.book import Book
from planner.record.model import Entry, Kind, Plain, PlanId, stamp
from planner.record.points import Point, points
from planner.rulebase.base import RuleBase

Clock = Callable[[], datetime]


def plan_of(job: Path, base: RuleBase) -> Plan:
    """Return the whole plan of a job, as the work pack has it."""
    return make_plan(read_job(job, base), base, every_fact=True)


def read_book(job: Path, plan: Plan) -> Book:
    """Return a job's record read against its plan, without holding it.

    Raises:
        InputError: If there is no record, it cannot be read, or it belongs to another plan.
    """
    path = store.record_path(job)
    written = store.read(path)
    if not written.entries:
        raise InputError.of(
            str(path),
            "nothing is recorded for this job yet",
            f"Begin with: lidwork record {as_typed(job)}",
        )
    book = Book(points(plan), written.entries)
    refuse_another_plan(book, plan, path, job)
    return book


def refuse_another_plan(book: Book, plan: Plan, path: Path, job: Path) -> None:
    """Refuse a record that belongs to another plan.

    Raises:
        InputError: That says how the plans differ.
    """
    now = PlanId.of(plan)
    if book.plan is not None and not book.plan.same(now):
        raise InputError.of(
            str(path),
            f"this record was made for another plan: {book.plan.differs(now)}",
            f"Look at it, and carry it on if it is the same van, with: lidwork record "
            f"{as_typed(job)}",
        )


class RecordDesk:
    """The opened record of a job; a context manager that holds its lock.

    Raises:
        InputError: If somebody else has it open, or it cannot be read or written.
    """

    def __init__(self, job: Path, plan: Plan, clock: Clock) -> None:
        self.job = job
        self.plan = plan
        self.path = store.record_path(job)
        self.points: tuple[Point, ...] = points(plan)
        self.clock = clock
        self.by = ""
        self._written = store.Written()
        self._hold = Hold(self.path, "record")

    def __enter__(self) -> RecordDesk:
        """Take the lock and read the record, which may not exist yet."""
        self._hold.take()
        try:
            self._written = store.read(self.path)
            photos.clear_up(self.job)
        except BaseException:
            self._hold.release()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Release the lock."""
        self._hold.release()

    @property
    def book(self) -> Book:
        """The record read against the plan."""
        return Book(self.points, self._written.entries)

    @property
    def torn(self) -> bool:
        """Whether the last line was cut off while it was written."""
        return self._written.torn

    def entry(
        self,
        kind: Kind,
        key: str,
        value: Plain,
        why: str = "",
        more: Mapping[str, Plain] | None = None,
    ) -> Entry:
        """Return an entry of this moment by whoever sits here."""
        value = plain(value) if isinstance(value, str) else value
        return Entry(kind, key, value, stamp(self.clock()), self.by, plain(why), more or {})

    def add(self, *entries: Entry) -> None:
        """Add entries as one line; they are on disk when this returns.

        Raises:
            InputError: If the file was changed meanwhile or cannot be written.
        """
        self._written = store.append(self.path, self._written, self._bound(entries))

    def _bound(self, entries: Sequence[Entry]) -> tuple[Entry, ...]:
        """A new record begins by saying which plan it belongs to."""
        if self._written.entries or (entries and entries[0].kind == "plan"):
            return tuple(entries)
        begin = PlanId.of(self.plan).entry(at=stamp(self.clock()), by=self.by, why="begun")
        return (begin, *entries)

    def carry_on(self, why: str) -> None:
        """Bind the record to the present plan from here on."""
        self.add(PlanId.of(self.plan).entry(at=stamp(self.clock()), by=self.by, why=plain(why)))
