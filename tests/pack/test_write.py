"""Writing a pack: all files together or none, and nothing of anybody else's is touched."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from planner import folder, paths
from planner.errors import InputError
from planner.job.file import read_job
from planner.pack.write import FILES, write_pack
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase


@pytest.fixture(scope="module")
def plan(base: RuleBase) -> Plan:
    """Return the plan of the first demo."""
    return make_plan(read_job(paths.DEMOS / "lifting-grp.yaml", base), base, every_fact=True)


def contents(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_same_plan_gives_the_same_bytes_and_replaces_an_earlier_pack(
    tmp_path: Path, plan: Plan
) -> None:
    """Packs are reproducible: no clock and no chance inside."""
    said: list[str] = []
    files = write_pack(plan, tmp_path / "pack", progress=said.append)
    assert [path.name for path in files] == list(FILES)
    first = contents(tmp_path)
    write_pack(plan, tmp_path / "pack")
    assert contents(tmp_path) == first
    assert said


def test_a_folder_with_other_things_is_left_alone(tmp_path: Path, plan: Plan) -> None:
    """Somebody's photographs are never replaced by a pack."""
    (tmp_path / "van.jpg").write_text("a photograph")
    with pytest.raises(InputError, match=r"holds other things, such as 'van\.jpg'"):
        write_pack(plan, tmp_path)
    assert contents(tmp_path) == {"van.jpg": b"a photograph"}


def test_a_file_or_link_in_the_way_is_said_plainly(tmp_path: Path, plan: Plan) -> None:
    """A file is not overwritten by a folder, and a link is not followed."""
    (tmp_path / "pack").write_text("mine")
    (tmp_path / "link").symlink_to(tmp_path)
    for name in ("pack", "link"):
        with pytest.raises(InputError, match=r"a (file|link) stands where"):
            write_pack(plan, tmp_path / name)


def test_a_failure_on_the_way_leaves_the_old_pack_whole(
    tmp_path: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk in the middle of writing changes nothing and leaves nothing behind."""
    write_pack(plan, tmp_path / "pack")
    before = contents(tmp_path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder, "_fill", full)
    with pytest.raises(InputError, match="No space left on device; nothing was written"):
        write_pack(plan, tmp_path / "pack")
    assert contents(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir()] == ["pack"]


def test_a_place_that_cannot_be_written_is_said_plainly(tmp_path: Path, plan: Plan) -> None:
    """A file where a parent folder should be."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(InputError, match="cannot write here"):
        write_pack(plan, tmp_path / "file" / "pack")


@pytest.mark.parametrize("form", [{"only": "summary"}, {"only": "method"}, {"customer": True}])
def test_a_short_form_never_takes_the_place_of_a_whole_pack(
    tmp_path: Path, plan: Plan, form: dict[str, Any]
) -> None:
    """A short form is documents alone; a whole pack may replace it, but not the other way."""
    files = write_pack(plan, tmp_path / "pack", **form)
    assert [path.name for path in files] == ["pack.html", "pack.pdf", "pack.md"]
    write_pack(plan, tmp_path / "pack", **form)
    write_pack(plan, tmp_path / "pack")
    whole = contents(tmp_path)
    with pytest.raises(InputError, match="a whole pack lies here"):
        write_pack(plan, tmp_path / "pack", **form)
    assert contents(tmp_path) == whole
