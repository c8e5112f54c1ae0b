"""Make a small layer of a shop's own that works, with the schemas that editors check it by."""

from __future__ import annotations

from pathlib import Path

from planner.errors import InputError
from planner.folder import write_whole
from planner.rulebase.base import RuleBase
from planner.rulebase.schema import schemas

EXAMPLE = Path(__file__).parent / "start"
SCHEMAS = "schema"


def start(folder: Path, base: RuleBase) -> list[Path]:
    """Write a commented layer into a new or empty folder and return the files written.

    Raises:
        InputError: If the folder holds anything, or cannot be written.
    """
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            what = "something stands here already; nothing was written"
            raise InputError.of(str(folder), what, "Choose a new or empty folder.")
        folder.mkdir(parents=True, exist_ok=True)
        written = []
        for example in sorted(EXAMPLE.glob("*.yaml")):
            target = folder / example.name
            write_whole(target, example.read_bytes())
            written.append(target)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    return [*written, *write_schemas(folder / SCHEMAS, base)]


def write_schemas(folder: Path, base: RuleBase) -> list[Path]:
    """Write the JSON Schemas of rule and job files and return them.

    Raises:
        InputError: If the folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        written = []
        for name, text in schemas(base).items():
            write_whole(folder / name, text.encode())
            written.append(folder / name)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    return written


def _cannot_write(folder: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError.of(str(folder), f"cannot write here: {reason}", "Choose another folder.")
