"""The commands for those who write rules; parse, call, print, exit code; no logic."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from planner.cli_shared import RuleDirs
from planner.errors import BAD_INPUT

rules_app = typer.Typer(no_args_is_help=True, help="Look at rules, check them, write your own.")

Layers = Annotated[
    list[Path] | None,
    typer.Argument(metavar="[DIR]...", help="Shops' rules on top of the built-in, lowest first."),
]


@rules_app.command("check")
def check(folders: Layers = None) -> None:
    """Check every rule as it lies: names, kinds, units, cases, what can never come about."""
    from planner.shop.standard import faults_of  # noqa: PLC0415

    base, faults = faults_of(folders or ())
    for fault in faults:
        typer.echo(str(fault), err=True)
    if faults:
        count = f"{len(faults)} fault{'s' if len(faults) > 1 else ''}."
        typer.echo(f"{count} Check again once mended: a fault can hide another.", err=True)
        raise typer.Exit(BAD_INPUT)
    counts = ", ".join(f"{len(getattr(base, kind))} {kind}" for kind in _COUNTED)
    names = " + ".join(f"{layer.name} {layer.version}" for layer in base.layers)
    typer.echo(f"No fault found in {names}: {counts}.")


_COUNTED = ("questions", "decisions", "findings", "steps", "hazards", "invariants", "facts")


@rules_app.command("list")
def show_list(
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="facts, steps, findings, departures …")
    ] = "facts",
    rules: RuleDirs = None,
) -> None:
    """List the rules of one kind, with where each stands."""
    from planner.rulebase.show import listing  # noqa: PLC0415
    from planner.shop.standard import rules_for  # noqa: PLC0415

    _print(listing(rules_for(None, rules or ()), kind))


@rules_app.command("show")
def show(
    name: Annotated[str, typer.Argument(metavar="ID", help="An id or a fact, or KIND/ID.")],
    rules: RuleDirs = None,
) -> None:
    """Show one rule: every entry, where it comes from, and which layer changed what."""
    from planner.rulebase.show import showing  # noqa: PLC0415
    from planner.shop.standard import rules_for  # noqa: PLC0415

    _print(showing(rules_for(None, rules or ()), name))


@rules_app.command("start")
def start(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A new or empty folder.")],
) -> None:
    """Make a small, commented set of rules of your own that works."""
    from planner.shop.standard import rules_for  # noqa: PLC0415
    from planner.shop.start_layer import start as make  # noqa: PLC0415

    written = make(folder, rules_for(None))
    typer.echo(f"Written: {', '.join(map(str, written))}")
    typer.echo(f"Read {written[0]} first, then run: lidwork rules check {folder}")


@rules_app.command("schema")
def schema(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder for the schemas.")],
    rules: RuleDirs = None,
) -> None:
    """Write JSON Schemas, by which editors complete and check rule and job files."""
    from planner.shop.standard import rules_for  # noqa: PLC0415
    from planner.shop.start_layer import write_schemas  # noqa: PLC0415

    written = write_schemas(folder, rules_for(None, rules or ()))
    typer.echo(f"Written: {', '.join(map(str, written))}")


@rules_app.command("sweep")
def sweep(
    folders: Layers = None,
    seed: Annotated[int, typer.Option(help="Another seed, other jobs.")] = 1,
    jobs: Annotated[int, typer.Option(min=0, help="Random jobs besides pairs and limits.")] = 400,
    workers: Annotated[int | None, typer.Option(min=1, max=64, help="Processes.")] = None,
) -> None:
    """Plan made-up jobs across all answers: what crashes, cannot be ordered, is never used."""
    from planner.shop import sweep as work  # noqa: PLC0415
    from planner.shop.progress import counting  # noqa: PLC0415
    from planner.shop.standard import rules_for  # noqa: PLC0415
    from planner.shop.sweep_report import lines  # noqa: PLC0415

    base = rules_for(None, folders or ())
    todo = work.trials(base, seed=seed, count=jobs)
    questions = [name for name in base.questions if name not in base.fixed]
    with counting("Planning made-up jobs", len(todo) + len(questions)) as step:
        report = work.sweep(
            base,
            todo,
            workers=workers or os.cpu_count() or 1,
            questions=questions,
            progress=step,
        )
    _print(lines(report, base))
    sys.stdout.flush()
    raise typer.Exit(BAD_INPUT if report.faults else 0)


def _print(texts: Iterable[str]) -> None:
    for text in texts:
        typer.echo(text)
