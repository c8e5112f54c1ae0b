"""The record's questions by keystrokes in a real terminal: judged at once, kept at once."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pexpect
import pytest

from planner.plan.model import Plan
from planner.record.book import Book
from planner.record.desk import RecordDesk, read_book
from planner.record.judge import limits
from planner.record.points import points
from planner.record.store import read, record_path

from .conftest import JPEG, Clock, agree, reading_of, record_all

DOWN, ENTER, CLEAR, SPACE = "\x1b[B", "\r", "\x15", " "
QUICK_S = 30
#: Runs the record as the command does: the only clock is the machine's, given from outside.
PROGRAM = """
import sys
from datetime import datetime
from pathlib import Path
from planner.errors import LidworkError
from planner.record.terminal import record
from planner.rulebase.load import built_in
try:
    clock = lambda: datetime.now().astimezone()
    record(Path(sys.argv[1]), built_in(), print, clock=clock)
except LidworkError as error:
    print(error)
    sys.exit(2)
"""


class Sitting:
    """Somebody at the terminal."""

    def __init__(self, job: Path) -> None:
        self.screen: Any = pexpect.spawn(
            sys.executable,
            ["-c", PROGRAM, str(job)],
            dimensions=(60, 200),
            encoding="utf-8",
            timeout=QUICK_S,
            env={**os.environ, "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"},
        )

    def at(self, shown: str, keys: str) -> None:
        """Wait until something is shown, then type."""
        self.screen.expect_exact(shown)
        self.screen.send(keys)

    def begin(self, name: str = "R. Alder") -> None:
        """Say who writes."""
        self.at("Who writes?", CLEAR + name + ENTER)


Sit = Callable[[], Sitting]


@pytest.fixture
def sit(job: Path) -> Iterator[Sit]:
    """Return a way to seat a fitter at the record of the demo job."""
    seated: list[Sitting] = []

    def one_more() -> Sitting:
        seated.append(Sitting(job))
        return seated[-1]

    yield one_more
    for someone in seated:
        someone.screen.close(force=True)


def nearly_done(job: Path, plan: Plan, *left: str) -> None:
    """Record all but some things beforehand."""
    with RecordDesk(job, plan, Clock()) as desk:
        desk.by = "R. Alder"
        record_all(desk, leave_out=lambda key: key in left)


def reading_key(job: Path, plan: Plan, name: str) -> tuple[str, str]:
    """Return the record's name of a reading, and its band in words."""
    with RecordDesk(job, plan, Clock()) as desk:
        point = reading_of(desk, name)
    return point.key, limits(point.reading)


def test_a_reading_outside_is_judged_measured_again_and_both_values_stay(
    sit: Sit, job: Path, plan: Plan
) -> None:
    """Type nonsense, then a value below the band, then one within; the first stays on file."""
    voc, band = reading_key(job, plan, "bench-voc")
    nearly_done(job, plan, voc)
    sitting = sit()
    sitting.begin()
    sitting.at("go on at step", ENTER)
    sitting.at(f"Open-circuit voltage [V], {band}", "volts" + ENTER)
    sitting.at('"volts" is not a number', CLEAR + "19.1" + ENTER)
    sitting.screen.expect_exact(f"19.1 V is below the limit, {band}: check the meter")
    sitting.at("It is outside its limit", ENTER)
    sitting.at("Open-circuit voltage", "22,1" + ENTER)
    sitting.screen.expect_exact("22.1 V is within the limit")
    sitting.at("close the job", ENTER)
    sitting.at("Closed by", ENTER)
    sitting.at("Closed on", DOWN * 5 + ENTER)
    sitting.screen.expect(pexpect.EOF)
    book = read_book(job, plan)
    assert [entry.value for entry in book.history("reading", voc)] == [19.1, 22.1]
    assert book.closed is not None


def test_killed_without_warning_nothing_said_is_lost(
    sit: Sit, job: Path, plan: Plan
) -> None:
    """Accept two steps, be killed, come back: it goes on at the third."""
    first, second, third = points(plan)[:3]
    sitting = sit()
    sitting.begin()
    sitting.at("go on at step 1", ENTER)
    for point in (first, second):
        sitting.screen.expect_exact(f"  {point.title}")
        sitting.at("stop here", ENTER)
    sitting.screen.expect_exact(f"  {third.title}")
    sitting.screen.kill(9)
    sitting.screen.close(force=True)
    with RecordDesk(job, plan, Clock()) as desk:
        assert [entry.kind for entry in desk.book.entries] == ["plan", "accept", "accept"]
        assert desk.book.entries[-1].by == "R. Alder"
    again = sit()
    again.at("Who writes?", ENTER)
    again.screen.expect_exact(f"go on at step {third.number}: {third.title}")
    again.screen.close(force=True)


def test_signing_needs_the_readings_and_the_names(
    sit: Sit, job: Path, plan: Plan
) -> None:
    """A hold point for two people is not signed by one."""
    nearly_done(job, plan, "prove-polarity")
    sitting = sit()
    sitting.begin()
    sitting.at("go on at step", ENTER)
    sitting.at("HOLD POINT", "")
    sitting.at("yes, signed by: Fitter and a second pair of eyes", ENTER)
    sitting.at("Signed by (Fitter and a second pair of eyes)", "RA" + ENTER)
    sitting.at("Write both names with a comma between", CLEAR + "R. Alder, J. Birch" + ENTER)
    sitting.screen.expect_exact("0 things open")
    sitting.screen.close(force=True)
    signed = book_of(job, plan).now("sign", "prove-polarity")
    assert signed is not None
    assert signed.value == "R. Alder, J. Birch"


def book_of(job: Path, plan: Plan) -> Book:
    """Return the record as it stands on disk."""
    return read_book(job, plan)


def test_ticks_photographs_and_deviations(
    sit: Sit, job: Path, plan: Plan, tmp_path: Path
) -> None:
    """The other deeds of the menu, one after the other."""
    nearly_done(job, plan, "wash-roof", "mark-datum")
    (tmp_path / "IMG 7.jpg").write_bytes(JPEG)
    sitting = sit()
    sitting.begin()
    sitting.at("What now?", DOWN + ENTER)
    sitting.at("Which phase?", ENTER)
    sitting.at("Tick what was right", SPACE + ENTER)
    sitting.at("1 step accepted", DOWN * 3 + ENTER)
    sitting.at("Which file?", str(tmp_path / "gone.jpg") + ENTER)
    sitting.at("there is no such photograph", DOWN * 3 + ENTER)
    sitting.at("Which file?", "~nobody-of-this-name/a.jpg" + ENTER)
    sitting.at("there is no such photograph", DOWN * 3 + ENTER)
    sitting.at("Which file?", f"'{tmp_path / 'IMG 7.jpg'}'" + ENTER)
    sitting.at("Of which step?", "999" + ENTER)
    sitting.at("Write the step's number", CLEAR + ENTER)
    sitting.at("What does it show?", "the bead" + ENTER)
    sitting.at("Kept as van.yaml.photos/001-job-img-7.jpg", DOWN * 4 + ENTER)
    sitting.at("At which step?", "1" + ENTER)
    sitting.at("What was done otherwise", "parked on grass" + ENTER)
    sitting.at("Why?", "no drive" + ENTER)
    sitting.screen.expect_exact("Written down.")
    sitting.screen.close(force=True)
    book = book_of(job, plan)
    assert [matter.key for matter in book.open()] == ["mark-datum"]
    assert [entry.value for entry in book.standing("photo")] == ["the bead"]
    assert [entry.why for entry in book.standing("deviation")] == ["no drive"]


def test_a_record_of_another_plan_is_said_and_may_be_left(
    sit: Sit, job: Path, plan: Plan
) -> None:
    """An answer changed after the work began: nothing is added before the fitter decides."""
    with RecordDesk(job, plan, Clock()) as desk:
        agree(desk, desk.points[0])
    before = record_path(job).read_bytes()
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("height_mm: 1995", "height_mm: 2001"), encoding="utf-8")
    sitting = sit()
    sitting.begin()
    sitting.screen.expect_exact("THIS RECORD WAS MADE FOR ANOTHER PLAN: revision")
    sitting.at("Is it the same van?", ENTER)
    sitting.screen.expect(pexpect.EOF)
    assert record_path(job).read_bytes() == before
    sitting = sit()
    sitting.begin()
    sitting.at("Is it the same van?", DOWN + ENTER)
    sitting.at("Why did the plan change?", "measured again" + ENTER)
    sitting.screen.expect_exact("What now?")
    sitting.screen.close(force=True)
    whys = [one.why for one in read(record_path(job)).entries if one.kind == "plan"]
    assert whys == ["begun", "measured again"]


def test_without_a_terminal_it_says_so(job: Path) -> None:
    """In a script: one message, and nothing is written."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, job],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "the record needs a terminal to ask in" in done.stdout
    assert not record_path(job).exists()
