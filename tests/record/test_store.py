"""The record file survives interruption, refuses what is not its own, and forgets nothing."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from planner.errors import InputError
from planner.pack.text import plain
from planner.record import store
from planner.record.model import Entry

AT = "2027-05-17T08:30:00+01:00"


def entry(key: str, value: object = True) -> Entry:
    """Return an entry of no importance."""
    return Entry("note", key, value, AT, "R. Alder", "because")  # type: ignore[arg-type]


def filled(path: Path, lines: int = 3) -> store.Written:
    """Write lines of two entries each."""
    written = store.Written()
    for number in range(lines):
        written = store.append(path, written, [entry(f"a{number}"), entry(f"b{number}", 1.5)])
    return written


def test_what_was_written_is_read_again(tmp_path: Path) -> None:
    """Nothing is lost or changed on the way."""
    path = tmp_path / "r"
    written = filled(path)
    assert store.read(path) == written
    assert [one.key for one in written.entries] == ["a0", "b0", "a1", "b1", "a2", "b2"]


@given(
    key=st.text(max_size=30), value=st.one_of(st.text(max_size=30), st.floats(-1e9, 1e9), st.none())
)
def test_any_text_and_number_comes_back(key: str, value: object) -> None:
    """Whatever a person types, the file stays readable and keeps it, but for control characters."""
    import tempfile  # noqa: PLC0415  - hypothesis runs many times in one test

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "r"
        store.append(path, store.Written(), [entry(key, value)])
        (read,) = store.read(path).entries
    assert read.key == plain(key).encode("utf-8", "replace").decode()
    if not isinstance(value, str):
        assert read.value == value


def test_a_line_cut_anywhere_takes_only_itself(tmp_path: Path) -> None:
    """Cut the file at every byte of its last line: all lines before stand, and it goes on."""
    path = tmp_path / "r"
    filled(path, 2)
    before = path.read_bytes()
    filled_again = store.append(path, store.read(path), [entry("last")])
    whole = path.read_bytes()
    for cut in range(len(before), len(whole)):
        path.write_bytes(whole[:cut])
        read = store.read(path)
        kept = len(filled_again.entries) if cut == len(whole) - 1 else 4
        assert len(read.entries) == kept, cut
        assert read.torn == (len(before) < cut < len(whole) - 1)
        store.append(path, read, [entry("after")])
        assert [one.key for one in store.read(path).entries][kept:] == ["after"]
        assert path.read_bytes().startswith(before)


def test_a_tail_of_zeros_after_a_power_cut_is_no_loss(tmp_path: Path) -> None:
    """Some file systems leave zeros where the last write should be."""
    path = tmp_path / "r"
    written = filled(path)
    path.write_bytes(path.read_bytes() + b"\0" * 512)
    read = store.read(path)
    assert read.entries == written.entries
    assert read.torn
    store.append(path, read, [entry("after")])
    assert store.read(path).entries[-1].key == "after"


WRITER = """
import sys
from pathlib import Path
from planner.record import store
from planner.record.model import Entry
path, written = Path(sys.argv[1]), store.Written()
for number in range(100000):
    one = Entry("note", f"k{number}", number, "2027-05-17T08:30:00+01:00", "R. Alder")
    written = store.append(path, written, [one])
    print(number, flush=True)
"""


def test_killed_while_writing_everything_confirmed_is_there(tmp_path: Path) -> None:
    """Kill the writer without warning: each entry that was confirmed is on file."""
    path = tmp_path / "r"
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True
    ) as writer:
        assert writer.stdout is not None
        confirmed = -1
        while confirmed < 40:
            confirmed = int(writer.stdout.readline())
        writer.send_signal(signal.SIGKILL)
        rest = writer.stdout.read().split()
    confirmed = int(rest[-1]) if rest else confirmed
    values = [one.value for one in store.read(path).entries]
    assert values == list(range(len(values)))
    assert len(values) > confirmed


def test_a_full_disk_adds_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a line on disk is taken off again, and the message says that nothing was added."""
    path = tmp_path / "r"
    written = filled(path)
    before, real = path.read_bytes(), os.write

    def half(handle: int, data: bytes) -> int:
        if len(data) < 20:
            raise OSError(errno.ENOSPC, "No space left on device")
        return real(handle, bytes(data)[: len(data) // 2])

    monkeypatch.setattr(os, "write", half)
    with pytest.raises(InputError, match="No space left on device; nothing was added"):
        store.append(path, written, [entry("more")])
    monkeypatch.undo()
    assert path.read_bytes() == before
    store.append(path, written, [entry("more")])


def test_somebody_else_wrote_meanwhile(tmp_path: Path) -> None:
    """Two writers never overwrite each other."""
    path = tmp_path / "r"
    old = filled(path)
    store.append(path, old, [entry("theirs")])
    before = path.read_bytes()
    with pytest.raises(InputError, match="changed by someone else meanwhile"):
        store.append(path, old, [entry("ours")])
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content",
    [b"\xff\xd8\xff photograph", b"job: {}\n", b"{}", b'{"lidwork": 1}\n', b"hello", b"[1]\n"],
)
def test_a_foreign_file_is_refused_and_never_cut(tmp_path: Path, content: bytes) -> None:
    """A file that is no record is left as it is, even without a line end."""
    path = tmp_path / "r"
    path.write_bytes(content)
    with pytest.raises(InputError, match="not a lidwork record"):
        store.read(path)
    assert path.read_bytes() == content


def test_a_newer_format_says_so(tmp_path: Path) -> None:
    """A later lidwork's record is not half understood."""
    path = tmp_path / "r"
    path.write_text('{"lidwork_as_built": 2, "line": 1, "entries": []}\n', encoding="utf-8")
    with pytest.raises(InputError, match="has format 2; this lidwork reads format 1"):
        store.read(path)


@pytest.mark.parametrize(
    "change",
    [
        lambda lines: [lines[0], b"garbage", lines[2]],
        lambda lines: [lines[0], lines[2]],
        lambda lines: [lines[0], lines[2], lines[1]],
        lambda lines: [*lines[:2], lines[2].replace(b'"note"', b'"nonsense"')],
        lambda lines: [*lines[:2], lines[2].replace(b"+01:00", b"")],
        lambda lines: [*lines[:2], lines[2].replace(b'"R. Alder"', b"7")],
        lambda lines: [*lines[:2], lines[2].replace(b"1.5", b"NaN")],
        lambda lines: [*lines[:2], lines[2].replace(b"1.5", b"1" + b"0" * 400)],
        lambda lines: [*lines[:2], lines[2].replace(b'"more": {}', b'"more": {"a": []}')],
        lambda lines: [*lines[:2], b"[" * 100_000],
    ],
)
def test_damage_before_the_end_is_said_with_its_line(tmp_path: Path, change: object) -> None:
    """A line that was changed, lost or moved by hand is not passed over."""
    path = tmp_path / "r"
    filled(path)
    lines = path.read_bytes().splitlines()
    path.write_bytes(b"\n".join(change(lines)) + b"\n")  # type: ignore[operator]
    with pytest.raises(InputError, match=r"r:[23]: .*(damaged|not as lidwork writes)"):
        store.read(path)


def test_links_and_folders_are_refused(tmp_path: Path) -> None:
    """The record is a plain file of its own."""
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    for path in (tmp_path / "link", tmp_path):
        with pytest.raises(InputError, match="must be a plain file"):
            store.read(path)
    with pytest.raises(InputError, match="cannot write"):
        store.append(tmp_path / "link", store.Written(), [entry("x")])
    assert not (tmp_path / "elsewhere").exists()


def test_nothing_is_let_in_that_could_not_be_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Too long a text, or one entry too many, would lock the whole record for good."""
    path = tmp_path / "r"
    written = filled(path)
    before = path.read_bytes()
    with pytest.raises(InputError, match="at most 5000 characters"):
        store.append(path, written, [replace(entry("a"), why="x" * (store.MAX_TEXT + 1))])
    monkeypatch.setattr(store, "MAX_BYTES", len(before) + 50)
    with pytest.raises(InputError, match=r"would be over .* nothing was added"):
        store.append(path, written, [entry("a")])
    assert path.read_bytes() == before
    assert store.read(path) == written
