"""Job files of every released version still open; one from a newer version is refused politely."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from planner.errors import InputError
from planner.job import migrate, write
from planner.job.desk import Desk
from planner.job.file import parse_job, read_job
from planner.job.migrate import FORMAT, FORMAT_KEY, Move, migrated, moves_for
from planner.job.nested import at, has, path_of
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.rulebase.values import UNKNOWN
from planner.yamltext import read_file, read_text

RELEASED = sorted((Path(__file__).parents[1] / "released").glob("*/*.yaml"))


def test_every_format_has_files_to_try() -> None:
    """Whoever raises the format keeps files of the one before, and adds some of the new one."""
    assert {path.parent.name for path in RELEASED} == {str(n) for n in range(1, FORMAT + 1)}
    assert len(RELEASED) >= 3


@pytest.mark.parametrize("path", RELEASED, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_released_file_opens_with_every_answer(
    path: Path, tmp_path: Path, base: RuleBase
) -> None:
    """It is read, planned and written to; no answer is lost, whatever it is called today."""
    job = read_job(path, base)
    brought_up = migrated(read_file(path))
    written = {name for name in base.questions if has(brought_up.value, path_of(name))}
    assert set(job.answers) == written
    assert len(written) >= 6
    for name in written:
        raw = at(brought_up.value, path_of(name))
        if base.questions[name].kind == "moment":
            raw = raw.replace("T", " ")
        assert job.answers[name] == (UNKNOWN if raw is None else raw)
    assert make_plan(job, base).timetable
    copy = tmp_path / "van.yaml"
    copy.write_bytes(path.read_bytes())
    with Desk(copy, base) as desk:
        desk.keep({"job.crew": 3})
    again = read_job(copy, base)
    assert {**again.answers, "job.crew": 0} == {**job.answers, "job.crew": 0}


@pytest.mark.parametrize("number", [FORMAT + 1, 99, 10**17])
def test_a_newer_file_is_refused_and_left_alone(
    number: int, tmp_path: Path, base: RuleBase
) -> None:
    """One message: its format, ours, what to do; its unknown answers are not complained of."""
    path = tmp_path / "van.yaml"
    text = f"{FORMAT_KEY}: {number}\nhull: {{depth: 3}}\n"
    path.write_text(text, encoding="utf-8")
    message = f"van.yaml:1: this job file has format {number}; this lidwork reads format {FORMAT}\n"
    with pytest.raises(InputError, match=f"{message}  Install a newer lidwork"):
        read_job(path, base)
    with pytest.raises(InputError, match="Install a newer"), Desk(path, base):
        pass
    assert path.read_text(encoding="utf-8") == text


@pytest.mark.parametrize("said", ["0", "-1", "true", "one", "1.5", "[1]", "", "9" * 400])
def test_what_is_no_format_is_said(said: str, base: RuleBase) -> None:
    """The message shows what to write."""
    with pytest.raises(InputError, match=f"van.yaml:1: .*\n  Write '{FORMAT_KEY}: {FORMAT}'"):
        parse_job(f"{FORMAT_KEY}: {said}\n", "van.yaml", base)


def doubled(value: Any) -> Any:
    """Return twice a number, and anything else as it is."""
    return value * 2 if isinstance(value, int | float) else value


#: Invented changes of two later formats: renamed, moved to another section, rescaled, dropped.
LATER = {
    1: (
        Move("roof.skin_mm", "roof.thickness_mm"),
        Move("van.height", "vehicle.height_mm", doubled),
    ),
    2: (Move("roof.thickness_mm", "roof.shell_mm"), Move("job.mood", "")),
}
OLD = """# mine
roof:
  skin_mm: 4.2  # at the vent
van: {height: 1000}
job: {mood: good, crew: 2}
"""


def test_moves_run_one_format_after_another() -> None:
    """An answer renamed twice arrives; its line in messages is where it stands in the file."""
    tree = migrated(read_text(OLD, "van.yaml"), 3, LATER)
    assert tree.value == {
        "roof": {"shell_mm": 4.2}, "van": {}, "vehicle": {"height_mm": 2000}, "job": {"crew": 2}
    }  # fmt: skip
    assert tree.where(("roof", "shell_mm")) == "van.yaml:3"
    assert tree.where(("vehicle", "height_mm")) == "van.yaml:4"
    halfway = read_text(f"{FORMAT_KEY}: 2\nroof: {{thickness_mm: 5, skin_mm: 1}}", "van.yaml")
    assert [move.old for move in moves_for(halfway, 3, LATER)] == ["roof.thickness_mm", "job.mood"]
    assert migrated(halfway, 3, LATER).value["roof"] == {"shell_mm": 5, "skin_mm": 1}


@pytest.mark.parametrize("text", ["", "roof:\n", "roof: 3", "- a", "van: {height: {a: 1}}"])
def test_moves_take_files_of_any_shape(text: str) -> None:
    """Faults are the checker's to report; the moves only pass them on."""
    migrated(read_text(text, "van.yaml"), 3, LATER)


def test_the_file_itself_is_brought_up_when_an_answer_is_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Comments stay, and the file says its new format."""
    monkeypatch.setattr(write, "FORMAT", 3)
    monkeypatch.setattr(write, "moves_for", lambda tree: moves_for(tree, 3, LATER))
    monkeypatch.setattr(write, "format_of", lambda tree: migrate.format_of(tree, 3))
    text = write.updated(OLD, "van.yaml")
    assert "# mine" in text
    found = read_text(text, "van.yaml").value
    assert found.pop(FORMAT_KEY) == 3
    assert found["roof"] == {"shell_mm": 4.2}
    assert found["vehicle"] == {"height_mm": 2000}
    assert found["job"] == {"crew": 2}
    assert write.updated(text, "van.yaml") == text
