"""Keep a validated rule base as JSON, keyed by the digest of its files, so YAML is parsed once.

The cache is only a saving: anything wrong with it means that the YAML is read again.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from functools import lru_cache
from pathlib import Path

from pydantic import ValidationError

from planner.rulebase.gather import Places, Rules
from planner.rulebase.model import KINDS, BaseRule

Kept = tuple[BaseRule, Rules, Places]
#: The models that made a cache must be the models that read it.
_MODELS = ("model.py", "conditions.py")


@lru_cache(maxsize=1)
def _format() -> str:
    here = Path(__file__).parent
    return hashlib.sha256(b"".join((here / name).read_bytes() for name in _MODELS)).hexdigest()[:8]


def _file(digest: str) -> Path:
    root = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(root) / "lidwork" / f"rules-{_format()}-{digest}.json"


def read(digest: str) -> Kept | None:
    """Return the kept rule base, or None when there is none that fits."""
    try:
        data = json.loads(_file(digest).read_bytes())
        rules = {
            kind: {name: model.model_validate(raw) for name, raw in data["rules"][kind].items()}
            for kind, (model, _) in KINDS.items()
        }
        places = {(kind, name): place for kind, name, place in data["places"]}
        return BaseRule.model_validate(data["base"]), rules, places
    except (
        OSError,
        ValueError,
        KeyError,
        TypeError,
        AttributeError,
        RuntimeError,
        ValidationError,
    ):
        return None


def write(
    digest: str,
    base: BaseRule,
    rules: Rules,
    places: Places,
) -> None:
    """Keep a rule base; a folder that cannot be written is no fault."""
    data = {
        "base": base.model_dump(mode="json"),
        "rules": {
            kind: {
                name: rule.model_dump(mode="json", exclude_unset=True)
                for name, rule in held.items()
            }
            for kind, held in rules.items()
        },
        "places": [[kind, name, place] for (kind, name), place in places.items()],
    }
    with contextlib.suppress(OSError, RuntimeError):
        target = _file(digest)
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(data, file)
            Path(temporary).replace(target)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
