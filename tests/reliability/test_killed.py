"""Killed without warning at any moment: at most the answer being kept is lost, never the file.

Survey and record are killed at 40 random moments each; set LIDWORK_FULL=1 for 200 each.
"""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from planner import paths
from planner.errors import InputError
from planner.job import desk as desk_module
from planner.job import write
from planner.job.desk import Desk
from planner.job.file import parse_job, read_job
from planner.plan.model import Plan
from planner.record import photos, store
from planner.record.desk import RecordDesk, plan_of
from planner.record.model import Entry, Plain
from planner.rulebase.base import RuleBase
from planner.survey import terminal
from planner.words import counted

from ..survey.test_terminal import Fitter, answer_all
from .child import Tell, child

KILLS = 200 if os.environ.get("LIDWORK_FULL") == "1" else 40
FACT = "job.reference"


def keep_on_answering(path: Path, base: RuleBase) -> Callable[[Tell], None]:
    """Return the work of someone who answers one question after another without end."""

    def work(tell: Tell) -> None:
        with Desk(path, base) as desk:
            number = int(desk.answers.get(FACT, 0))
            tell(f"open {number}")
            while True:
                number += 1
                desk.keep({FACT: str(number)})
                tell(f"kept {number}")

    return work


def test_kills_at_random_lose_at_most_the_answer_being_kept(
    tmp_path: Path, base: RuleBase
) -> None:
    """Every survey resumes where the one before was killed, from a file that is whole."""
    path = tmp_path / "van.yaml"
    path.write_text("# a fitter's own remark\nroof:\n  moves: true\n", encoding="utf-8")
    dice = random.Random(8)  # noqa: S311  - moments, not secrets
    last = 0
    for _ in range(KILLS):
        with child(keep_on_answering(path, base)) as survey:
            assert survey.line() == f"open {last}"
            time.sleep(dice.uniform(0.0, 0.04))
            told = survey.kill()
        kept = int(told[-1].split()[1]) if told else last
        answers = read_job(path, base).answers
        assert answers["roof.moves"] is True
        assert int(answers.get(FACT, 0)) in (kept, kept + 1)
        last = int(answers.get(FACT, 0))
    assert last > KILLS / 4, "the kills came before anything was written"
    assert "# a fitter's own remark" in path.read_text(encoding="utf-8")
    with Desk(path, base):
        pass
    assert not list(tmp_path.glob(".*.part")), "what the killed surveys left behind is cleared up"


def keep_on_recording(job: Path, plan: Plan, photo: Path) -> Callable[[Tell], None]:
    """Return the work of someone who records readings, now and then with a photograph."""

    def work(tell: Tell) -> None:
        with RecordDesk(job, plan, lambda: datetime.now(UTC)) as desk:
            desk.by = "R. Alder"
            reading = desk.points[0].key
            number = len(desk.book.history("note", reading))
            tell(f"open {number}")
            while True:
                number += 1
                more: dict[str, Plain] = {}
                if number % 3 == 0:
                    kept = photos.keep(job, photo, number, "holes")
                    more = {"file": kept.file, "sha256": kept.sha256}
                desk.add(desk.entry("note", reading, f"note {number}", more=more))
                tell(f"kept {number}")

    return work


def test_kills_at_random_lose_at_most_the_entry_being_recorded(
    tmp_path: Path, base: RuleBase
) -> None:
    """Every record goes on where the one before was killed; its photographs are all whole."""
    job = tmp_path / "van.yaml"
    job.write_bytes((paths.DEMOS / "lifting-grp.yaml").read_bytes())
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(256)) * 400)
    plan = plan_of(job, base)
    dice = random.Random(9)  # noqa: S311  - moments, not secrets
    last = 0
    for _ in range(KILLS):
        with child(keep_on_recording(job, plan, photo)) as record:
            assert record.line() == f"open {last}"
            time.sleep(dice.uniform(0.0, 0.02))
            told = record.kill()
        kept = int(told[-1].split()[1]) if told else last
        notes = _notes(job)
        assert [one.value for one in notes] == [f"note {n + 1}" for n in range(len(notes))]
        assert len(notes) in (kept, kept + 1)
        last = len(notes)
    assert last > KILLS / 4, "the kills came before anything was written"
    with_photo = [one for one in _notes(job) if one.more]
    assert with_photo
    for one in with_photo:
        assert photos.content(job, one)[1] == photo.read_bytes()
    with RecordDesk(job, plan, lambda: datetime.now(UTC)):
        pass
    assert not list(photos.folder_of(job).glob(".*")), "half copies are cleared up"


def _notes(job: Path) -> list[Entry]:
    return [one for one in store.read(store.record_path(job)).entries if one.kind == "note"]


#: Every call through which a change reaches the disk, with the module that makes it.
CALLS = [(os, "open"), (os, "fdopen"), (os, "fsync"), (Path, "chmod"), (Path, "replace")]


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("call", CALLS, ids=lambda call: call[1])
def test_killed_before_and_after_every_call_that_writes(
    call: tuple[Any, str], after: bool, tmp_path: Path, base: RuleBase
) -> None:
    """The old answer or the new one is in the file, whichever call the kill came at."""
    path = tmp_path / "van.yaml"
    path.write_text("roof: {moves: true}\n", encoding="utf-8")
    owner, name = call
    real = getattr(owner, name)

    def deadly(*args: Any, **kwargs: Any) -> Any:
        if after:
            real(*args, **kwargs)
        os.kill(os.getpid(), signal.SIGKILL)

    def work(tell: Tell) -> None:
        with Desk(path, base) as desk:
            setattr(owner, name, deadly)
            tell("answering")
            desk.keep({"roof.moves": False})
            tell("survived")

    with child(work) as survey:
        assert survey.end() == ["answering"]
    done = (name, after) == ("replace", True)
    assert read_job(path, base).answers == {"roof.moves": not done}
    with Desk(path, base) as desk:
        desk.keep({"roof.material": "grp"})
    assert read_job(path, base).answers["roof.material"] == "grp"


def test_killed_while_holding_the_file_the_next_is_let_in(tmp_path: Path, base: RuleBase) -> None:
    """While the first lives, the second is told its process; once it is dead, nothing hinders."""
    path = tmp_path / "van.yaml"
    with child(keep_on_answering(path, base)) as first:
        first.line()
        with pytest.raises(InputError, match=f"process {first.pid}"), Desk(path, base):
            pass
        first.kill()
    with Desk(path, base) as desk:
        assert int(desk.answers.get(FACT, 0)) >= 0


def test_an_answer_that_makes_others_pointless_is_one_write(
    tmp_path: Path, base: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A kill between two writes would leave answers that do not fit together: a faulty file."""
    path = tmp_path / "van.yaml"
    path.write_text("roof: {moves: true}\nlift: {opening_mm: 400, hinge: rear}\n", encoding="utf-8")
    writes: list[str] = []
    real = write.write_atomically

    def noted(path: Path, text: str, expected: str | None) -> None:
        writes.append(text)
        real(path, text, expected)

    monkeypatch.setattr(desk_module, "write_atomically", noted)
    said: list[str] = []
    with Desk(path, base) as desk:
        terminal._keep(desk, base, base.questions["roof.moves"], False, said.append)
        assert desk.answers == {"roof.moves": False}
    assert [parse_job(text, "van.yaml", base).answers for text in writes] == [{"roof.moves": False}]
    assert "removed" in said[0]


def test_a_faulty_file_is_never_written(tmp_path: Path, base: RuleBase) -> None:
    """Whoever keeps an answer that cannot stand beside the others is told, and the file stays."""
    path = tmp_path / "van.yaml"
    path.write_text("roof: {moves: false}\n", encoding="utf-8")
    with Desk(path, base) as desk, pytest.raises(InputError, match=r"lift.opening_mm is answered"):
        desk.keep({"lift.opening_mm": 400})
    assert path.read_text(encoding="utf-8") == "roof: {moves: false}\n"


def test_leftovers_of_any_kind_do_not_hinder_the_next_start(tmp_path: Path, base: RuleBase) -> None:
    """Lock, note and part files of a dead survey are taken over or removed."""
    path = tmp_path / "van.yaml"
    write.part_of(path).write_text("job: {ref", encoding="utf-8")
    (tmp_path / ".van.yaml.lock").write_bytes(b"\x00" * 50)
    (tmp_path / ".van.yaml.holder").write_bytes(b"\xff\x1b[2Jnobody")
    with Desk(path, base) as desk:
        desk.keep({"roof.moves": True})
    assert read_job(path, base).answers == {"roof.moves": True}
    assert not list(tmp_path.glob(".*.part"))


def test_killed_in_a_real_terminal(tmp_path: Path, base: RuleBase) -> None:
    """At three moments of typing, in the survey itself: every answer given is there again."""
    truth = dict(read_job(paths.DEMOS / "high-roof-steel.yaml", base).answers)
    for question in base.questions.values():
        truth.setdefault(question.fact, "unknown")
    fitter = Fitter(tmp_path / "van.yaml", base, truth)
    dice = random.Random(4)  # noqa: S311  - moments, not secrets
    for answered in (1, 0, 2):
        answer_all(fitter, first_pass=True, stop_after=answered)
        before = dict(fitter.kept())
        asked = fitter.next_question(first_pass=True)
        assert asked is not None
        fitter.read(asked.ask)
        fitter.screen.send("\x1b[B"[: dice.randint(1, 3)])
        time.sleep(dice.uniform(0.0, 0.05))
        fitter.screen.kill(signal.SIGKILL)
        fitter.screen.close(force=True)
        assert fitter.kept() == before
        fitter.screen = fitter.sit_down()
        if before:
            fitter.screen.expect_exact(f"{counted(len(before), 'answer')} kept")
    fitter.screen.close(force=True)
