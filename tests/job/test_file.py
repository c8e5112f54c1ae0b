"""The job file: every fault with its line; answers written without losing comments."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import InputError
from planner.job.file import parse_job, read_job
from planner.job.write import with_answer, write_atomically
from planner.rulebase.base import RuleBase
from planner.yamltext import read_text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "roof: {materal: grp}",
            r"van.yaml:1: unknown answer 'roof.materal'\n  Did you mean 'roof.",
        ),
        ("rof: {material: grp}", r"van.yaml:1: unknown section 'rof'\n  Did you mean 'roof'"),
        (
            "\nroof:\n  material: grpp",
            r"van.yaml:3: roof.material: 'grpp' is not a choice. Did you",
        ),
        ("panel: {mass_kg: heavy}", "panel.mass_kg: 'heavy' is not a number. Give .* kg"),
        ("panel: {mass_kg: -3}", "panel.mass_kg: -3 kg is out of range"),
        ("roof: 3", "section 'roof' must hold named answers"),
        ("- roof", "a job file names sections"),
        ("use: {months: []}", "use.months: the list has 0 entries"),
        ("job_format: 99", "has format 99; this lidwork reads format 1\n  Install a newer"),
        (
            "roof: {moves: false}\nlift: {opening_mm: 400}",
            "van.yaml:2: lift.opening_mm is answered",
        ),
        (
            "panel: {length_mm: 2400, width_mm: 1100}\nroof: {length_mm: 2000, width_mm: 1000}",
            "van.yaml:1: panel.length_mm: the panel .* is larger than the roof",
        ),
    ],
)
def test_a_faulty_job_file_says_where_what_and_how(base: RuleBase, text: str, message: str) -> None:
    """Each kind of bad input is one clear message with its place."""
    with pytest.raises(InputError, match=message):
        parse_job(text, "van.yaml", base)


def test_all_faults_come_at_once(base: RuleBase) -> None:
    """Nobody likes to mend a file one message at a time."""
    with pytest.raises(InputError) as caught:
        parse_job("roof: {materal: grp, length_mm: 0}\npanel: {mass_kg: x}\n", "van.yaml", base)
    assert len(caught.value.faults) == 3


def test_an_empty_file_is_a_job_with_no_answers(base: RuleBase) -> None:
    """A fitter may begin with an empty file."""
    assert parse_job("", "van.yaml", base).answers == {}


def test_the_revision_follows_the_answers_not_the_layout(base: RuleBase) -> None:
    """Comments and order do not make a new revision; an answer does."""
    one = parse_job("roof: {material: grp, moves: true}", "a", base)
    same = parse_job("# mine\nroof:\n  moves: true\n  material: grp\n", "b", base)
    other = parse_job("roof: {material: grp, moves: false}", "c", base)
    assert one.revision == same.revision != other.revision


def test_comments_and_other_answers_survive_a_rewrite() -> None:
    """The tool writes one answer and leaves the rest as the fitter wrote it."""
    text = "# my van\nroof:\n  material: grp  # checked with a magnet\n  moves: true\n"
    written = with_answer(text, "panel.mass_kg", 11.8)
    assert "# my van" in written
    assert "# checked with a magnet" in written
    assert read_text(written, "x").value == {
        "roof": {"material": "grp", "moves": True},
        "panel": {"mass_kg": 11.8},
    }


@given(st.text(st.characters(exclude_categories=["Cs", "Cc", "Cf", "Zl", "Zp"]), min_size=1))
def test_any_text_answer_comes_back_as_typed(text: str) -> None:
    """Names with colons, quotes, braces or other scripts are data, never markup."""
    written = with_answer("", "job.vehicle", text)
    assert read_text(written, "x").value["job"]["vehicle"] == text


def test_nothing_is_overwritten_when_the_file_changed_meanwhile(tmp_path: Path) -> None:
    """A file edited by hand during the survey is left alone, and said so."""
    path = tmp_path / "van.yaml"
    path.write_text("roof: {moves: true}\n")
    with pytest.raises(InputError, match="changed by someone else meanwhile"):
        write_atomically(path, "new", "what was read before")
    assert path.read_text() == "roof: {moves: true}\n"
    assert list(tmp_path.iterdir()) == [path]


def test_a_place_that_cannot_be_written_is_said_plainly(tmp_path: Path) -> None:
    """A missing folder gives one message and leaves nothing behind."""
    with pytest.raises(InputError, match="cannot write: No such file"):
        write_atomically(tmp_path / "absent" / "van.yaml", "x", None)


def test_a_job_file_is_never_half_there(tmp_path: Path, base: RuleBase) -> None:
    """Writing replaces the file in one step and keeps ordinary permissions."""
    path = tmp_path / "van.yaml"
    write_atomically(path, "roof: {moves: true}\n", None)
    assert read_job(path, base).answers == {"roof.moves": True}
    assert stat.S_ISREG(path.stat().st_mode)
    assert [entry.name for entry in tmp_path.iterdir()] == ["van.yaml"]
