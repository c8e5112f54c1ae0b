"""Write the files of a work pack: all of them together, or none."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from planner.errors import InputError
from planner.pack import render
from planner.pack.bom import bom_csv
from planner.pack.compose import compose
from planner.pack.pdf import pdf
from planner.pack.plan_json import plan_text
from planner.pack.template import drilling_template
from planner.plan.model import Plan

#: A folder that holds nothing but these may be replaced: it is an earlier pack.
FILES = ("pack.html", "pack.pdf", "pack.md", "plan.json", "bom.csv", "drilling-template.pdf")
Progress = Callable[[str], None]


def write_pack(plan: Plan, out: Path, *, progress: Progress = lambda _what: None) -> list[Path]:
    """Write the work pack of a plan into a folder, which an earlier pack may already fill.

    Args:
        plan: The finished plan, with every fact worked out.
        out: The folder to make.
        progress: Told what is being made, for somebody who waits.

    Returns:
        The files written, in the order of ``FILES``; no template where nothing is drilled.

    Raises:
        InputError: If the folder holds anything else, or cannot be written; then nothing changed.
    """
    _refuse_what_is_not_ours(out)
    files = dict(_files(plan, progress))
    progress("files")
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        building = Path(tempfile.mkdtemp(dir=out.parent, prefix=f".{out.name}."))
    except OSError as error:
        raise _cannot_write(out, error) from None
    try:
        _fill(building, files)
        _put_in_place(building, out)
    except OSError as error:
        raise _cannot_write(out, error) from None
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return [out / name for name in FILES if name in files]


def _files(plan: Plan, progress: Progress) -> Iterator[tuple[str, bytes]]:
    progress("documents")
    context = compose(plan)
    html = render.html(context)
    yield "pack.html", html.encode()
    yield "pack.md", render.markdown_text(context).encode()
    yield "plan.json", plan_text(plan).encode()
    yield "bom.csv", bom_csv(plan).encode()
    progress("paper")
    meta = context["meta"]
    yield "pack.pdf", pdf(html, title=meta["title"], paper=meta["paper"])
    progress("drilling template")
    template = drilling_template(plan)
    if template is not None:
        yield "drilling-template.pdf", template


def _refuse_what_is_not_ours(out: Path) -> None:
    try:
        if out.is_symlink() or (out.exists() and not out.is_dir()):
            raise InputError.of(
                str(out), "a file stands where the pack's folder should be", "Choose another name."
            )
        strange = sorted(item.name for item in out.iterdir() if item.name not in FILES)
    except FileNotFoundError:
        return
    except OSError as error:
        raise _cannot_write(out, error) from None
    if strange:
        raise InputError.of(
            str(out),
            f"this folder holds other things, such as '{strange[0]}'; nothing was written",
            "Choose a new or empty folder with -o.",
        )


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    for name, content in files.items():
        (folder / name).write_bytes(content)
    folder.chmod(0o755)


def _put_in_place(building: Path, out: Path) -> None:
    """Exchange the new folder for the old one, which goes only when the new one stands."""
    if not out.exists():
        building.rename(out)
        return
    aside = Path(tempfile.mkdtemp(dir=out.parent, prefix=f".{out.name}.old."))
    try:
        out.rename(aside / "pack")
        try:
            building.rename(out)
        except OSError:
            (aside / "pack").rename(out)
            raise
    finally:
        if out.exists():
            shutil.rmtree(aside, ignore_errors=True)


def _cannot_write(out: Path, error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError.of(
        str(out), f"cannot write here: {reason}; nothing was written", "Choose another folder."
    )
