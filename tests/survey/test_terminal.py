"""The question flow by keystrokes in a real terminal, killed in the middle and resumed."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pexpect
import pytest

from planner import paths
from planner.job.file import read_job
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.rulebase.model import ListField, Question
from planner.survey import flow

DOWN, ENTER, CLEAR = "\x1b[B", "\r", "\x15"
#: Between two words stand blanks, or the end of a line with the codes that draw the next.
GAP = r"(?:\s|\x1b\[[\d;?]*[A-Za-z])+"
QUICK_S = 20
WIDE = (60, 300)


class Fitter:
    """Somebody at the terminal who knows every answer of a job."""

    def __init__(self, path: Path, base: RuleBase, truth: Mapping[str, Any]) -> None:
        self.path, self.base, self.truth = path, base, truth
        self.screen = self.sit_down()

    def sit_down(self) -> Any:
        """Start the survey in a new terminal, as wide as the terminal says and no variable."""
        environment = {**os.environ, "TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"}
        environment.pop("COLUMNS", None)
        return pexpect.spawn(
            sys.executable,
            ["-m", "planner", "survey", str(self.path)],
            dimensions=WIDE,
            encoding="utf-8",
            timeout=QUICK_S,
            env=environment,
        )

    def read(self, text: str) -> None:
        """Wait until a text is on the screen, wherever its lines end."""
        self.screen.expect(GAP.join(map(re.escape, text.split())))

    def kept(self) -> Mapping[str, Any]:
        """Return the answers on disk."""
        return read_job(self.path, self.base).answers if self.path.exists() else {}

    def next_question(self, *, first_pass: bool) -> Question | None:
        """Return the question that the flow asks next."""
        waiting = flow.to_ask(self.base, self.kept(), first_pass=first_pass)
        return waiting[0] if waiting else None

    def answer(self, question: Question, value: Any) -> None:
        """Type one answer and wait until it is on disk."""
        self.read(question.ask)
        time.sleep(0.03)
        self.screen.send("".join(self._keys(question, value)))
        if question.kind == "list" and question.fields and value != "unknown":
            self._entries(question, value)
        deadline = time.monotonic() + QUICK_S
        while self.kept().get(question.fact) != value:
            assert time.monotonic() < deadline, f"{question.fact}: {value!r} is not in the job file"
            time.sleep(0.01)

    def _keys(self, question: Question, value: Any) -> Iterator[str]:
        named: list[Any] = list(question.options) or [True, False]
        if question.kind == "list" and question.fields:
            if value == "unknown":
                yield DOWN * 2 + ENTER
        elif question.kind in ("choice", "yes_no"):
            yield DOWN * (len(named) if value == "unknown" else named.index(value)) + ENTER
        else:
            text = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
            yield CLEAR + text + ENTER

    def _entries(self, question: Question, entries: list[Mapping[str, Any]]) -> None:
        for entry in entries:
            self.screen.send(DOWN + ENTER)
            if question.presets:
                self.screen.expect_exact("A usual one?")
                self.screen.send(ENTER)
            for field in question.fields:
                self._field(field, entry.get(field.fact))
            self.screen.expect_exact("in the list")
            time.sleep(0.03)
        self.screen.send(ENTER)

    def _field(self, field: ListField, value: Any) -> None:
        self.read(field.ask)
        time.sleep(0.03)
        if field.options:
            self.screen.send(DOWN * list(field.options).index(value) + ENTER)
        elif field.kind == "yes_no":
            self.screen.send("y" if value else "n")
        else:
            self.screen.send(("" if value is None else str(value)) + ENTER)


def answer_all(fitter: Fitter, *, first_pass: bool, stop_after: int = 10_000) -> None:
    """Answer what is asked, from what the fitter knows."""
    for _ in range(stop_after):
        question = fitter.next_question(first_pass=first_pass)
        if question is None:
            return
        fitter.answer(question, fitter.truth[question.fact])


@pytest.fixture
def fitter(tmp_path: Path, base: RuleBase) -> Iterator[Fitter]:
    """Seat a fitter who knows the first demo job by heart."""
    truth = dict(read_job(paths.DEMOS / "lifting-grp.yaml", base).answers)
    for question in base.questions.values():
        truth.setdefault(question.fact, "unknown")
    someone = Fitter(tmp_path / "van.yaml", base, truth)
    yield someone
    someone.screen.close(force=True)


CREW = "job.crew"


def test_the_whole_flow_by_keystrokes(fitter: Fitter, base: RuleBase) -> None:
    """One step back, one unknown, one kill -9 and a resume give the hand-written job's plan."""
    answer_all(fitter, first_pass=True, stop_after=2)
    go_back_and_mistype_the_crew(fitter)
    answer_all(fitter, first_pass=True, stop_after=8)
    be_killed_and_resume(fitter)
    leave_one_unknown(fitter)
    answer_all(fitter, first_pass=True)
    from_the_menu(fitter, DOWN)
    change(fitter, base.questions[CREW], fitter.truth[CREW])
    from_the_menu(fitter, DOWN * 2)
    answer_the_rest(fitter)
    from_the_menu(fitter, "")
    fitter.screen.expect_exact("See the plan with")

    by_hand = read_job(paths.DEMOS / "lifting-grp.yaml", base)
    by_keys = read_job(fitter.path, base)
    known = {name: value for name, value in by_keys.answers.items() if value != "unknown"}
    assert known == by_hand.answers
    assert make_plan(by_keys, base).timetable == make_plan(by_hand, base).timetable


def go_back_and_mistype_the_crew(fitter: Fitter) -> None:
    """At the third question go back to the second, and answer it wrongly."""
    third = fitter.next_question(first_pass=True)
    assert third is not None
    assert CREW in fitter.kept()
    fitter.read(third.ask)
    fitter.screen.send(DOWN * (len(third.options or (1, 2)) + 1) + ENTER)
    fitter.answer(fitter.base.questions[CREW], fitter.truth[CREW] + 1)


def be_killed_and_resume(fitter: Fitter) -> None:
    """Kill the survey without warning; every answer given is on disk."""
    before = fitter.kept()
    fitter.screen.kill(9)
    fitter.screen.close(force=True)
    assert fitter.kept() == before
    fitter.screen = fitter.sit_down()
    fitter.screen.expect_exact("going on where you left off")


def leave_one_unknown(fitter: Fitter) -> None:
    """Answer the next question with: not known."""
    question = fitter.next_question(first_pass=True)
    assert question is not None
    fitter.answer(question, "unknown")


def from_the_menu(fitter: Fitter, keys: str) -> None:
    """Choose from the menu that follows the first pass."""
    fitter.screen.expect_exact("What now?")
    fitter.screen.send(keys + ENTER)


def change(fitter: Fitter, question: Question, value: Any) -> None:
    """On the review screen, choose a question that is answered by typing, and change it."""
    fitter.screen.expect_exact("Choose one to change it")
    listed = flow.mattering(fitter.base, fitter.kept())
    fitter.screen.send(DOWN * (listed.index(question) + 1) + ENTER)
    fitter.answer(question, value)
    fitter.screen.expect_exact("Choose one to change it")
    fitter.screen.send(ENTER)


def answer_the_rest(fitter: Fitter) -> None:
    """Answer the second pass: every question once, those that are not known left unknown."""
    passed: set[str] = set()
    while True:
        waiting = [
            question
            for question in flow.to_ask(fitter.base, fitter.kept(), first_pass=False)
            if question.fact not in passed
        ]
        if not waiting:
            return
        passed.add(waiting[0].fact)
        fitter.answer(waiting[0], fitter.truth[waiting[0].fact])


def test_without_a_terminal_it_points_to_the_job_file(tmp_path: Path) -> None:
    """In a script the survey says so in one message and touches nothing."""
    done = subprocess.run(
        [sys.executable, "-m", "planner", "survey", tmp_path / "van.yaml"],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "the survey needs a terminal to ask in" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_ctrl_c_leaves_a_valid_file_and_says_how_to_go_on(fitter: Fitter) -> None:
    """Stopping by Ctrl-C is no error: the answers are there, and the way back is shown."""
    answer_all(fitter, first_pass=True, stop_after=2)
    kept = fitter.kept()
    fitter.screen.send("\x03")
    fitter.screen.expect_exact("Go on with: lidwork survey")
    fitter.screen.expect(pexpect.EOF)
    assert fitter.kept() == kept
    assert len(kept) == 2
