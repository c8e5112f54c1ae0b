"""Full disks, folders without rights, links and other hands: said plainly, nothing overwritten."""

from __future__ import annotations

import errno
import hashlib
import os
import pickle
import resource
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.errors import InputError
from planner.job.desk import Desk
from planner.job.file import read_job
from planner.job.write import write_atomically
from planner.rulebase import cache
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.rulebase.model import KINDS
from planner.rulebase.packed import packed

from .child import Tell, told_by

NOBODY = 65534
OLD = "roof:\n  moves: true\n"


def answer(path: Path, base: RuleBase) -> None:
    """Open a job and keep one answer."""
    with Desk(path, base) as desk:
        desk.keep({"job.reference": "a job on a full disk " * 20})


def test_a_file_that_may_not_grow_is_left_as_it_was(tmp_path: Path, base: RuleBase) -> None:
    """The system's own limit on file size stands in for a full disk: a real failing write."""
    path = tmp_path / "van.yaml"
    path.write_text(OLD, encoding="utf-8")

    def work(_tell: Tell) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (60, 60))
        answer(path, base)

    told = told_by(work)
    assert len(told) == 1
    assert "van.yaml: cannot write: File too large" in told[0]
    assert "Everything answered before is in the file" in told[0]
    assert path.read_text(encoding="utf-8") == OLD
    assert not list(tmp_path.glob(".*.part"))


@pytest.mark.parametrize("call", ["open", "fsync"])
def test_a_full_disk_is_said_and_nothing_is_left_behind(
    call: str, tmp_path: Path, base: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No space for the new text: the old one stays, and so does what was answered before."""
    path = tmp_path / "van.yaml"
    path.write_text(OLD, encoding="utf-8")
    with Desk(path, base) as desk:

        def full(*_args: object, **_kwargs: object) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as patch:
            patch.setattr(os, call, full)
            with pytest.raises(InputError, match="cannot write: No space left on device\n  Free"):
                desk.keep({"roof.moves": False})
        assert path.read_text(encoding="utf-8") == OLD
        assert desk.answers == {"roof.moves": True}
        desk.keep({"roof.moves": False})
    assert [entry.name for entry in tmp_path.iterdir() if entry.suffix == ".part"] == []


@pytest.fixture
def public_folder() -> Iterator[Path]:
    """Return a folder that anybody can reach; pytest's own are closed to others."""
    with tempfile.TemporaryDirectory(prefix="lidwork-") as folder:
        place = Path(folder)
        yield place
        place.chmod(0o700)


def test_a_read_only_folder_is_said_before_the_first_question(
    public_folder: Path, base: RuleBase
) -> None:
    """Nobody answers a hundred questions to hear that they cannot be kept."""
    path = public_folder / "van.yaml"
    path.write_text(OLD, encoding="utf-8")
    public_folder.chmod(0o555)

    def work(_tell: Tell) -> None:
        if os.geteuid() == 0:
            os.setuid(NOBODY)
        answer(path, base)

    assert [line.partition("message: ")[2] for line in told_by(work)] == [
        f"{path}: cannot write here: Permission denied   Choose another folder."
    ]
    assert path.read_text(encoding="utf-8") == OLD


def test_a_file_without_reading_rights_is_said(public_folder: Path, base: RuleBase) -> None:
    """The message is the system's reason in plain words."""
    path = public_folder / "van.yaml"
    path.write_text(OLD, encoding="utf-8")
    path.chmod(0o000)
    public_folder.chmod(0o777)

    def work(_tell: Tell) -> None:
        if os.geteuid() == 0:
            os.setuid(NOBODY)
        answer(path, base)

    assert "van.yaml: cannot read: Permission denied" in told_by(work)[0]


@pytest.mark.parametrize("change", ["edited", "deleted", "made"])
def test_what_other_hands_did_meanwhile_is_not_overwritten(
    change: str, tmp_path: Path, base: RuleBase
) -> None:
    """Edited, deleted, or made anew by somebody else: the survey stops and says so."""
    path = tmp_path / "van.yaml"
    if change != "made":
        path.write_text(OLD, encoding="utf-8")
    with Desk(path, base) as desk:
        if change == "deleted":
            path.unlink()
        else:
            path.write_text("roof: {moves: false}\n", encoding="utf-8")
        with pytest.raises(InputError, match="changed by someone else meanwhile"):
            desk.keep({"roof.material": "grp"})
    if change == "deleted":
        assert not path.exists()
    else:
        assert path.read_text(encoding="utf-8") == "roof: {moves: false}\n"


def test_a_link_is_not_replaced_by_a_file(tmp_path: Path, base: RuleBase) -> None:
    """Replacing the link would leave the file behind it out of date without a word."""
    real = tmp_path / "real.yaml"
    real.write_text(OLD, encoding="utf-8")
    link = tmp_path / "van.yaml"
    link.symlink_to(real)
    with pytest.raises(InputError, match="this is a link to another file"):
        answer(link, base)
    with pytest.raises(InputError, match="this is a link to another file"):
        write_atomically(link, "new", OLD)
    assert link.is_symlink()
    assert read_job(link, base).answers == {"roof.moves": True}, "reading harms nobody"


def test_a_pipe_or_a_folder_is_no_place_for_answers(tmp_path: Path, base: RuleBase) -> None:
    """The survey does not wait for ever on a pipe that nobody writes to."""
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "folder.yaml").mkdir()
    for name in ("pipe.yaml", "folder.yaml"):
        with pytest.raises(InputError, match="not an ordinary file"):
            answer(tmp_path / name, base)


def test_the_rights_of_a_file_stay_as_they_were(tmp_path: Path, base: RuleBase) -> None:
    """A job that a colleague may read is readable after the rewrite; a new one follows umask."""
    path = tmp_path / "van.yaml"
    before = os.umask(0o027)
    try:
        answer(path, base)
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        path.chmod(0o664)
        answer(path, base)
        assert stat.S_IMODE(path.stat().st_mode) == 0o664
    finally:
        os.umask(before)


def test_windows_line_ends_stay(tmp_path: Path, base: RuleBase) -> None:
    """A file from another editor keeps its line ends; answers are the same."""
    path = tmp_path / "van.yaml"
    path.write_bytes(b"# a remark\r\nroof:\r\n  moves: true\r\n")
    with Desk(path, base) as desk:
        desk.keep({"roof.material": "grp"})
        desk.keep({"panel.mass_kg": 11.8})
    data = path.read_bytes()
    assert data.count(b"\r\n") == data.count(b"\n") == 6
    assert b"# a remark" in data
    assert read_job(path, base).answers == {
        "roof.moves": True, "roof.material": "grp", "panel.mass_kg": 11.8
    }  # fmt: skip


def test_a_system_that_cannot_lock_is_said(
    tmp_path: Path, base: RuleBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some network folders know no locks."""
    path = tmp_path / "van.yaml"
    desk = Desk(path, base)

    def unable() -> None:
        raise NotImplementedError("FileSystem does not appear to support flock")

    monkeypatch.setattr(desk._hold.lock, "acquire", unable)
    with pytest.raises(InputError, match="cannot write here: FileSystem does not"), desk:
        pass
    assert not path.exists()


def test_a_cache_that_cannot_be_written_is_no_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rules are then simply read again the next time; no half file is left."""
    base = built_in()
    rules = {kind: dict(getattr(base, kind)) for kind in ("tools",)}
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))

    def work(tell: Tell) -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (10, 10))
        cache.write("0" * 16, base.base, rules, {})
        tell("went on")

    assert told_by(work) == ["went on"]
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    cache.write("0" * 16, base.base, rules, {})
    assert cache.read("0" * 16) is None


def kept_cache(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the file in which the shipped rules are kept, in a folder of its own."""
    base = built_in()
    rules = {kind: dict(getattr(base, kind)) for kind in KINDS}
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
    cache.write("0" * 16, base.base, rules, dict(base.places))
    (kept,) = folder.rglob("rules-*")
    return kept


def test_the_cache_gives_back_what_was_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every rule, as YAML gave it, with the parts that were set and those left out."""
    kept_cache(tmp_path, monkeypatch)
    found = cache.read("0" * 16)
    assert found is not None
    head, rules, places = found
    base = built_in()
    assert (head, places) == (base.base, base.places)
    for kind in KINDS:
        held = getattr(base, kind)
        assert rules[kind] == held
        assert list(rules[kind]) == list(held)
        for name, rule in rules[kind].items():
            assert rule.model_dump(exclude_unset=True) == held[name].model_dump(exclude_unset=True)


def test_a_damaged_cache_is_read_past(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut short, nonsense, one byte changed, or of another shape: the rules come from their files.

    What is whole by its checksum may still be something else than rules.
    """
    kept = kept_cache(tmp_path, monkeypatch)
    whole = kept.read_bytes()
    assert cache.read("0" * 16) is not None
    for damaged in (b"", whole[: len(whole) // 2], b"[]", b"[" * 5000, b"\xff",
                    whole.replace(b"severity", b"sevErity", 1), packed([1]), packed((1, 2, 3)),
                    packed((built_in().base, {}, {}))):  # fmt: skip
        assert damaged != whole
        kept.write_bytes(damaged)
        assert cache.read("0" * 16) is None


def test_a_cache_that_others_could_have_written_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a folder that many share, anybody could leave rules of their own making."""
    kept = kept_cache(tmp_path, monkeypatch)
    for mode in (0o666, 0o620, 0o602):
        kept.chmod(mode)
        assert cache.read("0" * 16) is None
    kept.chmod(0o600)
    assert cache.read("0" * 16) is not None
    monkeypatch.setattr(os, "geteuid", lambda: kept.stat().st_uid + 1)
    assert cache.read("0" * 16) is None


class Harmful:
    """An object whose pickle runs a command when it is read in the usual way."""

    def __init__(self, victim: Path) -> None:
        self.victim = victim

    def __reduce__(self) -> tuple[Any, ...]:
        """Say how it is made again."""
        return os.system, (f"touch {self.victim}",)


def test_a_cache_runs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file in the cache that names something to be run builds nothing, whole as it is."""
    kept = kept_cache(tmp_path / "cache", monkeypatch)
    victim = tmp_path / "victim"
    for data in (pickle.dumps(Harmful(victim)), b"cplanner.rulebase.packed\npickle.loads\n.",
                 b"cplanner.rulebase.model\nWhen.__init__\n."):  # fmt: skip
        kept.write_bytes(hashlib.sha256(data).digest() + data)
        assert cache.read("0" * 16) is None
    assert not victim.exists()


def test_old_rules_do_not_fill_the_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever writes rules changes them a hundred times a day."""
    kept = kept_cache(tmp_path, monkeypatch)
    base = built_in()
    for number in range(cache.MOST_KEPT + 5):
        cache.write(f"{number:016x}", base.base, {}, {})
    assert len(list(kept.parent.iterdir())) == cache.MOST_KEPT
