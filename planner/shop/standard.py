"""Which rules a job is planned by: the built-in ones, the job's own folder, and those named."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from planner.engineering.bindings import BINDINGS
from planner.errors import Fault, InputError
from planner.folder import native
from planner.job.file import HOUSE_RULES
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check, check_part
from planner.rulebase.layers import lay_all, stack
from planner.rulebase.load import built_in
from planner.yamltext import Tree, read_file

#: A shop, a customer, a fleet: nobody needs more layers for one job.
MOST_LAYERS = 10


def rules_for(job: Path | None, folders: Iterable[Path] = ()) -> RuleBase:
    """Return the rules for a job: built-in, then the job's own, then the folders given.

    Layers are checked as they lie on each other before any job is planned by them.

    Args:
        job: The job file; None, or a file yet to be made, names no rules of its own.
        folders: Further layers, the lowest first.

    Raises:
        InputError: With every fault of the layers.
    """
    own = _house_rules(job) if job is not None and _is_file(job) else ()
    layers = (*own, *map(_rule_folder, folders))
    if not layers:
        return built_in()
    base = stack(built_in(), layers)
    faults = check(base, BINDINGS)
    if faults:
        raise InputError(*faults)
    return base


def faults_of(folders: Iterable[Path]) -> tuple[RuleBase, tuple[Fault, ...]]:
    """Return the rules under some layers, and every fault found in one go, as they lie in files.

    Rules that cannot be read hide what others say of them; such faults are held back until the
    rules can be read, and so is what only the whole can show.
    """
    laid = lay_all(built_in(), map(_rule_folder, folders))
    if not laid.lost:  # what was refused is not laid, so the rest can be looked at as it is
        return laid.base, _as_they_lie((*laid.faults, *check(laid.base, BINDINGS)))
    rest = (
        fault
        for fault in check_part(laid.base, BINDINGS)
        if not any(f"'{name}'" in fault.what for name in laid.lost)
    )
    return laid.base, _as_they_lie((*laid.faults, *rest))


def _as_they_lie(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Return faults by file and line, so that somebody mends a file from top to bottom."""

    def place(fault: Fault) -> tuple[str, int]:
        file, _, rest = fault.where.partition(":")
        number = re.split("[:,]", rest, maxsplit=1)[0]
        return file, int(number) if number.isdecimal() else 0

    return tuple(sorted(faults, key=place))


def _is_file(job: Path) -> bool:
    try:
        return job.is_file()
    except OSError:  # whoever reads it says what is wrong with its name
        return False


def _rule_folder(folder: Path) -> Path:
    """Return a folder by a name of its own: '.' has none to show in messages."""
    try:
        folder.stat()
        named = folder if folder.name else folder.resolve()
    except FileNotFoundError:
        return folder  # whoever reads it says so
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError.of(str(folder), f"cannot read: {reason}", "Check the path.") from None
    if not named.name:
        raise InputError.of(str(folder), "this is no folder of rules", "Name the folder itself.")
    return named


def _house_rules(job: Path) -> tuple[Path, ...]:
    """Return the folders that a job file names; they must lie beside it.

    A job file may come from anywhere, so it cannot make us read from anywhere.
    """
    tree = read_file(job)
    section = tree.value.get(HOUSE_RULES[0]) if isinstance(tree.value, dict) else None
    named = section.get(HOUSE_RULES[1]) if isinstance(section, dict) else None
    if named is None:
        return ()
    names = named if isinstance(named, list) else [named]
    if len(names) > MOST_LAYERS:
        what = f"job.house_rules names more than {MOST_LAYERS} folders"
        raise InputError.of(tree.where(HOUSE_RULES), what, "Name the few that the job needs.")
    return tuple(_beside(job, name, tree) for name in names)


def _beside(job: Path, name: Any, tree: Tree) -> Path:
    where = tree.where(HOUSE_RULES)
    if not isinstance(name, str) or not name.strip(" ./"):
        what = "job.house_rules must name a folder"
        raise InputError.of(where, what, "Write it as 'house_rules: our-rules'.")
    folder = job.parent / native(name)
    if _leads_out(name) or not _lies_in(folder, job.parent, where):
        what = f"job.house_rules must lie in the job file's own folder, not at '{name[:80]}'"
        cure = "Copy the folder there, or name it on the command line with --rules."
        raise InputError.of(where, what, cure)
    if not folder.is_dir():
        what = f"job.house_rules names '{name[:80]}', but there is no such folder beside the job"
        raise InputError.of(where, what, "Correct the name, or remove the line.")
    return folder


def _leads_out(name: str) -> bool:
    paths = (PurePosixPath(name), PureWindowsPath(name))
    return any(path.is_absolute() or ".." in path.parts or path.drive for path in paths)


def _all_of(folder: Path) -> Iterator[Path]:
    yield folder
    yield from folder.rglob("*")


def _lies_in(folder: Path, home: Path, where: str) -> bool:
    """Whether all of a folder lies below another, links followed."""
    try:
        home = home.resolve()
        return all(path.resolve().is_relative_to(home) for path in _all_of(folder))
    except (OSError, RuntimeError) as error:  # a name that is too long, a link to itself
        reason = getattr(error, "strerror", None) or "it leads in a circle"
        what = f"job.house_rules names a folder that cannot be read: {reason}"
        raise InputError.of(where, what, "Correct the name, or remove the line.") from None
