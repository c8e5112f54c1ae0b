"""The job file: read it and check every answer in it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from planner.engineering.meant import probably_meant
from planner.errors import Fault, InputError, nearest
from planner.job.answers import Answers, answers_ledger, matters
from planner.job.contradictions import contradictions
from planner.job.migrate import FORMAT_KEY, migrated
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import say
from planner.rulebase.values import UNKNOWN, checked, shown
from planner.yamltext import Path_, Tree, read_file, read_text

#: More faults than anybody mends in one go; a hostile file could hold any number.
MOST_FAULTS = 25
#: Names the folder of rules that the job is planned by; no answer, so it is read elsewhere.
HOUSE_RULES = ("job", "house_rules")
Answer = tuple[str, Any]


class Job(Struct, frozen=True):
    """One job: the answers so far.

    Attributes:
        name: The file as it is shown in messages.
        answers: Fact name to checked value, or ``unknown`` where the fitter said so.
        text: The file's text, kept so that a rewrite keeps comments.
    """

    name: str
    answers: Mapping[str, Any]
    text: str = ""

    @property
    def revision(self) -> str:
        """Eight characters that change whenever an answer does."""
        canonical = json.dumps(dict(sorted(self.answers.items())), ensure_ascii=True)
        return hashlib.sha256(canonical.encode()).hexdigest()[:8]


def read_job(path: Path, base: RuleBase) -> Job:
    """Read a job file and check every answer in it.

    Raises:
        InputError: With every fault in the file, each with its line and what to do.
    """
    return job_of(read_file(path), base)


def parse_job(text: str, name: str, base: RuleBase) -> Job:
    """Return the job held in a text."""
    return job_of(read_text(text, name), base)


def job_of(tree: Tree, base: RuleBase) -> Job:
    """Return the checked job of a tree read from a file, brought up to this format."""
    tree = migrated(tree)
    faults: list[Fault] = []
    answers: dict[str, Any] = {}
    for item in _answers(tree, base):
        if not isinstance(item, Fault):
            answers[item[0]] = item[1]
        elif len(faults) < MOST_FAULTS:
            faults.append(item)
        else:
            break
    if not faults:
        faults.extend(_fixed_otherwise(answers, tree, base))
        faults.extend(_inapplicable(answers, tree, base))
    if not faults:
        faults.extend(
            Fault(tree.where(tuple(fact.split("."))) + f": {fact}", what, cure)
            for fact, what, cure in contradictions(base, answers)
        )
    if faults:
        raise InputError(*faults[:MOST_FAULTS])
    return Job(tree.name, answers, tree.text)


def _answers(tree: Tree, base: RuleBase) -> Iterator[Answer | Fault]:
    if tree.value is None:
        return
    if not isinstance(tree.value, dict):
        yield Fault(tree.where(), "a job file names sections, such as 'roof:'")
        return
    sections = {name.split(".")[0] for name in base.questions}
    for section, content in tree.value.items():
        if section in base.questions and "." not in section:
            yield _answer((section,), content, tree, base)
        elif section in sections:
            yield from _section(section, content, tree, base)
        elif section != FORMAT_KEY:
            cure = nearest(section[:80], sections) or f"Sections: {', '.join(sorted(sections))}."
            yield Fault(tree.where((section,)), f"unknown section {shown(section)}", cure)


def _section(
    section: str, content: Any, tree: Tree, base: RuleBase
) -> Iterator[Answer | Fault]:
    if isinstance(content, dict):
        for key, value in content.items():
            if (section, key) != HOUSE_RULES:
                yield _answer((section, key), value, tree, base)
    elif content is not None:
        what = f"section '{section}' must hold named answers"
        yield Fault(tree.where((section,)), what, f"Write '{section}:' on its own line.")


def _answer(path: Path_, raw: Any, tree: Tree, base: RuleBase) -> Answer | Fault:
    name = ".".join(str(part) for part in path)
    question = base.questions.get(name)
    if question is None:
        cure = nearest(name[:80], base.questions) or _known(path, base)
        return Fault(tree.where(path), f"unknown answer {shown(name)}", cure)
    if raw is None or raw == UNKNOWN:
        return name, UNKNOWN
    try:
        return name, checked(question, raw)
    except ValueError as error:
        meant = probably_meant(fact=name, value=raw, answers=_as_given(tree))
        return Fault(tree.where(path), f"{name}: {error}", meant)


def _as_given(tree: Tree) -> Answers:
    """Return every answer by its fact's name as it stands in the file, checked or not."""
    return {
        f"{section}.{key}": value
        for section, content in tree.value.items()
        if isinstance(content, dict)
        for key, value in content.items()
    }


def _known(path: Path_, base: RuleBase) -> str:
    inside = [name for name in base.questions if name.startswith(f"{path[0]}.")]
    return f"Known here: {', '.join(sorted(inside))}." if inside else ""


def _inapplicable(answers: Mapping[str, Any], tree: Tree, base: RuleBase) -> Iterator[Fault]:
    ledger = answers_ledger(base, answers)
    for name, value in answers.items():
        question = base.questions[name]
        if value != UNKNOWN and not matters(question, ledger):
            only = say(question.when.condition, base)
            what = f"{name} is answered, but it matters only when {only}"
            cure = "Remove this answer, or correct the one it depends on."
            yield Fault(tree.where(tuple(name.split("."))), what, cure)


def _fixed_otherwise(answers: Mapping[str, Any], tree: Tree, base: RuleBase) -> Iterator[Fault]:
    for name, value in base.fixed.items():
        if answers.get(name, UNKNOWN) not in (UNKNOWN, value):
            what = f"{name} is answered, but the shop's rules fix it at {base.text(name, value)}"
            yield Fault(tree.where(tuple(name.split("."))), what, "Remove this answer.")
