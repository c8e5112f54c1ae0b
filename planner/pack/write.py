"""Write the files of a work pack: all of them together, or none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import nullcontext
from pathlib import Path

from planner.beside import beside
from planner.errors import InputError
from planner.folder import put, refuse_others
from planner.pack.bom import bom_csv
from planner.pack.documents import documents
from planner.pack.outline import ALL, is_whole
from planner.pack.plan_json import plan_text
from planner.pack.template import drilling_template
from planner.plan.model import Plan

#: A folder that holds nothing but these may be replaced: it is an earlier pack.
PLAN = "plan.json"
FILES = ("pack.html", "pack.pdf", "pack.md", PLAN, "bom.csv", "drilling-template.pdf")
Progress = Callable[[str], None]


def write_pack(
    plan: Plan,
    out: Path,
    *,
    only: str = ALL,
    customer: bool = False,
    both_cores: bool = True,
    progress: Progress = lambda _what: None,
) -> list[Path]:
    """Write the work pack of a plan into a folder, which an earlier pack may already fill.

    A short form or a customer's copy is documents alone: no plan, prices or template; it never
    takes the place of a whole pack.

    Args:
        plan: The finished plan, with every fact worked out.
        out: The folder to make.
        only: ``all``, or the name of a short form (``planner.pack.documents.ONLY``).
        customer: Whether to leave out prices and internal notes.
        both_cores: Make some of the files beside the others; not where other jobs want the cores.
        progress: Told what is being made, for somebody who waits.

    Returns:
        The files written, in the order of ``FILES``; no template where nothing is drilled.

    Raises:
        InputError: If the folder holds anything else, or cannot be written; then nothing changed.
    """
    whole = is_whole(only, customer=customer)
    _refuse_what_is_not_ours(out, whole=whole)  # before the long work, not after it
    progress("documents")
    made = documents(plan, only=only, customer=customer)

    def rest() -> dict[str, bytes]:
        found = {"pack.md": made.markdown.encode()}
        return found | dict(_of_a_whole_pack(plan)) if whole else found

    with beside(rest) if both_cores else nullcontext(rest) as others:
        files = {"pack.html": made.html.encode()}
        progress("paper")
        files["pack.pdf"] = made.paper_pdf()
        progress("drilling template")
        files |= others()
    progress("files")
    put(out, files, FILES.__contains__)
    return [out / name for name in FILES if name in files]


def _of_a_whole_pack(plan: Plan) -> Iterator[tuple[str, bytes]]:
    yield PLAN, plan_text(plan).encode()
    yield "bom.csv", bom_csv(plan).encode()
    template = drilling_template(plan)
    if template is not None:
        yield "drilling-template.pdf", template


def _refuse_what_is_not_ours(out: Path, *, whole: bool) -> None:
    there = refuse_others(out, FILES.__contains__)
    if PLAN in there and not whole:
        raise InputError.of(
            str(out),
            "a whole pack lies here, and a short form would take its place; nothing was written",
            "Choose another folder with -o.",
        )
