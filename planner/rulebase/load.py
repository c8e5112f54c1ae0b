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
        try:
            texts[name] = path.read_text(encoding="utf-8").replace("\r\n", "\n")
        except (OSError, UnicodeDecodeError) as error:
            raise InputError.of(name, f"cannot read: {error}", "Save it as UTF-8 text.") from None
    if not texts:
        raise InputError.of(str(folder), "no rule files (*.yaml) in this folder", "Check the path.")
    return texts


def digest_of(texts: Mapping[str, str]) -> str:
    """Return sixteen characters that change whenever a rule file does."""
    digest = hashlib.sha256()
    for name, text in texts.items():
        digest.update(f"{name}\0{text}\0".encode())
    return digest.hexdigest()[:16]
