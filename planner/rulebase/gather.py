"""Gather rules from the texts of a folder: every fault with its file and line, all in one go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any, TypeVar

from pydantic import ValidationError

from planner.errors import Fault, InputError, nearest
from planner.rulebase.misfit import explanations
from planner.rulebase.model import BaseRule, Rule
from planner.yamltext import Path_, Tree, read_text

RuleT = TypeVar("RuleT", bound=Rule)
#: Key in a rule file -> (model, name of the field that identifies a rule).
Kinds = Mapping[str, tuple[type[Rule], str]]
Rules = dict[str, dict[str, Rule]]
Places = dict[tuple[str, str], str]
#: More faults than anybody mends in one go; a hostile file could hold any number.
MOST_FAULTS = 50


def gather(texts: Mapping[str, str], kinds: Kinds) -> tuple[BaseRule, Rules, Places]:
    """Return what a folder says of itself, its rules by kind and id, and where each stands.

    Raises:
        InputError: With every fault in every file.
    """
    gathered = collect(texts, kinds)
    if gathered.faults or gathered.head is None:
        raise InputError(*gathered.faults[:MOST_FAULTS])
    return gathered.head, gathered.rules, gathered.places


def collect(texts: Mapping[str, str], kinds: Kinds) -> Gathered:
    """Return what could be read of a folder, with every fault of the rest."""
    gathered = Gathered(kinds)
    for name, text in texts.items():
        try:
            gathered.read(read_text(text, name))
        except InputError as error:
            gathered.faults.extend(error.faults)
            gathered.lost.add("base")  # it may have stood in this file
    if gathered.head is None and not (gathered.is_full or "base" in gathered.lost):
        missing = Fault("base.yaml", "no 'base:' with name, version and date", "Add one.")
        gathered.faults.append(missing)
    return gathered


class Gathered:
    """What has been read so far from the files of one folder, and what was wrong.

    ``lost`` names the rules that could not be read, so that nobody is told that they are unknown.
    """

    def __init__(self, kinds: Kinds) -> None:
        self.kinds = kinds
        self.head: BaseRule | None = None
        self.rules: Rules = {kind: {} for kind in kinds}
        self.places: Places = {}
        self.faults: list[Fault] = []
        self.lost: set[str] = set()

    @property
    def is_full(self) -> bool:
        """Whether enough faults are known to stop looking for more."""
        return len(self.faults) >= MOST_FAULTS

    def read(self, tree: Tree) -> None:
        """Take all rules of one file."""
        if not isinstance(tree.value, dict):
            self._fault(tree.where(), "a rule file is a mapping of kinds", self._kinds_cure())
            return
        for kind, items in tree.value.items():
            if self.is_full:
                return
            self._kind(kind, items, tree)

    def _kind(self, kind: str, items: Any, tree: Tree) -> None:
        if kind == "base":
            self.head = self._validated(BaseRule, items, tree, (kind,)) or self.head
            if self.head is None:
                self.lost.add(kind)
        elif kind not in self.kinds:
            cure = nearest(kind[:80], self.kinds) or self._kinds_cure()
            self._fault(tree.where((kind,)), f"unknown kind of rule '{kind[:80]}'", cure)
        elif not isinstance(items, list):
            self._fault(tree.where((kind,)), f"'{kind}' must be a list", "Begin with '- '.")
        else:
            for index, item in enumerate(items):
                if self.is_full:
                    return
                self._rule(kind, item, tree, (kind, index))

    def _kinds_cure(self) -> str:
        return f"Use: base, {', '.join(self.kinds)}."

    def _fault(self, where: str, what: str, cure: str) -> None:
        self.faults.append(Fault(where, what, cure))

    def _rule(self, kind: str, item: Any, tree: Tree, path: Path_) -> None:
        model, key = self.kinds[kind]
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
            faults = _faults(error, model, item, tree, path)
            self.faults.extend(islice(faults, MOST_FAULTS))
            self.lost.add(_name(item))
            return None


def _name(item: Any) -> str:
    named = item if isinstance(item, dict) else {}
    return str(named.get("id") or named.get("fact") or named.get("name") or "?")[:80]


def _faults(
    error: ValidationError, model: type[Rule], item: Any, tree: Tree, path: Path_
) -> Iterator[Fault]:
    for inner, what, cure in explanations(error, model, item):
        yield Fault(f"{tree.where((*path, *inner))}: {_name(item)}", what, cure)
