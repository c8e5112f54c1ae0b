"""Bring job files of older formats up to this one, answer by answer.

To change what an answer is called or how it is written, raise ``FORMAT`` and add the moves from the
format before. A name that has once been used is never given another meaning.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from planner.errors import InputError
from planner.job.nested import at, has, path_of, put, without
from planner.yamltext import Tree

FORMAT = 1
FORMAT_KEY = "job_format"


def as_it_was(value: Any) -> Any:
    """Return the value: an answer that only changed its name."""
    return value


class Move(Struct, frozen=True):
    """One answer that is called or written otherwise in the next format.

    Attributes:
        old: Its name before, such as ``roof.skin_mm``.
        new: Its name now; empty where the answer is no longer asked for.
        change: Turns a value of the old format into one of the new; it must take any value, for
            the file is checked only afterwards.
    """

    old: str
    new: str
    change: Callable[[Any], Any] = as_it_was


#: Format -> what changes on the way to the next one.
MOVES: Mapping[int, tuple[Move, ...]] = {}


def format_of(tree: Tree, newest: int = FORMAT) -> int:
    """Return the format of a job file; one that does not say is of the first.

    Raises:
        InputError: If it is newer than this lidwork, or not a format.
    """
    said = tree.value.get(FORMAT_KEY, 1) if isinstance(tree.value, dict) else 1
    if isinstance(said, int) and not isinstance(said, bool) and 1 <= said <= newest:
        return said
    place = tree.where((FORMAT_KEY,))
    if isinstance(said, int) and said > newest:
        what = f"this job file has format {said}; this lidwork reads format {newest}"
        raise InputError.of(place, what, "Install a newer lidwork; the file is left as it is.")
    what = f"'{FORMAT_KEY}' is not the number of a format"
    raise InputError.of(place, what, f"Write '{FORMAT_KEY}: {newest}'.")


def moves_for(
    tree: Tree, newest: int = FORMAT, moves: Mapping[int, tuple[Move, ...]] = MOVES
) -> list[Move]:
    """Return the moves that bring a file up to date, in order."""
    return [move for one in range(format_of(tree, newest), newest) for move in moves.get(one, ())]


def migrated(
    tree: Tree, newest: int = FORMAT, moves: Mapping[int, tuple[Move, ...]] = MOVES
) -> Tree:
    """Return the tree in this format, with the lines where the answers stand in the file.

    Raises:
        InputError: If the file is newer than this lidwork.
    """
    for move in moves_for(tree, newest, moves):
        tree = _moved(tree, move)
    return tree


def _moved(tree: Tree, move: Move) -> Tree:
    old = path_of(move.old)
    if not has(tree.value, old):
        return tree
    value, lines = without(tree.value, old), dict(tree.lines)
    if move.new:
        value = put(value, path_of(move.new), move.change(at(tree.value, old)))
        lines[path_of(move.new)] = lines[old]
    return replace(tree, value=value, lines=lines)
