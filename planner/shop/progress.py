"""Show how far long work has come, and how many jobs fared."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from planner.shop.many import Row


@contextmanager
def counting(what: str, total: int) -> Iterator[Callable[[], None]]:
    """Show a bar that grows with each call; quiet where the output is no terminal."""
    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
        disable=not sys.stderr.isatty(),
    )
    with bar:
        task = bar.add_task(what, total=total)
        yield lambda: bar.advance(task)


def summary(rows: Iterable[Row]) -> Table:
    """Return the table that stands at the end of many jobs."""
    table = Table(box=None, pad_edge=False)
    for head in ("job", "verdict", "stops", "steps", "hours", "pack, or what is wrong"):
        table.add_column(head, overflow="fold")
    for row in rows:
        state = row.state.replace("_", " ")
        where = str(row.folder) if row.folder else row.note
        counts = (str(row.stops), str(row.steps), f"{row.hours:g}") if row.folder else ("", "", "")
        table.add_row(escape(str(row.job)), state, *counts, escape(where))
    return table
