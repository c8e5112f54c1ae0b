"""Print a comparison: as lines for the terminal, and as one page that needs nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from planner.errors import InputError
from planner.folder import ordinary, write_whole
from planner.shop.compare import Difference

#: How each kind of difference is headed, in the order in which they are found.
HEADS = {
    "verdict": "Verdict",
    "rules": "Rules",
    "answer": "Answers",
    "decision": "Decisions",
    "step": "Steps added, dropped or moved",
    "finding": "Findings",
    "hazard": "Hazards",
    "material": "Materials",
    "figure": "Figures",
}
#: Two quite different jobs differ in dozens of answers; the page names them all.
MOST_CAUSES = 8
PAGES = Path(__file__).parent / "pages"
#: Stands near the beginning of every page that is written here.
MARK = b'<meta name="generator" content="lidwork compare">'
MOST_BYTES = 50_000_000


def grouped(differences: Iterable[Difference]) -> Iterator[tuple[str, list[Difference]]]:
    """Yield the differences under their heads."""
    for what, group in groupby(differences, key=lambda one: one.what):
        yield HEADS[what], list(group)


def lines(differences: Iterable[Difference], names: tuple[str, str]) -> Iterator[str]:
    """Yield the comparison as text."""
    nothing = True
    for head, group in grouped(differences):
        yield from (() if nothing else ("",))
        nothing = False
        yield head
        for one in group:
            yield f"  {one.label}: {change(one)}"
            if one.causes:
                more = len(one.causes) - MOST_CAUSES
                said = "; ".join(one.causes[:MOST_CAUSES]) + (f"; and {more} more" * (more > 0))
                yield f"      because of: {said}"
    if nothing:
        yield f"Nothing differs between {names[0]} and {names[1]}."


def change(one: Difference) -> str:
    """Return what became of it, as one phrase.

    Examples:
        >>> change(Difference("step", "x", "X", "", "number 4")), change(
        ...     Difference("answer", "x", "X", "4 kg", "5 kg"))
        ('added, number 4', '4 kg -> 5 kg')
    """
    if not one.before:
        return f"added, {one.after}"
    return f"{one.before} -> {one.after}" if one.after else f"dropped, was {one.before}"


def page(differences: Iterable[Difference], names: tuple[str, str]) -> str:
    """Return the comparison as an HTML page."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    environment = Environment(
        loader=FileSystemLoader(PAGES, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    groups: list[Any] = [(head, group) for head, group in grouped(differences)]
    return environment.get_template("compare.html.j2").render(names=names, groups=groups)


def write_page(path: Path, differences: Iterable[Difference], names: tuple[str, str]) -> None:
    """Write the comparison as an HTML page; only an earlier comparison may stand there.

    Raises:
        InputError: If it cannot be written, or anything else stands there.
    """
    try:
        if path.is_symlink() or (path.exists() and MARK not in ordinary(path, MOST_BYTES)[:1000]):
            what = "something else than a comparison stands here; it was left as it is"
            raise InputError.of(str(path), what, "Give the page another name.")
        write_whole(path, page(differences, names).encode(errors="replace"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError.of(str(path), f"cannot write: {reason}", "Choose another place.") from None
