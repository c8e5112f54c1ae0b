"""Photographs of the work: copied beside the job under names of our own, each with its checksum."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
import tempfile
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from planner.errors import InputError
from planner.record.model import Entry

MAX_BYTES = 40_000_000
CHUNK = 1 << 20
#: How each kind of picture begins; the name of a file proves nothing.
BEGINNINGS = ((b"\xff\xd8\xff", "jpg"), (b"\x89PNG\r\n\x1a\n", "png"))
NAME = re.compile(r"[0-9]{3,4}(-[a-z0-9]+)+\.(jpg|png|webp|heic)")
_CURE = "Name a photograph (JPEG, PNG, WebP or HEIC) of at most 40 MB."


class Photo(Struct, frozen=True):
    """One photograph kept: its name in the folder, checksum and size."""

    file: str
    sha256: str
    size: int


def folder_of(job: Path) -> Path:
    """Return the folder of a job's photographs."""
    return job.with_name(f"{job.name}.photos")


def clear_up(job: Path) -> None:
    """Remove what copying left behind when it was killed; whoever calls holds the record."""
    folder = folder_of(job)
    if not folder.is_symlink():
        for left in folder.glob(".*.part"):
            with contextlib.suppress(OSError):
                left.unlink()


def look(source: Path) -> None:
    """See whether a file is a photograph that can be kept.

    Raises:
        InputError: If it is missing, a link, no picture or too large.
    """
    with _opened(source) as file:
        _kind(file.read(16), source)


def keep(job: Path, source: Path, number: int, about: str) -> Photo:
    """Copy a photograph into the job's folder.

    Args:
        job: The job file.
        source: The photograph.
        number: Number of the photograph, 1 or more; it makes the name unique.
        about: What it shows; only letters and digits of it come into the name.

    Raises:
        InputError: If it is missing, a link, no picture, too large, or cannot be copied.
    """
    folder = _folder(job)
    with _opened(source) as file:
        ending = _kind(file.read(16), source)
        file.seek(0)
        name = _free_name(folder, number, f"{about} {source.stem}", ending)
        return _copied(file, folder / name, source)


def _folder(job: Path) -> Path:
    folder = folder_of(job)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise InputError.of(str(folder), f"cannot make the folder: {error.strerror}") from None
    return _real(folder)


def _real(folder: Path) -> Path:
    if folder.is_symlink():
        raise InputError.of(
            str(folder), "the folder of photographs must not be a link", "Move it away."
        )
    return folder


def _opened(source: Path) -> BinaryIO:
    """Open a plain file and nothing else: no link, pipe or device."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    where = str(source)
    try:
        if source.is_symlink():
            raise InputError.of(where, "this is a link, not a photograph", _CURE)
        handle = os.open(source, flags | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        raise InputError.of(where, "there is no such photograph", "Check the name.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError.of(where, f"cannot read: {reason}", _CURE) from None
    found = os.fstat(handle)
    problem = (
        "this is not a plain file" if not stat.S_ISREG(found.st_mode)
        else f"the photograph has {found.st_size / 1e6:.0f} MB" if found.st_size > MAX_BYTES
        else ""
    )
    if problem:
        os.close(handle)
        raise InputError.of(where, problem, _CURE)
    return os.fdopen(handle, "rb")


def _kind(head: bytes, source: Path) -> str:
    for beginning, ending in BEGINNINGS:
        if head.startswith(beginning):
            return ending
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "webp"
    if head[4:8] == b"ftyp" and head[8:12] in (b"heic", b"heix", b"mif1", b"msf1"):
        return "heic"
    raise InputError.of(str(source), "this is no photograph", _CURE)


def _free_name(folder: Path, number: int, about: str, ending: str) -> str:
    """Return a name made of digits, lower-case letters and hyphens alone."""
    plain = unicodedata.normalize("NFKD", about).encode("ascii", "ignore").decode().lower()
    words = "-".join(re.findall(r"[a-z0-9]+", plain))[:60].strip("-") or "photo"
    while any(folder.glob(f"{number:03d}-*")):
        number += 1
    return f"{number:03d}-{words}.{ending}"


def _copied(file: BinaryIO, target: Path, source: Path) -> Photo:
    temporary = ""
    digest, size = hashlib.sha256(), 0
    try:
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".", suffix=".part")
        with os.fdopen(handle, "wb") as out:
            for chunk in _chunks(file):
                size += len(chunk)
                digest.update(chunk)
                out.write(chunk)
            out.flush()
            os.fsync(out.fileno())
        if size > MAX_BYTES:
            raise InputError.of(str(source), "the photograph is too large", _CURE)
        Path(temporary).replace(target)
    except OSError as error:
        raise InputError.of(
            str(target), f"cannot write: {error.strerror}", "Free some space."
        ) from None
    finally:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
    return Photo(target.name, digest.hexdigest(), size)


def _chunks(file: BinaryIO) -> Iterator[bytes]:
    """Yield the file, at most a little over the limit of it."""
    for _ in range(MAX_BYTES // CHUNK + 2):
        chunk = file.read(CHUNK)
        if not chunk:
            return
        yield chunk


def content(job: Path, entry: Entry) -> tuple[str, bytes]:
    """Return name and bytes of a photograph that stands in the record.

    Raises:
        InputError: If its name is not one of ours, or the file is missing or was changed.
    """
    name = str(entry.more.get("file", ""))
    where = str(folder_of(job) / name)
    if not NAME.fullmatch(name):
        raise InputError.of(
            str(job), f"the record names a photograph {name[:60]!r} that lidwork never named so",
            "Put back a copy of the record.",
        )
    with _opened(_real(folder_of(job)) / name) as file:
        data = file.read(MAX_BYTES + 1)
    if hashlib.sha256(data).hexdigest() != entry.more.get("sha256"):
        raise InputError.of(
            where, "this photograph is not the one that was recorded",
            "Put the old file back, or take the photograph out with 'lidwork record'.",
        )
    return name, data
