"""The commands: parse, call, print, exit code; no logic.

Heavy imports stand inside the command that needs them, so that help appears at once.
"""

from __future__ import annotations

import io
import os
import sys
import traceback
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli_explain import explain_app, show_what_if
from planner.cli_record import record_app
from planner.cli_rules import rules_app
from planner.cli_shared import (
    JobFile,
    OutDir,
    RuleDirs,
    made_plan,
    plain,
    read,
    rules_for_job,
)
from planner.errors import (
    BAD_INPUT,
    NOT_TO_BE_STARTED,
    OUR_FAULT,
    InputError,
    LidworkError,
)

if TYPE_CHECKING:
    from planner.plan.model import Plan
    from planner.rulebase.base import RuleBase
    from planner.shop.many import Row
    from planner.shop.packing import Order

app = typer.Typer(
    name="lidwork",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: importing the pretty one takes longer than all else
    help="Plan the fitting of solar panels to a camper van roof, and print the work pack.",
)
app.add_typer(explain_app)
app.add_typer(record_app)
app.add_typer(rules_app, name="rules")

With = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="FACT=VALUE", help="What if; no file is touched."),
]
AsPlanned = Annotated[
    Path | None,
    typer.Option("--as-planned", metavar="PLAN", help="Refuse to differ from this plan.json."),
]
Workers = Annotated[
    int | None, typer.Option("--workers", min=1, max=64, help="Processes that share the work.")
]


@app.command()
def survey(job: JobFile, rules: RuleDirs = None) -> None:
    """Ask about the van and keep the answers in the job file, one by one."""
    from planner.survey.terminal import survey as ask  # noqa: PLC0415

    try:
        ask(job, rules_for_job(job, rules), typer.echo)
    except (KeyboardInterrupt, EOFError):
        typer.echo(f"\nStopped. Every answer given is in {job}. Go on with: lidwork survey {job}")


@app.command()
def plan(
    job: JobFile,
    rules: RuleDirs = None,
    given: With = None,
    as_planned: AsPlanned = None,
) -> None:
    """Print the plan: verdict, findings, decisions, order of work."""
    from planner.plan.show import show  # noqa: PLC0415

    if given and as_planned:
        cure = "Leave one of them out: what is asked here is not what was planned then."
        raise InputError.of("--as-planned", "cannot stand beside --with", cure)
    base = rules_for_job(job, rules)
    asked = read(job, base)
    if given:
        made = show_what_if(asked, given, base)
    else:
        made = made_plan(asked, base, every_fact=True)
        _since(job, made, base, rules or [], as_planned)
        show(made)
    raise typer.Exit(_exit_code(made))


def _since(
    job: Path, made: Plan, base: RuleBase, rules: list[Path], as_planned: Path | None
) -> None:
    """Say what has moved since the job was packed, or refuse to differ."""
    from planner.shop import memory  # noqa: PLC0415

    if as_planned is not None:
        memory.refuse_to_differ(as_planned, plain(made), base)
    elif memory.recall(job) is not None:
        for line in memory.moved_on(job, made, base, plain(made), rules):
            typer.echo(line, err=True)


@app.command()
def pack(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB...", help="One or more job files.")],
    out: OutDir = Path("pack"),
    rules: RuleDirs = None,
    workers: Workers = None,
    only: Annotated[
        str, typer.Option(metavar="FORM", help="A short form: summary, method, risk …")
    ] = "all",
    customer: Annotated[
        bool, typer.Option("--customer", help="Without prices and internal notes.")
    ] = False,
) -> None:
    """Write work packs: HTML, PDF, Markdown, plan, materials and the drilling template.

    One job goes straight into the folder; of several, each goes into a folder of its own in it.
    """
    from planner.pack.outline import form  # noqa: PLC0415
    from planner.plan.show import progress  # noqa: PLC0415
    from planner.shop.packing import Order, pack_job  # noqa: PLC0415

    order = Order(tuple(rules or ()), form(only), customer)
    if len(jobs) > 1:
        _pack_many(jobs, out, order, workers)
    with progress() as step:
        made, files = pack_job(jobs[0], out, order, progress=step)
    _tell(made, out, files)
    raise typer.Exit(_exit_code(made))


def _pack_many(jobs: list[Path], out: Path, order: Order, workers: int | None) -> None:
    from planner.shop.many import exit_code, pack_many  # noqa: PLC0415
    from planner.shop.progress import counting  # noqa: PLC0415

    count = workers or os.cpu_count() or 1
    with counting("Packing", len(set(jobs))) as step:
        rows = pack_many(jobs, out, order, workers=count, progress=step)
    _summary(rows)
    raise typer.Exit(exit_code(rows))


def _summary(rows: list[Row]) -> None:
    from rich.console import Console  # noqa: PLC0415

    from planner.shop.progress import summary  # noqa: PLC0415

    wide = None if sys.stdout.isatty() else 160  # in a log, lines need not be folded
    Console(highlight=False, width=wide).print(summary(rows))


@app.command()
def demo(
    out: OutDir = Path("demo-pack"),
    every: Annotated[bool, typer.Option("--all", help="Make all three demo jobs.")] = False,
) -> None:
    """Make a work pack from a built-in, invented job."""
    from planner import paths  # noqa: PLC0415
    from planner.pack.write import write_pack  # noqa: PLC0415
    from planner.plan.show import progress  # noqa: PLC0415

    jobs = paths.demos()
    worst = 0
    for job in jobs if every else jobs[:1]:
        base = rules_for_job()
        made = made_plan(read(job, base), base, every_fact=True)
        folder = out / job.stem if every else out
        with progress() as step:
            files = write_pack(made, folder, progress=step)
        _tell(made, folder, tuple(files))
        worst = max(worst, _exit_code(made))
    raise typer.Exit(worst)


def _tell(made: Plan, out: Path, files: tuple[Path, ...]) -> None:
    from planner.plan.show import verdict_line  # noqa: PLC0415

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
