"""Show a plan in the terminal: verdict, what is open, findings, decisions, order of work."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from planner.plan.calendar import clock
from planner.plan.model import Plan, Slot

VERDICTS = {
    "no_stop_found": "NO STOP FOUND — a planning aid, not an approval",
    "not_yet": "NOT YET — measure what is missing first",
    "do_not_start": "DO NOT START",
}
MARKS = {"stop": "STOP", "caution": "Caution", "note": "Note"}


def verdict_line(plan: Plan) -> str:
    """Return the verdict and its reasons as plain text."""
    lines = [VERDICTS[plan.verdict.state], *(f"  - {reason}" for reason in plan.verdict.why)]
    return "\n".join(lines)


def show(plan: Plan) -> None:
    """Print the plan."""
    console = Console(soft_wrap=False, highlight=False)
    console.print(f"[bold]{escape(verdict_line(plan))}[/bold]")
    _open_points(plan, console)
    _findings(plan, console)
    _decisions(plan, console)
    _order(plan, console)


def _open_points(plan: Plan, console: Console) -> None:
    if not plan.open_points:
        return
    table = Table(title="Measure before you start", title_justify="left", box=None, pad_edge=False)
    for head in ("what", "until then", "name"):
        table.add_column(head)
    for point in plan.open_points:
        table.add_row(escape(point.label), escape(f"{point.state}: {point.value}"), point.fact)
    console.print()
    console.print(table)


def _findings(plan: Plan, console: Console) -> None:
    if plan.findings:
        console.print("\n[bold]Findings[/bold]")
    for finding in plan.findings:
        console.print(f"  [bold]{MARKS[finding.severity]}[/bold]  {escape(finding.text)}")
        if finding.cure:
            console.print(f"          {escape(finding.cure)}", style="italic")


def _decisions(plan: Plan, console: Console) -> None:
    console.print("\n[bold]Decisions[/bold]")
    for decision in plan.decisions:
        chosen = next((o for o in decision.options if o.id == decision.chosen), None)
        label = chosen.label if chosen else "none left"
        console.print(f"  {escape(decision.label)}: [bold]{escape(label)}[/bold]")
        for reason in chosen.reasons if chosen else ():
            console.print(f"      {escape(reason)}")


def _order(plan: Plan, console: Console) -> None:
    console.print("\n[bold]Order of work[/bold]")
    words = {variable.id: variable.words for variable in plan.variables}
    table = Table(box=None, pad_edge=False, show_header=False)
    for justify in ("right", "left", "left", "right"):
        table.add_column(justify=justify)
    number, now = 0, 0.0
    for slot in plan.timetable:
        if slot.move.kind == "wait":
            table.add_row("", *_wait(slot, now, words, plan.start))
        else:
            number += 1
            table.add_row(str(number), *_step(slot, plan))
        now = max(now, slot.end_min)
    console.print(table)


def _wait(
    slot: Slot, now: float, words: Mapping[str, Mapping[str, str]], start: str
) -> tuple[str, str, str]:
    """A wait that other work has already filled is only noted."""
    name, _, value = slot.move.task.partition(":")
    text = words.get(name, {}).get(value, value)
    end = clock(slot.end_min, start)
    if slot.end_min <= now:
        return "", f"[dim]by now: {escape(text)}[/dim]", ""
    return end, f"[italic]wait until: {escape(text)}[/italic]", ""


def _step(slot: Slot, plan: Plan) -> tuple[str, str, str]:
    task = plan.tasks[slot.move.task]
    hold = "[bold]HOLD, sign first:[/bold] " if task.hold else ""
    title = f"{hold}{escape(plan.texts[slot.move.task].title)}"
    minutes = f"{slot.end_min - slot.start_min:.0f} min" if slot.end_min > slot.start_min else ""
    return clock(slot.start_min, plan.start), title, minutes


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Show what is being made; quiet where the output is no terminal.

    One line written over and over, by no thread of its own: a process with threads cannot be
    copied, and then the second core would lie idle.
    """
    if not sys.stderr.isatty():
        yield lambda _what: None
        return

    def show(text: str) -> None:
        sys.stderr.write(f"\r{text:<60}\r")
        sys.stderr.flush()

    try:
        yield lambda what: show(f"Making the work pack: {what}")
    finally:
        show("")
