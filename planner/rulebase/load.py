"""Load a folder of rule files, from the cache where nothing changed."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import lru_cache
from operator import itemgetter
from pathlib import Path

from planner import paths
from planner.errors import InputError
from planner.rulebase import cache
from planner.rulebase.base import LayerId, RuleBase
from planner.rulebase.gather import gather
from planner.rulebase.model import KINDS
from planner.yamltext import decoded, read_bytes

#: A rule folder holds a few dozen files; a wrong folder may hold thousands.
MOST_FILES = 500


@lru_cache(maxsize=4)
def built_in() -> RuleBase:
    """Return the rule base that ships with lidwork, read once a process."""
    return load_rules(paths.shipped("rules"))


def load_rules(folder: Path) -> RuleBase:
    """Load a rule folder that stands on its own.

    Raises:
        InputError: If the folder is missing, holds no rules, or any rule is faulty.
    """
    files = read_files(folder)
    digest = digest_of(files)
    kept = cache.read(digest)
    if kept is None:
        kept = gather(texts_of(files), KINDS)
        cache.write(digest, *kept)
    head, rules, places = kept
    layer = LayerId(head.name, head.version, digest, head.date, head.approved_by)
    return RuleBase(head, **rules, places=places, layers=(layer,))  # type: ignore[arg-type]


def read_files(folder: Path) -> dict[str, bytes]:
    """Return what every rule file of a folder holds, by the name shown in messages.

    Lines end as on Unix, whatever the machine that the files come from.

    Raises:
        InputError: If there is no such folder, no rule file in it, or one cannot be read.
    """
    if not folder.is_dir():
        raise InputError.of(str(folder), "there is no rule folder here", "Check the path.")
    found: dict[str, bytes] = {}
    for parts, entry in sorted(_entries(folder, ()), key=itemgetter(0)):
        if len(found) == MOST_FILES:
            raise InputError.of(str(folder), f"more than {MOST_FILES} rule files", "Is it the one?")
        name = "/".join((folder.name, *parts))
        found[name] = _content(entry, name).replace(b"\r\n", b"\n")
    if not found:
        raise InputError.of(str(folder), "no rule files (*.yaml) in this folder", "Check the path.")
    return found


def _entries(
    folder: str | Path, parents: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], os.DirEntry[str]]]:
    """Yield all that is called a rule file, in any depth; no link to a folder is followed."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(".yaml"):
                yield (*parents, entry.name), entry
            elif entry.is_dir(follow_symlinks=False):
                yield from _entries(entry.path, (*parents, entry.name))


def _content(entry: os.DirEntry[str], name: str) -> bytes:
    """What one rule file holds; a layer from elsewhere must not reach out of its folder."""
    if not name.isprintable():
        raise InputError.of(repr(name), "this file name cannot be printed", "Rename the file.")
    if not entry.is_file(follow_symlinks=False):
        raise InputError.of(
            name, "a rule file must be an ordinary file", "Put the file itself here."
        )
    return read_bytes(Path(entry.path), name)


def texts_of(files: Mapping[str, bytes]) -> dict[str, str]:
    """Return the text of each file.

    Raises:
        InputError: Naming the first that is not UTF-8.
    """
    return {name: decoded(data, name) for name, data in files.items()}


def digest_of(files: Mapping[str, bytes]) -> str:
    """Return sixteen characters that change whenever a rule file does."""
    digest = hashlib.sha256()
    for name, data in files.items():
        digest.update(b"%b\0%b\0" % (name.encode(), data))
    return digest.hexdigest()[:16]
