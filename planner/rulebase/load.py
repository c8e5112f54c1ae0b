"""Load a folder of rule files, from the cache where nothing changed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from functools import lru_cache
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
    texts = read_texts(folder)
    digest = digest_of(texts)
    kept = cache.read(digest)
    if kept is None:
        kept = gather(texts, KINDS)
        cache.write(digest, *kept)
    head, rules, places = kept
    layer = LayerId(head.name, head.version, digest, head.date, head.approved_by)
    return RuleBase(head, **rules, places=places, layers=(layer,))  # type: ignore[arg-type]


def read_texts(folder: Path) -> dict[str, str]:
    """Return the text of every rule file in a folder, by the name shown in messages.

    Raises:
        InputError: If there is no such folder, no rule file in it, or one cannot be read.
    """
    if not folder.is_dir():
        raise InputError.of(str(folder), "there is no rule folder here", "Check the path.")
    texts: dict[str, str] = {}
    for path in sorted(folder.rglob("*.yaml")):
        name = f"{folder.name}/{path.relative_to(folder).as_posix()}"
        if len(texts) == MOST_FILES:
            raise InputError.of(str(folder), f"more than {MOST_FILES} rule files", "Is it the one?")
        texts[name] = _text(path, name)
    if not texts:
        raise InputError.of(str(folder), "no rule files (*.yaml) in this folder", "Check the path.")
    return texts


def _text(path: Path, name: str) -> str:
    """The text of one rule file; a layer from elsewhere must not reach out of its folder."""
    if not name.isprintable():
        raise InputError.of(repr(name), "this file name cannot be printed", "Rename the file.")
    if path.is_symlink() or not path.is_file():
        raise InputError.of(
            name, "a rule file must be an ordinary file", "Put the file itself here."
        )
    return decoded(read_bytes(path, name), name).replace("\r\n", "\n")


def digest_of(texts: Mapping[str, str]) -> str:
    """Return sixteen characters that change whenever a rule file does."""
    digest = hashlib.sha256()
    for name, text in texts.items():
        digest.update(f"{name}\0{text}\0".encode())
    return digest.hexdigest()[:16]
