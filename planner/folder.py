"""Files as others may leave or meet them: read if ordinary, written whole or not at all."""

from __future__ import annotations

import os
import shlex
import shutil
import stat
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from planner.errors import InputError


def ordinary(path: Path, most_bytes: int) -> bytes:
    """Return what an ordinary file holds; a pipe would be waited for, and a device never ends.

    Raises:
        OSError: If it cannot be read, is no ordinary file, or is larger.
    """
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(0, "it is no ordinary file")
        data = file.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise OSError(0, f"it is over {most_bytes // 1000} kB")
    return data


def as_typed(path: Path) -> str:
    """Return a path as it is typed in a shell: quoted, and not taken for an option.

    Examples:
        >>> as_typed(Path("van.yaml")), as_typed(Path("bus 3.yaml")), as_typed(Path("-x.yaml"))
        ('van.yaml', "'bus 3.yaml'", './-x.yaml')
    """
    text = str(path)
    return shlex.quote(f"./{text}" if text.startswith("-") else text)


def portable(path: str) -> str:
    """Return a path as files hold it: UTF-8, whatever the locale that the path was typed in.

    A name that is no UTF-8 cannot be held in one; writing it raises ``UnicodeEncodeError``.
    """
    return os.fsencode(path).decode("utf-8", "surrogateescape")


def native(path: str) -> str:
    """Return a path out of a file as this machine's locale has it; undoes ``portable``."""
    return os.fsdecode(path.encode("utf-8", "surrogateescape"))


def write_whole(path: Path, data: bytes, *, mode: int = 0o644) -> None:
    """Write one file in one step: what stood there goes only when the new one is whole.

    Raises:
        OSError: If it cannot be written; then nothing changed and nothing is left behind.
    """
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(temporary).chmod(mode)
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def put(out: Path, files: Mapping[str, bytes], is_ours: Callable[[str], bool]) -> tuple[Path, ...]:
    """Write the files into a folder, which may hold an earlier set of them.

    Args:
        out: The folder to make or to replace.
        files: Name and content; names are our own and hold no folder.
        is_ours: Whether a file of this name may be replaced or go.

    Raises:
        InputError: If the folder holds anything else, or cannot be written; then nothing changed.
    """
    refuse_others(out, is_ours)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        building = Path(tempfile.mkdtemp(dir=out.parent, prefix=f".{out.name}."))
    except OSError as error:
        raise _cannot_write(out, error) from None
    try:
        _fill(building, files)
        _exchange(building, out)
    except OSError as error:
        raise _cannot_write(out, error) from None
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return tuple(out / name for name in files)


def refuse_others(out: Path, is_ours: Callable[[str], bool]) -> set[str]:
    """Return the names in a folder that may be replaced; none where there is no folder yet.

    Raises:
        InputError: If it is no folder, or holds anything else.
    """
    try:
        if out.is_symlink() or (out.exists() and not out.is_dir()):
            kind = "link" if out.is_symlink() else "file"
            what = f"a {kind} stands where the folder should be"
            raise InputError.of(str(out), what, "Choose another name.")
        there = {item.name for item in out.iterdir()}
    except FileNotFoundError:
        return set()
    except OSError as error:
        raise _cannot_write(out, error) from None
    strange = sorted(name for name in there if not is_ours(name))
    if strange:
        raise InputError.of(
            str(out),
            f"this folder holds other things, such as '{strange[0]}'; nothing was written",
            "Choose a new or empty folder with -o.",
        )
    return there


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        (folder / name).write_bytes(content)
    folder.chmod(0o755)


def _exchange(building: Path, out: Path) -> None:
    """The old folder goes only when the new one stands."""
    if not out.exists():
        building.rename(out)
        return
    aside = Path(tempfile.mkdtemp(dir=out.parent, prefix=f".{out.name}.old."))
    try:
        out.rename(aside / "old")
        try:
            building.rename(out)
        except OSError:
            (aside / "old").rename(out)
            raise
    finally:
        if out.exists():
            shutil.rmtree(aside, ignore_errors=True)


def _cannot_write(out: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError.of(
        str(out), f"cannot write here: {reason}; nothing was written", "Choose another folder."
    )
