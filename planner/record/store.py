"""The record file: lines that are only ever added, each on disk before the next thing is asked.

One line holds what belongs together, so a line that was cut off takes nothing half with it.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict

from planner.errors import InputError
from planner.pack.text import plain
from planner.record.model import KINDS, YEARS, Entry

FORMAT_KEY, FORMAT = "lidwork_as_built", 1
#: A record of a hundred jobs; a file beside a job may have come with it, from anybody.
MAX_BYTES = 5_000_000
MAX_TEXT = 5000
MAX_KEY = 200


class Written(Struct, frozen=True):
    """What a record file holds.

    Attributes:
        entries: Every entry in the order of writing.
        lines: Number of whole lines.
        size: Bytes of the whole lines.
        total: Bytes of the file; more than ``size`` where it ends in a torn line.
        unended: True if the last whole line lacks its line end.
    """

    entries: tuple[Entry, ...] = ()
    lines: int = 0
    size: int = 0
    total: int = 0
    unended: bool = False

    @property
    def torn(self) -> bool:
        """Whether the last line was cut off while it was written."""
        return self.total > self.size


def record_path(job: Path) -> Path:
    """Return where the record of a job lies: beside it."""
    return job.with_name(f"{job.name}.record.jsonl")


def read(path: Path) -> Written:
    """Read a record; a file that is not there is an empty record.

    Raises:
        InputError: If it cannot be read, is no record, or is damaged before its last line.
    """
    data = _bytes(path)
    whole, _, rest = data.rpartition(b"\n")
    lines = whole.split(b"\n") if whole else []
    unended = bool(lines or _begins_a_record(rest, path)) and _parsed(rest) is not None
    lines += [rest] if unended else []
    entries = tuple(
        entry
        for number, line in enumerate(lines, 1)
        for entry in _entries(line, number, f"{path}:{number}")
    )
    size = len(data) if unended else len(data) - len(rest)
    return Written(entries, len(lines), size, len(data), unended)


def _begins_a_record(rest: bytes, path: Path) -> bool:
    """A file of a single unended line is ours only if it begins so: never cut a foreign one."""
    head = f'{{"{FORMAT_KEY}": {FORMAT}'.encode()
    if rest.strip(b"\0") and not rest.startswith(head) and not head.startswith(rest):
        _check_format(_parsed(rest), f"{path}:1")
    return bool(rest)


def _bytes(path: Path) -> bytes:
    try:
        if path.is_symlink() or (path.exists() and not path.is_file()):
            raise InputError.of(str(path), "the record must be a plain file", "Move this away.")
        if not path.exists():
            return b""
        if path.stat().st_size > MAX_BYTES:
            raise InputError.of(str(path), "the record is over 5 MB", "Is it the right file?")
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError.of(str(path), f"cannot read: {reason}", "Check the file.") from None


def _parsed(line: bytes) -> Any:
    try:
        found = json.loads(line.decode("utf-8"))
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _entries(line: bytes, number: int, where: str) -> Iterator[Entry]:
    found = _parsed(line)
    if number == 1:
        _check_format(found, where)
    if found is None or found.get("line") != number or not isinstance(found.get("entries"), list):
        raise InputError.of(
            where,
            "this line of the record is damaged, missing or out of its order",
            "Put back a copy of the record; lines are only added, never changed by hand.",
        )
    for raw in found["entries"]:
        yield _entry(raw, where)


def _check_format(found: Any, where: str) -> None:
    if found is None or FORMAT_KEY not in found:
        raise InputError.of(
            where, "this file is not a lidwork record", "Move it away or give the job another name."
        )
    if found[FORMAT_KEY] != FORMAT:
        raise InputError.of(
            where,
            f"this record has format {found[FORMAT_KEY]}; this lidwork reads format {FORMAT}",
            "Install a newer lidwork.",
        )


def _entry(raw: Any, where: str) -> Entry:
    try:
        return _checked(raw)
    except (KeyError, TypeError, ValueError) as error:
        raise InputError.of(
            where,
            f"an entry of the record is not as lidwork writes it: {error}",
            "Put back a copy of the record.",
        ) from None


def _checked(raw: Mapping[str, Any]) -> Entry:
    if raw["kind"] not in KINDS:
        raise ValueError(f"unknown kind {raw['kind']!r}")
    more = raw.get("more", {})
    if not isinstance(more, dict) or not all(_is_plain(value) for value in more.values()):
        raise ValueError("'more' must hold plain values")
    if not _is_plain(raw["value"]):
        raise ValueError("'value' must be plain")
    moment = datetime.fromisoformat(raw["at"])
    if moment.tzinfo is None or moment.year not in YEARS:
        raise ValueError(f"the moment {raw['at']!r} has no offset or cannot be")
    return Entry(
        raw["kind"],
        _text(raw["key"], MAX_KEY),
        raw["value"],
        raw["at"],
        _text(raw["by"], MAX_KEY),
        _text(raw.get("why", ""), MAX_TEXT),
        more,
    )


def _is_plain(value: Any) -> bool:
    if isinstance(value, str):
        return len(value) <= MAX_TEXT
    if isinstance(value, int | float):
        return abs(value) < 1e12  # not infinite, not a number, nor hundreds of digits
    return value is None


def _text(value: Any, longest: int) -> str:
    if not isinstance(value, str) or len(value) > longest:
        raise ValueError(f"a text of at most {longest} characters belongs here")
    return plain(value)


def append(path: Path, written: Written, entries: Sequence[Entry]) -> Written:
    """Add one line with these entries and see it on disk; return what the file holds then.

    Raises:
        InputError: If the file was changed meanwhile, cannot be written, or could not be read again
            with these entries in it; nothing is added.
    """
    raw = [asdict(entry) for entry in entries]
    number = written.lines + 1
    head = {FORMAT_KEY: FORMAT} if number == 1 else {}
    line = {**head, "line": number, "entries": raw}
    text = json.dumps(line, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace") + b"\n"
    if written.unended:
        text = b"\n" + text
    _refuse_what_cannot_be_read(path, written.size + len(text), raw)
    _add(path, written, text)
    size = written.size + len(text)
    return Written((*written.entries, *entries), number, size, size)


def _refuse_what_cannot_be_read(path: Path, size: int, raw: Sequence[Mapping[str, Any]]) -> None:
    """Nobody must find the record locked by what was let in."""
    if size > MAX_BYTES:
        what = f"the record would be over {MAX_BYTES // 1_000_000} MB; nothing was added"
        raise InputError.of(str(path), what, "Write less; long texts go into a file of their own.")
    try:
        for entry in raw:
            _checked(entry)
    except ValueError as error:
        what = f"this cannot be written down: {error}; nothing was added"
        raise InputError.of(str(path), what, "Write it shorter.") from None


def _add(path: Path, written: Written, text: bytes) -> None:
    handle = -1
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o644)
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode) or found.st_size != written.total:
            raise InputError.of(
                str(path),
                "the record was changed by someone else meanwhile; nothing was added",
                "Start again: lidwork record picks up from the changed file.",
            )
        os.ftruncate(handle, written.size)
        _write_all(handle, written.size, text)
        _sync_folder(path.parent, is_new=written.size == 0)
    except OSError as error:
        raise InputError.of(
            str(path),
            f"cannot write: {error.strerror or error}; nothing was added",
            "Free some space or make the folder writable.",
        ) from None
    finally:
        if handle >= 0:
            os.close(handle)


def _write_all(handle: int, size: int, text: bytes) -> None:
    """Write all or leave the file as it was."""
    try:
        os.lseek(handle, size, os.SEEK_SET)
        left = memoryview(text)
        while left:
            left = left[os.write(handle, left) :]
        os.fsync(handle)
    except OSError:
        os.ftruncate(handle, size)
        raise


def _sync_folder(folder: Path, *, is_new: bool) -> None:
    """A new file is safe only when its folder knows of it; not every system lets us ask."""
    if not is_new or not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
