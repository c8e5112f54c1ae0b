"""One person at a job file: the second is told, and every answer is on disk at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import InputError
from planner.job.desk import Desk
from planner.job.file import read_job
from planner.rulebase.base import RuleBase


def test_every_answer_is_on_disk_before_the_next_question(tmp_path: Path, base: RuleBase) -> None:
    """The file holds the answer while the desk is still open."""
    path = tmp_path / "van.yaml"
    with Desk(path, base) as desk:
        desk.keep({"roof.moves": True})
        assert read_job(path, base).answers == {"roof.moves": True}
        desk.keep({"roof.moves": None})
        assert read_job(path, base).answers == {}


def test_the_second_person_is_told_who_holds_the_file(tmp_path: Path, base: RuleBase) -> None:
    """Two surveys of one van do not overwrite each other."""
    path = tmp_path / "van.yaml"
    with Desk(path, base) as first:
        first.keep({"roof.moves": True})
        with pytest.raises(InputError, match=r"open elsewhere: .* process"), Desk(path, base):
            pass
    with Desk(path, base) as later:
        assert later.answers == {"roof.moves": True}


def test_a_change_by_other_hands_is_not_overwritten(tmp_path: Path, base: RuleBase) -> None:
    """An editor that saved meanwhile wins; the message says how to go on."""
    path = tmp_path / "van.yaml"
    with Desk(path, base) as desk:
        desk.keep({"roof.moves": True})
        path.write_text("roof: {moves: false}\n")
        with pytest.raises(InputError, match="picks up from the changed file"):
            desk.keep({"roof.material": "grp"})
    assert read_job(path, base).answers == {"roof.moves": False}


def test_a_faulty_file_is_refused_and_left_unlocked(tmp_path: Path, base: RuleBase) -> None:
    """The lock is not left behind when the file cannot be read."""
    path = tmp_path / "van.yaml"
    path.write_text("rof: {}\n")
    for _ in range(2):
        with pytest.raises(InputError, match="unknown section"), Desk(path, base):
            pass
