"""Photographs are copied under names of our own; nothing outside the folder is read or written."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest

from planner.errors import InputError
from planner.record import photos
from planner.record.model import Entry, Plain

from .conftest import JPEG

AT = "2027-05-17T08:30:00+01:00"


def entry(more: dict[str, Plain]) -> Entry:
    """Return a photograph's entry."""
    return Entry("photo", "x", "bead", AT, "R. Alder", "", more)


def picture(folder: Path, name: str = "IMG 1.JPG") -> Path:
    """Write a photograph."""
    path = folder / name
    path.write_bytes(JPEG)
    return path


def test_a_photograph_is_copied_with_the_checksum_that_others_find(
    job: Path, tmp_path: Path
) -> None:
    """The checksum agrees with sha256sum, a program of its own."""
    kept = photos.keep(job, picture(tmp_path), 1, "fit-entry")
    copy = photos.folder_of(job) / kept.file
    assert kept.file == "001-fit-entry-img-1.jpg"
    assert copy.read_bytes() == JPEG
    outside = subprocess.run(["sha256sum", copy], capture_output=True, text=True, check=True)
    assert outside.stdout.split()[0] == kept.sha256
    more: dict[str, Plain] = {"file": kept.file, "sha256": kept.sha256}
    assert photos.content(job, entry(more)) == (kept.file, JPEG)


@pytest.mark.parametrize(
    ("name", "about"),
    [
        ("..\\..\\evil.jpg", "../../etc"),
        ("CON.jpg", "NUL"),
        ("-rf.jpg", "--help"),
        ("<script>.jpg", "a/b"),
        ("\u202egpj.exe.jpg", "日本"),
        ("." + "x" * 200 + ".jpg", "y" * 500),
        ("trailing. .jpg", "com1 "),
        ("名.jpg", ""),
    ],
)
def test_hostile_names_become_harmless(job: Path, tmp_path: Path, name: str, about: str) -> None:
    """Only digits, small letters and hyphens; no folder, no device, no hidden or long name."""
    kept = photos.keep(job, picture(tmp_path, name), 1, about)
    assert photos.NAME.fullmatch(kept.file)
    assert re.fullmatch(r"001-[a-z0-9-]{1,60}\.jpg", kept.file)
    assert [path.name for path in photos.folder_of(job).iterdir()] == [kept.file]


def test_two_photographs_never_share_a_name(job: Path, tmp_path: Path) -> None:
    """A copy left over from a crash is not overwritten."""
    first = photos.keep(job, picture(tmp_path), 1, "a")
    second = photos.keep(job, picture(tmp_path), 1, "a")
    assert first.file != second.file
    assert len(list(photos.folder_of(job).iterdir())) == 2


def test_what_is_no_photograph_is_refused(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Missing, a folder, a link, a pipe, a device, text, empty, too large: each in one message."""
    real = picture(tmp_path)
    (tmp_path / "link.jpg").symlink_to(real)
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "text.jpg").write_text("not a picture")
    (tmp_path / "empty.jpg").touch()
    cases = {
        "none.jpg": "no such photograph",
        "link.jpg": "this is a link",
        "pipe.jpg": "not a plain file",
        "text.jpg": "this is no photograph",
        "empty.jpg": "this is no photograph",
        ".": "not a plain file",
        "a\0b": "cannot read|no such",
    }
    for name, message in cases.items():
        with pytest.raises(InputError, match=message):
            photos.keep(job, tmp_path / name, 1, "x")
    with pytest.raises(InputError, match="not a plain file"):
        photos.keep(job, Path(os.devnull), 1, "x")
    monkeypatch.setattr(photos, "MAX_BYTES", 100)
    with pytest.raises(InputError, match="the photograph has 0 MB"):
        photos.keep(job, real, 1, "x")
    assert list(photos.folder_of(job).iterdir()) == []


def test_the_folder_must_not_be_a_link(job: Path, tmp_path: Path) -> None:
    """A prepared link cannot lead copies, or reading, elsewhere."""
    (tmp_path / "elsewhere").mkdir()
    photos.folder_of(job).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="must not be a link"):
        photos.keep(job, picture(tmp_path), 1, "x")
    with pytest.raises(InputError, match="must not be a link"):
        photos.content(job, entry({"file": "001-a.jpg", "sha256": ""}))
    assert list((tmp_path / "elsewhere").iterdir()) == []


@pytest.mark.parametrize(
    "name",
    ["../van.yaml", "/etc/passwd", "..", "", "001-a.jpg/../x", "001-a.exe", "CON", "001-A.jpg", 7],
)
def test_a_record_that_names_other_files_is_refused(job: Path, name: Plain) -> None:
    """A record changed by hand cannot make the handover copy other files."""
    with pytest.raises(InputError, match="that lidwork never named so"):
        photos.content(job, entry({"file": name, "sha256": ""}))


def test_a_photograph_missing_or_changed_since_is_said(job: Path, tmp_path: Path) -> None:
    """The picture handed over is the one that was recorded."""
    kept = photos.keep(job, picture(tmp_path), 1, "x")
    one = entry({"file": kept.file, "sha256": kept.sha256})
    copy = photos.folder_of(job) / kept.file
    copy.write_bytes(JPEG + b"more")
    with pytest.raises(InputError, match="not the one that was recorded"):
        photos.content(job, one)
    copy.unlink()
    with pytest.raises(InputError, match="no such photograph"):
        photos.content(job, one)


def test_a_full_disk_leaves_no_half_photograph(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The copy appears whole or not at all."""

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="No space left on device"):
        photos.keep(job, picture(tmp_path), 1, "x")
    assert list(photos.folder_of(job).iterdir()) == []
