"""The job file: read and check it, and write answers back without losing comments or other work."""

from __future__ import annotations

import hashlib
import io
import json
import os
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from planner.errors import Fault, InputError, nearest
from planner.job.answers import answers_ledger, matters
from planner.job.contradictions import contradictions
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import say
from planner.rulebase.values import UNKNOWN, checked
from planner.yamltext import Path_, Tree, read_file, read_text

FORMAT = 1
FORMAT_KEY = "job_format"


@dataclass(frozen=True)
class Job:
    """One job: the answers so far.

    Attributes:
        name: The file as it is shown in messages.
        answers: Fact name to checked value, or ``unknown`` where the fitter said so.
        text: The file's text, kept so that a rewrite keeps comments and notices other hands.
    """

    name: str
    answers: Mapping[str, Any]
    text: str = field(default="", repr=False)

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
    tree = read_file(path)
    return job_of(tree, base, path.read_text(encoding="utf-8-sig"))


def parse_job(text: str, name: str, base: RuleBase) -> Job:
    """Return the job held in a text."""
    return job_of(read_text(text, name), base, text)


def job_of(tree: Tree, base: RuleBase, text: str) -> Job:
    """Return the checked job of a tree read from a file."""
    faults: list[Fault] = []
    answers = dict(_answers(tree, base, faults))
    if not faults:
        faults.extend(_fixed_otherwise(answers, tree, base))
        faults.extend(_inapplicable(answers, tree, base))
    if not faults:
        faults.extend(
            Fault(tree.where(tuple(fact.split("."))) + f": {fact}", what, cure)
            for fact, what, cure in contradictions(base, answers)
        )
    if faults:
        raise InputError(*faults)
    return Job(tree.name, answers, text)


def _answers(tree: Tree, base: RuleBase, faults: list[Fault]) -> Iterator[tuple[str, Any]]:
    if tree.value is None:
        return
    if not isinstance(tree.value, dict):
        faults.append(Fault(tree.where(), "a job file names sections, such as 'roof:'", ""))
        return
    for path, raw in _entries(tree, base, faults):
        name = ".".join(str(part) for part in path)
        question = base.questions.get(name)
        if question is None:
            cure = nearest(name, base.questions) or _known(path, base)
            faults.append(Fault(tree.where(path), f"unknown answer '{name}'", cure))
            continue
        if raw is None or raw == UNKNOWN:
            yield name, UNKNOWN
            continue
        try:
            yield name, checked(question, raw)
        except ValueError as error:
            faults.append(Fault(tree.where(path), f"{name}: {error}"))


def _known(path: Path_, base: RuleBase) -> str:
    inside = [name for name in base.questions if name.startswith(f"{path[0]}.")]
    return f"Known here: {', '.join(sorted(inside))}." if inside else ""


def _entries(tree: Tree, base: RuleBase, faults: list[Fault]) -> Iterator[tuple[Path_, Any]]:
    sections = {name.split(".")[0] for name in base.questions}
    for section, content in tree.value.items():
        if section == FORMAT_KEY:
            _check_format(content, tree, faults)
        elif section in base.questions:
            yield (section,), content
        elif section not in sections:
            cure = nearest(section, sections) or f"Sections: {', '.join(sorted(sections))}."
            faults.append(Fault(tree.where((section,)), f"unknown section '{section}'", cure))
        elif content is not None and not isinstance(content, dict):
            what = f"section '{section}' must hold named answers"
            faults.append(
                Fault(tree.where((section,)), what, f"Write '{section}:' on its own line.")
            )
        else:
            for key, value in (content or {}).items():
                yield (section, key), value


def _check_format(content: Any, tree: Tree, faults: list[Fault]) -> None:
    if content == FORMAT:
        return
    newer = isinstance(content, int) and content > FORMAT
    what = f"this job file has format {content}; this lidwork reads format {FORMAT}"
    cure = "Install a newer lidwork." if newer else f"Write '{FORMAT_KEY}: {FORMAT}'."
    faults.append(Fault(tree.where((FORMAT_KEY,)), what, cure))


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


def with_answer(text: str, fact: str, value: Any) -> str:
    """Return the job file's text with one answer set; comments and order stay.

    ``None`` removes the answer.
    """
    from ruamel.yaml import YAML  # noqa: PLC0415  - heavy, needed only when writing

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 100
    yaml.indent(mapping=2, sequence=4, offset=2)
    data = yaml.load(text) if text.strip() else None
    if data is None:
        data = yaml.load(f"{FORMAT_KEY}: {FORMAT}\n")
    _set(data, fact.split("."), value)
    out = io.StringIO()
    yaml.dump(data, out)
    kept = _leading_comment(text) if not text.strip().startswith(FORMAT_KEY) else ""
    written = out.getvalue()
    return written if not kept or written.startswith(kept) else kept + written


def _leading_comment(text: str) -> str:
    """Comments of a file that holds nothing else would be lost by the round trip."""
    lines = text.splitlines(keepends=True)
    return "".join(lines) if all(line.startswith("#") or not line.strip() for line in lines) else ""


def _set(data: Any, path: list[str], value: Any) -> None:
    for key in path[:-1]:
        if not isinstance(data.get(key), dict):
            data[key] = {}
        data = data[key]
    if value is None:
        data.pop(path[-1], None)
    else:
        data[path[-1]] = value


def write_atomically(path: Path, text: str, expected: str | None) -> None:
    """Replace a file in one step, unless somebody else changed it meanwhile.

    Args:
        path: The file.
        text: Its new text.
        expected: The text that the file held when it was read; ``None`` if it did not exist.

    Raises:
        InputError: If the file changed meanwhile, or the place cannot be written; the old file
            is untouched.
    """
    try:
        found = path.read_text(encoding="utf-8-sig") if path.exists() else None
        if found != expected:
            raise InputError.of(
                str(path),
                "the file was changed by someone else meanwhile; nothing was overwritten",
                "Start the survey again: it picks up from the changed file.",
            )
        handle, temporary = tempfile.mkstemp(
            dir=path.parent, prefix=f".{path.name}.", suffix=".part"
        )
    except OSError as error:
        raise _cannot_write(path, error) from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except OSError as error:
        Path(temporary).unlink(missing_ok=True)
        raise _cannot_write(path, error) from None


def _cannot_write(path: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError.of(
        str(path), f"cannot write: {reason}", "Free some space or choose a folder you may write to."
    )
