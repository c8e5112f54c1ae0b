"""Put a set of files into a folder: all of them together, or none."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from planner.errors import InputError


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
