"""Load a folder of rule files: every fault with its file and line, all faults in one go."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from planner import paths
from planner.errors import Fault, InputError, nearest
from planner.rulebase import cache
from planner.rulebase.base import LayerId, RuleBase
from planner.rulebase.cache import Kept
from planner.rulebase.model import KINDS, BaseRule, Rule
from planner.yamltext import Path_, Tree, read_text

RuleT = TypeVar("RuleT", bound=Rule)


@lru_cache(maxsize=4)
def built_in() -> RuleBase:
    """Return the rule base that ships with lidwork, read once a process."""
    return load_rules(paths.shipped("rules"))


def load_rules(folder: Path) -> RuleBase:
    """Load a rule folder.

    Raises:
        InputError: If the folder is missing, holds no rules, or any rule is faulty.
    """
    texts = _texts(folder)
    digest = _digest(texts)
    kept = cache.read(digest)
    if kept is None:
        kept = _parse(texts)
        cache.write(digest, *kept)
    head, rules, places = kept
    layer = LayerId(head.name, head.version, digest)
    return RuleBase(head, **rules, places=places, layers=(layer,))  # type: ignore[arg-type]


def _texts(folder: Path) -> dict[str, str]:
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


def _digest(texts: Mapping[str, str]) -> str:
    digest = hashlib.sha256()
    for name, text in texts.items():
        digest.update(f"{name}\0{text}\0".encode())
    return digest.hexdigest()[:16]


def _parse(texts: Mapping[str, str]) -> Kept:
    gathered = _Gathered()
    for name, text in texts.items():
        try:
            gathered.read(read_text(text, name))
        except InputError as error:
            gathered.faults.extend(error.faults)
    if gathered.head is None:
        missing = Fault("base.yaml", "no 'base:' with name, version and date", "Add one.")
        gathered.faults.append(missing)
    if gathered.faults or gathered.head is None:
        raise InputError(*gathered.faults)
    return gathered.head, gathered.rules, gathered.places


class _Gathered:
    """What has been read so far from the files of one folder, and what was wrong."""

    def __init__(self) -> None:
        self.head: BaseRule | None = None
        self.rules: dict[str, dict[str, Rule]] = {kind: {} for kind in KINDS}
        self.places: dict[tuple[str, str], str] = {}
        self.faults: list[Fault] = []

    def read(self, tree: Tree) -> None:
        """Take all rules of one file."""
        if not isinstance(tree.value, dict):
            self._fault(tree.where(), "a rule file is a mapping of kinds", _kinds_cure())
            return
        for kind, items in tree.value.items():
            if kind == "base":
                self.head = self._validated(BaseRule, items, tree, (kind,)) or self.head
            elif kind not in KINDS:
                cure = nearest(kind, KINDS) or _kinds_cure()
                self._fault(tree.where((kind,)), f"unknown kind of rule '{kind}'", cure)
            elif not isinstance(items, list):
                self._fault(tree.where((kind,)), f"'{kind}' must be a list", "Begin with '- '.")
            else:
                for index, item in enumerate(items):
                    self._rule(kind, item, tree, (kind, index))

    def _fault(self, where: str, what: str, cure: str) -> None:
        self.faults.append(Fault(where, what, cure))

    def _rule(self, kind: str, item: Any, tree: Tree, path: Path_) -> None:
        model, key = KINDS[kind]
        rule = self._validated(model, item, tree, path)
        if rule is None:
            return
        name = str(getattr(rule, key))
        if name in self.rules[kind]:
            first = self.places[kind, name]
            what = f"{kind[:-1]} '{name}' is defined twice (first at {first})"
            self._fault(tree.where(path), what, "Keep one, or rename one.")
            return
        self.rules[kind][name] = rule
        self.places[kind, name] = tree.where(path)

    def _validated(self, model: type[RuleT], item: Any, tree: Tree, path: Path_) -> RuleT | None:
        try:
            return model.model_validate(item)
        except ValidationError as error:
            self.faults.extend(_faults(error, model, tree, path, _name(item)))
            return None


def _name(item: Any) -> str:
    named = item if isinstance(item, dict) else {}
    return str(named.get("id") or named.get("fact") or named.get("name") or "?")


def _kinds_cure() -> str:
    return f"Use: base, {', '.join(KINDS)}."


def _faults(
    error: ValidationError, model: type[Rule], tree: Tree, path: Path_, name: str
) -> Iterator[Fault]:
    seen: set[str] = set()
    for one in error.errors(include_url=False):
        inner: Path_ = tuple(one["loc"])
        what, cure = _explained(one, inner, model)
        if what not in seen:
            seen.add(what)
            yield Fault(f"{tree.where((*path, *inner))}: {name}", what, cure)


def _explained(one: Any, inner: Path_, model: type[Rule]) -> tuple[str, str]:
    shown = ".".join(str(part) for part in inner)
    if one["type"] == "extra_forbidden":
        known = list(model.model_fields)
        cure = nearest(str(inner[-1]), known) or f"Known: {', '.join(known)}."
        return f"unknown entry '{shown}'", cure
    if one["type"] == "missing":
        return f"'{shown}' is missing", "Add it."
    message = one["msg"].removeprefix("Value error, ")
    return (f"'{shown}': {message}" if shown else message), "Correct it."
