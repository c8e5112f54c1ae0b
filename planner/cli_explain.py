"""The commands that explain a plan or lay two side by side: why, compare; no logic."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli_shared import JobFile, RuleDirs, made_plan, plain, read, rules_for_job
from planner.errors import InputError

if TYPE_CHECKING:
    from planner.job.file import Job
    from planner.plan.model import Plan
    from planner.rulebase.base import RuleBase
    from planner.shop.planfile import PlanFile

explain_app = typer.Typer()


@explain_app.command()
def why(
    job: JobFile,
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="A fact, a rule, or words of the plan.")
    ],
    rules: RuleDirs = None,
    depth: Annotated[
        int, typer.Option(min=1, max=50, help="So many levels of the explanation.")
    ] = 50,
) -> None:
    """Explain where something in the plan comes from, or why it is not there."""
    from rich.console import Console  # noqa: PLC0415

    from planner.shop.tree import as_tree, cut, lines  # noqa: PLC0415
    from planner.shop.why import why as explain  # noqa: PLC0415

    base = rules_for_job(job, rules)
    asked = read(job, base)
    node = cut(explain(asked, base, name, made_plan(asked, base)), depth)
    if sys.stdout.isatty():
        Console(highlight=False).print(as_tree(node))
    else:
        for line in lines(node):
            typer.echo(line)


@explain_app.command()
def compare(
    first: Annotated[Path, typer.Argument(metavar="A", help="A job file, or a plan.json.")],
    second: Annotated[
        Path | None, typer.Argument(metavar="B", help="Another; or leave it and use --rules-b.")
    ] = None,
    rules: RuleDirs = None,
    rules_b: Annotated[
        list[Path] | None,
        typer.Option("--rules-b", metavar="DIR", help="Rules for the second plan instead."),
    ] = None,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE", help="Write a page (HTML) as well.")
    ] = None,
) -> None:
    """Lay two plans side by side: what differs, and which answers or rules cause it."""
    from planner.shop import report  # noqa: PLC0415
    from planner.shop.compare import compare as differing  # noqa: PLC0415

    if second is None and rules_b is None:
        what = "one job by one set of rules leaves nothing to compare"
        raise InputError.of(str(first), what, "Name a second job or plan, or give --rules-b DIR.")
    other = second or first
    theirs = rules if rules_b is None else rules_b
    before, after = rules_for_job(first, rules), rules_for_job(other, theirs)
    then = _plain_of(first, before)
    now = _plain_of(other, after) if second else _plain_under(first, before, after)
    found = differing(then, now, before, after)
    names = (_named(first, rules), _named(other, theirs))
    for line in report.lines(found, names):
        typer.echo(line)
    if page is not None:
        report.write_page(page, found, names)


def _named(job: Path, rules: list[Path] | None) -> str:
    return f"{job} by {', '.join(map(str, rules))}" if rules else str(job)


def _plain_of(path: Path, base: RuleBase) -> PlanFile:
    from planner.shop.planfile import read_plan  # noqa: PLC0415

    if path.suffix == ".json":
        return read_plan(path)
    return plain(made_plan(read(path, base), base, every_fact=True))


def _plain_under(path: Path, own: RuleBase, other: RuleBase) -> PlanFile:
    """The plan of a job by other rules than its own; what they fix is not asked of the job."""
    from planner.shop.what_if import under  # noqa: PLC0415

    if path.suffix == ".json":
        return _plain_of(path, own)
    job, left_out = under(read(path, own), other)
    if left_out:
        typer.echo(f"Left out, as the other rules do not ask it: {', '.join(left_out)}", err=True)
    return plain(made_plan(job, other, every_fact=True))


def show_what_if(asked: Job, given: list[str], base: RuleBase) -> Plan:
    """Show the plan with other answers, and what they change."""
    from planner.plan.show import show  # noqa: PLC0415
    from planner.shop.compare import compare as differing  # noqa: PLC0415
    from planner.shop.report import lines  # noqa: PLC0415
    from planner.shop.what_if import what_if  # noqa: PLC0415

    other, dropped = what_if(asked, given, base)
    before, after = (made_plan(one, base, every_fact=True) for one in (asked, other))
    show(after)
    if dropped:
        typer.echo(f"\nLeft out, because they no longer matter: {', '.join(dropped)}")
    typer.echo(f"\nWhat {', '.join(given)} changes:")
    for line in lines(differing(plain(before), plain(after), base, base), ("the job", "this")):
        typer.echo(f"  {line}" if line else "")
    return after
