"""Read the YAML that people write: plain data only, with the line of every value.

The scalar rules are those of YAML 1.2: only ``true`` and ``false`` are booleans and ``12:30`` is
text, so the traps of YAML 1.1 do not arise. Anchors, aliases, tags and duplicate keys are refused,
and the reader works through parser events with limits on size and depth, so that a hostile file
cannot blow up in memory or recursion. Characters that command a terminal, or that show text in an
order other than the one it is read in, are refused here once, so that no message and no document
can carry them on.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml
from msgspec import Struct
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from planner.errors import InputError

Path_ = tuple[str | int, ...]
#: Far more than any file that a person writes; read in about a second at worst.
MAX_BYTES = 500_000
MAX_DEPTH = 20
MAX_VALUES = 50_000
_INT = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_WORDS: dict[str, Any] = {"": None, "~": None, "null": None, "true": True, "false": False}
#: Control characters but tab and line ends, and marks that override or isolate direction.
COMMANDING = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Tree(Struct, frozen=True):
    """Data read from a file, with the line on which each value begins.

    Attributes:
        name: The file as it is shown in messages.
        value: Plain dicts, lists and scalars.
        lines: Path of keys and indexes to a line number, counted from 1.
        text: The text that it was read from.
    """

    name: str
    value: Any
    lines: dict[Path_, int]
    text: str = ""

    def where(self, path: Path_ = ()) -> str:
        """Return ``file:line`` of a value, or of the nearest thing around it."""
        for length in range(len(path), -1, -1):
            if path[:length] in self.lines:
                return f"{self.name}:{self.lines[path[:length]]}"
        return self.name


class _Open(Struct):
    """A mapping or list that is still being read."""

    container: dict[str, Any] | list[Any]
    path: Path_
    key: str | None = None


def read_file(path: Path, name: str | None = None) -> Tree:
    """Read a YAML file.

    Raises:
        InputError: If it cannot be read or is not plain YAML; the place is in the message.
    """
    shown = name or str(path)
    return read_text(decoded(read_bytes(path, shown), shown), shown)


def read_bytes(path: Path, name: str) -> bytes:
    """Return what a file holds, read once; never more than ``MAX_BYTES``, even from a device.

    Raises:
        InputError: If it cannot be read or is too large.
    """
    try:
        if path.is_dir():
            raise InputError.of(name, "this is a folder, not a file", "Name a file inside it.")
        if path.is_fifo():  # it would be waited for, perhaps for ever
            raise InputError.of(name, "this is a pipe, not a file", "Save it as a file first.")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise InputError.of(
            name, "there is no such file", "Check the name, or make it with 'lidwork survey'."
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError.of(name, f"cannot read: {reason}", "Check the path.") from None
    if len(data) > MAX_BYTES:
        what = f"the file is over {MAX_BYTES // 1000} kB"
        raise InputError.of(name, what, "A job file is a few kilobytes.")
    return data


def decoded(data: bytes, name: str) -> str:
    """Return bytes as text; a byte order mark is dropped, line ends stay as they are.

    Raises:
        InputError: If they are not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError.of(
            name, f"the file is not UTF-8 text (byte {error.start})", "Save it as UTF-8."
        ) from None


def read_text(text: str, name: str) -> Tree:
    """Read YAML text; an empty text gives ``None``.

    Raises:
        InputError: If it is not plain YAML; the place is in the message.
    """
    reader = _Reader(name)
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            reader.take(event)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f"{name}:{mark.line + 1}" if mark else name
        problem = getattr(error, "problem", None) or getattr(error, "reason", None) or str(error)
        raise InputError.of(
            place, f"not valid YAML: {problem}", "Check colons, quotes and indentation there."
        ) from None
    return Tree(name, reader.root, reader.lines, text)


class _Reader:
    """Builds plain data from parser events, without recursion."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.root: Any = None
        self.lines: dict[Path_, int] = {(): 1}
        self._open: list[_Open] = []
        self._documents = 0
        self._values = 0

    def take(self, event: Event) -> None:
        """Take the next event."""
        if isinstance(event, DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self._refuse(event, "a second document begins here", "Keep one document a file.")
        elif isinstance(event, AliasEvent) or getattr(event, "anchor", None):
            self._refuse(event, "anchors and aliases (& and *) are not used here", "Write it out.")
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self._open.pop()
        elif isinstance(event, ScalarEvent):
            self._scalar(event)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            self._container(event)

    def _scalar(self, event: ScalarEvent) -> None:
        self._refuse_commands(event)
        top = self._open[-1] if self._open else None
        if top is not None and isinstance(top.container, dict) and top.key is None:
            self._key(event, top)
            return
        self._refuse_tag(event)
        plain = event.implicit[0] and not event.style
        self._put(event, _scalar(event.value) if plain else event.value)

    def _key(self, event: ScalarEvent, top: _Open) -> None:
        key = event.value
        if key in top.container:
            first = self.lines[(*top.path, key)]
            self._refuse(event, f"'{key}' appears twice (first on line {first})", "Keep one.")
        top.key = key
        self.lines[(*top.path, key)] = _line(event)

    def _container(self, event: MappingStartEvent | SequenceStartEvent) -> None:
        self._refuse_tag(event)
        if len(self._open) >= MAX_DEPTH:
            self._refuse(event, f"nested more than {MAX_DEPTH} deep", "Simplify it.")
        made: dict[str, Any] | list[Any] = {} if isinstance(event, MappingStartEvent) else []
        path = self._put(event, made)
        self._open.append(_Open(made, path))

    def _put(self, event: Any, value: Any) -> Path_:
        self._values += 1
        if self._values > MAX_VALUES:
            what = f"more than {MAX_VALUES} values in one file"
            self._refuse(event, what, "Split or shorten it.")
        if not self._open:
            self.root = value
            return ()
        top = self._open[-1]
        if isinstance(top.container, dict):
            if top.key is None:
                self._refuse(event, "a list or mapping stands where a name belongs", "Name it.")
            key: str | int = str(top.key)
            top.container[str(key)] = value
            top.key = None
        else:
            key = len(top.container)
            top.container.append(value)
            self.lines[(*top.path, key)] = _line(event)
        return (*top.path, key)

    def _refuse_tag(self, event: Any) -> None:
        if event.tag and event.tag != "!":
            self._refuse(event, f"the tag {event.tag!r} is not used here", "Write plain values.")

    def _refuse_commands(self, event: ScalarEvent) -> None:
        found = COMMANDING.search(event.value)
        if found:
            what = f"the character {found.group()!a} is not text"
            self._refuse(event, what, "Remove it, or type that line again.")

    def _refuse(self, event: Event, what: str, cure: str) -> None:
        raise InputError.of(f"{self.name}:{_line(event)}", what, cure)


def _line(event: Event) -> int:
    """The line of an event, counted from 1."""
    return event.start_mark.line + 1 if event.start_mark else 1


def _scalar(text: str) -> Any:
    if text in _WORDS:
        return _WORDS[text]
    if _INT.fullmatch(text) and len(text) < 19:
        return int(text)
    if _FLOAT.fullmatch(text) and len(text) < 40:
        return float(text)
    return text


def walk(value: Any, path: Path_ = ()) -> Iterator[tuple[Path_, Any]]:
    """Yield every scalar of plain data with its path."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from walk(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from walk(item, (*path, index))
    else:
        yield path, value
