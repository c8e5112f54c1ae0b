"""The commands: parse, call, print, exit code; no logic.

Heavy imports stand inside the command that needs them, so that help appears at once.
"""

from __future__ import annotations

import io
import os
import sys
import traceback
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.errors import LidworkError

if TYPE_CHECKING:
    from planner.plan.model import Plan
    from planner.rulebase.base import RuleBase

BAD_INPUT, OUR_FAULT, NOT_TO_BE_STARTED = 2, 1, 3

app = typer.Typer(
    name="lidwork",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: importing the pretty one takes longer than all else
    help="Plan the fitting of solar panels to a camper van roof, and print the work pack.",
)
rules_app = typer.Typer(no_args_is_help=True, help="Look at rules and check them.")
app.add_typer(rules_app, name="rules")

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, such as van.yaml.")]
OutDir = Annotated[Path, typer.Option("-o", "--out", metavar="DIR", help="Folder for the pack.")]


@app.command()
def survey(job: JobFile) -> None:
    """Ask about the van and keep the answers in the job file, one by one."""
    from planner.survey.terminal import survey as ask  # noqa: PLC0415

    try:
        ask(job, _rules(), typer.echo)
    except (KeyboardInterrupt, EOFError):
        typer.echo(f"\nStopped. Every answer given is in {job}. Go on with: lidwork survey {job}")


@app.command()
def plan(job: JobFile) -> None:
    """Print the plan: verdict, findings, decisions, order of work."""
    from planner.plan.show import show  # noqa: PLC0415

    made = _plan(job)
    show(made)
    raise typer.Exit(_exit_code(made))


@app.command()
def pack(job: JobFile, out: OutDir = Path("pack")) -> None:
    """Write the work pack: HTML, PDF, Markdown, plan, materials and the drilling template."""
    made = _plan(job, every_fact=True)
    _write_pack(made, out)
    raise typer.Exit(_exit_code(made))


@app.command()
def demo(
    out: OutDir = Path("demo-pack"),
    every: Annotated[bool, typer.Option("--all", help="Make all three demo jobs.")] = False,
) -> None:
    """Make a work pack from a built-in, invented job."""
    from planner import paths  # noqa: PLC0415

    jobs = paths.demos()
    worst = 0
    for job in jobs if every else jobs[:1]:
        made = _plan(job, every_fact=True)
        _write_pack(made, out / job.stem if every else out)
        worst = max(worst, _exit_code(made))
    raise typer.Exit(worst)


@app.command()
def why(
    job: JobFile,
    name: Annotated[str, typer.Argument(metavar="NAME", help="A fact, decision, step, finding …")],
) -> None:
    """Explain where something in the plan comes from, down to the answers."""
    from planner.job.file import read_job  # noqa: PLC0415
    from planner.shop.tree import lines  # noqa: PLC0415
    from planner.shop.why import why as explain  # noqa: PLC0415

    base = _rules()
    for line in lines(explain(read_job(job, base), base, name)):
        typer.echo(line)


@app.command()
def sheet(
    job: Annotated[Path | None, typer.Argument(metavar="[JOB]", help="A job file.")] = None,
    out: OutDir = Path("sheet"),
    paper: Annotated[str, typer.Option(help="a4 or letter, for a blank sheet.")] = "a4",
) -> None:
    """Print the measure-up sheet, blank or with what is still open."""
    from planner.survey.sheet import write_sheet  # noqa: PLC0415

    files = write_sheet(job, out, _rules(), paper=paper)
    typer.echo(f"Measure-up sheet in {out}: {', '.join(path.name for path in files)}")


@app.command()
def record(
    job: JobFile,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE", help="Saved from pack.html.")
    ] = None,
) -> None:
    """Keep readings, photographs and signatures, each judged at once."""
    from planner.record.page import import_export  # noqa: PLC0415
    from planner.record.terminal import record as keep  # noqa: PLC0415

    if page is not None:
        added = import_export(job, page, _rules(), now=_now(), say=typer.echo)
        typer.echo(f"{added} entries added to the record of {job}.")
        return
    try:
        keep(job, _rules(), typer.echo, clock=_now)
    except (KeyboardInterrupt, EOFError):
        typer.echo(f"\nStopped. All that was said is kept. Go on with: lidwork record {job}")


@app.command()
def handover(job: JobFile, out: OutDir = Path("handover")) -> None:
    """Write the owner's sheet, the as-built record and the labels from the record."""
    from planner.plan.show import progress  # noqa: PLC0415
    from planner.record.handover import write_handover  # noqa: PLC0415

    with progress() as step:
        made = write_handover(job, out, _rules(), progress=step)
    typer.echo(f"Handover in {out}: {', '.join(path.name for path in made.files)}")
    if not made.closed:
        typer.echo(f"NOT CLOSED: {len(made.open)} things are open.")
        raise typer.Exit(NOT_TO_BE_STARTED)


def _now() -> datetime:
    return datetime.now().astimezone()


@rules_app.command("check")
def rules_check(
    folder: Annotated[Path | None, typer.Argument(metavar="DIR", help="A rule folder.")] = None,
) -> None:
    """Check every rule: names, kinds, units, cases, needs against what must never be."""
    from planner.engineering.bindings import BINDINGS  # noqa: PLC0415
    from planner.rulebase.check import check  # noqa: PLC0415
    from planner.rulebase.load import load_rules  # noqa: PLC0415

    base = load_rules(folder) if folder else _rules()
    faults = check(base, BINDINGS)
    for fault in faults:
        typer.echo(str(fault), err=True)
    if faults:
        typer.echo(f"{len(faults)} faults.", err=True)
        raise typer.Exit(BAD_INPUT)
    counts = ", ".join(f"{len(getattr(base, kind))} {kind}" for kind in _COUNTED)
    typer.echo(f"No fault found in {base.base.name} {base.base.version}: {counts}.")


_COUNTED = ("questions", "decisions", "findings", "steps", "hazards", "invariants", "facts")


@rules_app.command("list")
def rules_list(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="facts, steps, findings …")] = "facts",
) -> None:
    """List the rules of one kind, with where each stands."""
    from planner.rulebase.show import listing  # noqa: PLC0415

    for line in listing(_rules(), kind):
        typer.echo(line)


def _rules() -> RuleBase:
    from planner.rulebase.load import built_in  # noqa: PLC0415

    return built_in()


def _plan(job: Path, *, every_fact: bool = False) -> Plan:
    from planner.job.file import read_job  # noqa: PLC0415
    from planner.plan.make import make_plan  # noqa: PLC0415

    base = _rules()
    return make_plan(read_job(job, base), base, every_fact=every_fact)


def _write_pack(made: Plan, out: Path) -> None:
    from planner.pack.write import write_pack  # noqa: PLC0415
    from planner.plan.show import progress, verdict_line  # noqa: PLC0415

    with progress() as step:
        files = write_pack(made, out, progress=step)
    typer.echo(verdict_line(made))
    typer.echo(f"Work pack in {out}: {', '.join(path.name for path in files)}")


def _exit_code(made: Plan) -> int:
    return 0 if made.verdict.state == "no_stop_found" else NOT_TO_BE_STARTED


def main() -> None:
    """Run the command line; every error that input can cause ends here as one message."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without UTF-8 still shows the plan
    try:
        app()
    except LidworkError as error:
        typer.echo(str(error), err=True)
        sys.exit(BAD_INPUT)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:  # noqa: BLE001  - the last door: say it is our fault, not a traceback
        if os.environ.get("LIDWORK_DEBUG"):
            traceback.print_exc()
        typer.echo(f"lidwork itself failed, which is our fault: {error!r}", err=True)
        typer.echo("Nothing was half-written. Set LIDWORK_DEBUG=1 for details to report.", err=True)
        sys.exit(OUR_FAULT)
