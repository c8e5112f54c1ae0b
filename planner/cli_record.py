"""The commands on paper and after the work: sheet, record, handover; no logic."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from planner.cli_shared import JobFile, OutDir, RuleDirs, rules_for_job
from planner.errors import NOT_TO_BE_STARTED
from planner.folder import as_typed
from planner.words import counted

record_app = typer.Typer()


@record_app.command()
def sheet(
    job: Annotated[Path | None, typer.Argument(metavar="[JOB]", help="A job file.")] = None,
    out: OutDir = Path("sheet"),
    paper: Annotated[str, typer.Option(help="a4 or letter, for a blank sheet.")] = "a4",
    rules: RuleDirs = None,
) -> None:
    """Print the measure-up sheet, blank or with what is still open."""
    from planner.survey.sheet import write_sheet  # noqa: PLC0415

    files = write_sheet(job, out, rules_for_job(job, rules), paper=paper)
    typer.echo(f"Measure-up sheet in {out}: {', '.join(path.name for path in files)}")


@record_app.command()
def record(
    job: JobFile,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE", help="Saved from pack.html.")
    ] = None,
    rules: RuleDirs = None,
) -> None:
    """Keep readings, photographs and signatures, each judged at once."""
    from planner.record.page import import_export  # noqa: PLC0415
    from planner.record.terminal import record as keep  # noqa: PLC0415

    base = rules_for_job(job, rules)
    if page is not None:
        added = import_export(job, page, base, now=_now(), say=typer.echo)
        typer.echo(f"{counted(added, 'entry', 'entries')} added to the record of {job}.")
        return
    try:
        keep(job, base, typer.echo, clock=_now)
    except (KeyboardInterrupt, EOFError):
        go_on = f"lidwork record {as_typed(job)}"
        typer.echo(f"\nStopped. All that was said is kept. Go on with: {go_on}")


@record_app.command()
def handover(
    job: JobFile,
    out: OutDir = Path("handover"),
    rules: RuleDirs = None,
) -> None:
    """Write the owner's sheet, the as-built record and the labels from the record."""
    from planner.plan.show import progress  # noqa: PLC0415
    from planner.record.handover import write_handover  # noqa: PLC0415

    with progress() as step:
        made = write_handover(job, out, rules_for_job(job, rules), progress=step)
    typer.echo(f"Handover in {out}: {', '.join(path.name for path in made.files)}")
    if not made.closed:
        still = f"still open: {len(made.open)}" if made.open else "nothing is open"
        typer.echo(f"NOT CLOSED: {still}; close it with: lidwork record {as_typed(job)}")
        raise typer.Exit(NOT_TO_BE_STARTED)


def _now() -> datetime:
    return datetime.now().astimezone()
