"""Set one plain answer in a job file by changing or adding its own line, and touch no other."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from planner.job.nested import at, has
from planner.yamltext import Tree

#: Text that stands without quotes, for people and for every reader of YAML.
_BARE = re.compile(r"[^\W\d_](?:[\w .,()/-]*[\w.)])?")
_NOT_TEXT = {"true", "false", "null", "yes", "no", "on", "off", "y", "n"}
_LINE = r"(?P<head> *{key}:)(?: [^#\[{{|>&*!]*?)?(?P<remark> +#.*)?"


def with_line(tree: Tree, path: tuple[str, ...], value: Any) -> str | None:
    """Return the text of a job file with one answer on a line of its own.

    Only a proposal: a value may run over several lines, which are not looked for here. The caller
    reads the result back before it counts.

    Args:
        tree: The file as it was read; its lines end as on Linux.
        path: Section and name of the answer.
        value: A number, a text or a bool.

    Returns:
        The text, or None where a single line cannot do it.
    """
    said = _said(value)
    if said is None or len(path) != 2 or not isinstance(tree.value, Mapping):
        return None
    lines = tree.text.split("\n")
    if has(tree.value, path):
        return _changed(lines, tree.lines[path], path[1], said)
    if not has(tree.value, path[:1]):
        end = "" if tree.text.endswith("\n") else "\n"
        return f"{tree.text}{end}{path[0]}:\n  {path[1]}: {said}\n"
    return _added(lines, tree, path, said)


def _said(value: Any) -> str | None:
    if isinstance(value, bool | int | float):
        return json.dumps(value)
    if not isinstance(value, str):
        return None
    bare = _BARE.fullmatch(value) and value.casefold() not in _NOT_TEXT
    return value if bare else json.dumps(value, ensure_ascii=False)


def _changed(lines: list[str], number: int, key: str, said: str) -> str | None:
    found = re.fullmatch(_LINE.format(key=re.escape(key)), lines[number - 1])
    if not found:
        return None
    lines[number - 1] = f"{found['head']} {said}{found['remark'] or ''}"
    return "\n".join(lines)


def _added(lines: list[str], tree: Tree, path: tuple[str, ...], said: str) -> str | None:
    """Add a line under the last of the section."""
    section, key = path
    if not isinstance(at(tree.value, (section,)), Mapping):
        return None
    numbers = [number for place, number in tree.lines.items() if place[:1] == (section,)]
    first = re.match(r" +(?=\w)", lines[min(numbers[1:], default=1) - 1])
    if not first:
        return None
    lines.insert(max(numbers), f"{first[0]}{key}: {said}")
    return "\n".join(lines)
