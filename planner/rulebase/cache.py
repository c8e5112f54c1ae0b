"""Keep a validated rule base, keyed by the digest of its files, so YAML is parsed once.

The cache is only a saving: anything wrong with it means that the YAML is read again. Rules that
somebody else could have written there are not read at all.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import sys
from functools import lru_cache
from pathlib import Path

import msgspec
import pydantic

from planner.folder import write_whole
from planner.rulebase.gather import Places, Rules
from planner.rulebase.model import KINDS, BaseRule
from planner.rulebase.packed import packed, unpacked

Kept = tuple[BaseRule, Rules, Places]
#: The models that made a cache must be the models that read it.
_MODELS = ("model.py", "conditions.py", "packed.py", "gather.py", "misfit.py", "../yamltext.py")
#: Rule bases in use at one time: the shipped one, a few layers, a few versions.
MOST_KEPT = 12


@lru_cache(maxsize=1)
def _format() -> str:
    here = Path(__file__).parent
    made = hashlib.sha256(b"".join((here / name).read_bytes() for name in _MODELS))
    made.update(f"{pydantic.VERSION} {msgspec.__version__} {sys.version_info[:2]}".encode())
    return made.hexdigest()[:8]


def _file(digest: str) -> Path:
    root = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(root) / "lidwork" / f"rules-{_format()}-{digest}.bin"


def read(digest: str) -> Kept | None:
    """Return the kept rule base, or None when there is none that fits and that we wrote."""
    try:
        with _file(digest).open("rb") as file:
            if not _is_ours(os.fstat(file.fileno())):
                return None
            kept = unpacked(file.read())
        return kept if _is_whole(kept) else None
    except (OSError, ValueError, RuntimeError):
        return None


def _is_ours(found: os.stat_result) -> bool:
    """Whether nobody but us can have written a file; elsewhere the system sees to that."""
    if not hasattr(os, "geteuid"):
        return True
    others = found.st_mode & (stat.S_IWGRP | stat.S_IWOTH)
    return stat.S_ISREG(found.st_mode) and found.st_uid == os.geteuid() and not others


def _is_whole(kept: object) -> bool:
    """Whether it has the shape of a rule base; its parts were checked when they were written."""
    if not isinstance(kept, tuple) or len(kept) != 3:
        return False
    head, rules, places = kept
    return (
        isinstance(head, BaseRule)
        and isinstance(rules, dict)
        and set(rules) == set(KINDS)
        and all(isinstance(held, dict) for held in rules.values())
        and isinstance(places, dict)
    )


def write(digest: str, base: BaseRule, rules: Rules, places: Places) -> None:
    """Keep a rule base; a folder that cannot be written is no fault."""
    with contextlib.suppress(OSError, RuntimeError):
        target = _file(digest)
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(target, packed((base, rules, places)), mode=0o600)
        _tidy(target.parent)


def _tidy(folder: Path) -> None:
    """Let the oldest go; a rule base that is changed often would fill the disk."""
    kept = sorted(folder.glob("rules-*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for old in kept[MOST_KEPT:]:
        old.unlink(missing_ok=True)
