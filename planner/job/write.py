"""Write answers back into the job file: comments stay, other hands are noticed, never half done."""

from __future__ import annotations

import contextlib
import io
import json
import os
import secrets
import stat
from pathlib import Path
from typing import Any

from planner.errors import InputError
from planner.job.lines import with_line
from planner.job.migrate import FORMAT, FORMAT_KEY, format_of, moves_for
from planner.job.nested import at, has, path_of, put, without
from planner.yamltext import Tree, decoded, read_bytes, read_text

UNTOUCHED = "Everything answered before is in the file as it was."


def with_answer(text: str, fact: str, value: Any, name: str = "the job file") -> str:
    """Return the job file's text with one answer set; comments, order and line ends stay.

    ``None`` removes the answer.

    Raises:
        InputError: If the text cannot be rewritten without changing another answer.
    """
    tree, path = _tree(text, name), path_of(fact)
    written = with_line(tree, path, value)
    if written is None or not _reads_as(written, _wanted(tree, path, value)):
        written = _round_trip(tree, path, value)
    return written.replace("\n", "\r\n") if "\r\n" in text else written


def refuse_unkeepable(text: str, name: str) -> None:
    """Refuse a file that could not be written back: better before a question than after it.

    Raises:
        InputError: If so.
    """
    _round_trip(_tree(text, name), path_of(FORMAT_KEY), FORMAT)


def _tree(text: str, name: str) -> Tree:
    return read_text(text.replace("\r\n", "\n"), name)


def _wanted(tree: Tree, path: tuple[str, ...], value: Any) -> Any:
    before = tree.value
    return without(before, path) if value is None else put(_begun(before), path, value)


def _round_trip(tree: Tree, path: tuple[str, ...], value: Any) -> str:
    written = _rewritten(tree.text, path, value, tree.name)
    if not _reads_as(written, _wanted(tree, path, value)):
        raise _cannot_keep(tree.name)
    return written


def _reads_as(written: str, wanted: Any) -> bool:
    """Whether a text, once written, says what is wanted and nothing else."""
    try:
        return _same(read_text(written, "").value, wanted)
    except InputError:
        return False


def _begun(data: Any) -> Any:
    return {FORMAT_KEY: FORMAT} if data is None else data


def _same(one: Any, other: Any) -> bool:
    """Compare as JSON, which tells ``true`` from 1; an emptied file may say its format."""
    first, second = (
        json.dumps(_begun(data) or _begun(None), sort_keys=True) for data in (one, other)
    )
    return first == second


def _cannot_keep(name: str) -> InputError:
    return InputError.of(
        name,
        "the file is written in a way that cannot be kept while an answer is added",
        "Write one answer a line under its section, as 'lidwork demo' does, or add it by hand.",
    )


def _rewritten(text: str, path: tuple[str, ...], value: Any, name: str) -> str:
    from ruamel.yaml import YAML  # noqa: PLC0415  - heavy, needed only when writing
    from ruamel.yaml.error import YAMLError  # noqa: PLC0415

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 100
    yaml.indent(mapping=2, sequence=4, offset=2)
    out = io.StringIO()
    try:
        data = yaml.load(text) if text.strip() else None
        if data is None:
            data = yaml.load(f"{FORMAT_KEY}: {FORMAT}\n")
        _set(data, path, value)
        yaml.dump(data, out)
    except (YAMLError, ValueError, AttributeError):
        raise _cannot_keep(name) from None
    kept = _leading_comment(text) if not text.strip().startswith(FORMAT_KEY) else ""
    written = out.getvalue()
    return written if not kept or written.startswith(kept) else kept + written


def _leading_comment(text: str) -> str:
    """Comments of a file that holds nothing else would be lost by the round trip."""
    lines = text.splitlines(keepends=True)
    return "".join(lines) if all(line.startswith("#") or not line.strip() for line in lines) else ""


def _set(data: Any, path: tuple[str, ...], value: Any) -> None:
    for key in path[:-1]:
        if not isinstance(data.get(key), dict):
            if value is None:
                return
            data[key] = {}
        data = data[key]
    if value is None:
        data.pop(path[-1], None)
    else:
        data[path[-1]] = value


def updated(text: str, name: str) -> str:
    """Return the text of a job file in this format; one that is up to date stays as it is.

    Raises:
        InputError: If it is newer than this lidwork, or cannot be rewritten.
    """
    tree = read_text(text, name)
    moves = moves_for(tree)
    for move in moves:
        data, old = read_text(text, name).value, path_of(move.old)
        if has(data, old):
            text = with_answer(text, move.old, None, name)
            if move.new:
                text = with_answer(text, move.new, move.change(at(data, old)), name)
    return text if format_of(tree) == FORMAT else with_answer(text, FORMAT_KEY, FORMAT, name)


def refuse_odd_place(path: Path) -> None:
    """Refuse a job file that is a link or no ordinary file: replacing it would harm another.

    Raises:
        InputError: If so.
    """
    if path.is_symlink():
        what = "this is a link to another file, which lidwork would replace"
        raise InputError.of(str(path), what, "Name the file itself.")
    if path.exists() and not path.is_file():
        raise InputError.of(str(path), "this is not an ordinary file", "Name a file.")


def read_back(path: Path) -> str | None:
    """Return the text of a job file to be written to, or None where there is none yet.

    Raises:
        InputError: If it cannot be read, or is a link.
    """
    refuse_odd_place(path)
    if not path.exists():
        return None
    return decoded(read_bytes(path, str(path)), str(path))


def write_atomically(path: Path, text: str, expected: str | None) -> None:
    """Replace a file in one step, unless somebody else changed it meanwhile.

    Args:
        path: The file.
        text: Its new text.
        expected: The text that the file held when it was read; ``None`` if it did not exist.

    Raises:
        InputError: If the file changed meanwhile, or the place cannot be written; the old file
            is untouched.
    """
    try:
        if read_back(path) != expected:
            raise InputError.of(
                str(path),
                "the file was changed by someone else meanwhile; nothing was overwritten",
                "Start the survey again: it picks up from the changed file.",
            )
        _replace(path, text.encode())
    except OSError as error:
        reason = error.strerror or str(error)
        cure = f"Free some space or choose a folder you may write to. {UNTOUCHED}"
        raise InputError.of(str(path), f"cannot write: {reason}", cure) from None


def part_of(path: Path) -> Path:
    """Return a new name beside a file, for its text while it is being written."""
    return path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")


def _replace(path: Path, data: bytes) -> None:
    part = part_of(path)
    # O_EXCL: never through a link that lies in wait. Modes follow the umask, as an editor's do.
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            part.chmod(stat.S_IMODE(path.stat().st_mode))
        part.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink()
        raise
