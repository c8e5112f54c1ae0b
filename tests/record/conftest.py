"""A job, its plan, and somebody who records it: what the tests of the record share."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from planner import paths
from planner.pack.text import printed
from planner.plan.model import Plan
from planner.record.desk import RecordDesk, plan_of
from planner.record.judge import is_free
from planner.record.points import Point, ReadingPoint
from planner.record.walk import keep_reading
from planner.rulebase.base import RuleBase

ZONE = timezone(timedelta(hours=1))
START = datetime(2027, 5, 17, 8, 30, tzinfo=ZONE)
#: The smallest thing that begins like a photograph.
JPEG = b"\xff\xd8\xff\xe0" + bytes(range(200))


class Clock:
    """A clock that goes on by a minute whenever somebody looks."""

    def __init__(self) -> None:
        self.time = START

    def __call__(self) -> datetime:
        """Return the next minute."""
        self.time += timedelta(minutes=1)
        return self.time


@pytest.fixture(scope="session")
def plan(base: RuleBase) -> Plan:
    """Return the plan of the demo with a lifting roof."""
    return plan_of(paths.DEMOS / "lifting-grp.yaml", base)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Return a job file of its own."""
    return Path(shutil.copy(paths.DEMOS / "lifting-grp.yaml", tmp_path / "van.yaml"))


@pytest.fixture
def desk(job: Path, plan: Plan) -> Iterator[RecordDesk]:
    """Return an opened record with somebody at it."""
    with RecordDesk(job, plan, Clock()) as opened:
        opened.by = "R. Alder"
        yield opened


def within(point: ReadingPoint) -> float | str:
    """Return a value that lies within a reading's band, at its edge where it has one."""
    reading = point.reading
    if is_free(reading):
        return "dry"
    limit = reading.high if reading.high is not None else reading.low
    return printed(limit) if limit is not None else 10.0


def agree(desk: RecordDesk, point: Point) -> None:
    """Accept or sign a step."""
    kind, value = ("sign", "R. Alder, J. Birch") if point.signed else ("accept", True)
    desk.add(desk.entry(kind, point.key, value, more={"seal": point.seal}))  # type: ignore[arg-type]


Leaves = Callable[[str], bool]


def record_all(desk: RecordDesk, *, leave_out: Leaves = lambda _key: False) -> None:
    """Record every reading and accept every step, but for some."""
    for point in desk.points:
        for reading in point.readings:
            if not leave_out(reading.key):
                keep_reading(desk, reading, within(reading))
        if (point.accept or point.signed) and not leave_out(point.key):
            agree(desk, point)


def reading_of(desk: RecordDesk, name: str) -> ReadingPoint:
    """Return a reading by the rule's name for it."""
    found = (one for point in desk.points for one in point.readings if one.reading.id == name)
    return next(found)
