"""What several commands share: their arguments, and the way from a job file to its plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from planner.job.file import Job
    from planner.plan.model import Plan
    from planner.rulebase.base import RuleBase
    from planner.shop.planfile import PlanFile

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, such as van.yaml.")]
OutDir = Annotated[Path, typer.Option("-o", "--out", metavar="DIR", help="Folder to write.")]
RuleDirs = Annotated[
    list[Path] | None,
    typer.Option("--rules", metavar="DIR", help="A shop's rules on top; may be given again."),
]


def rules_for_job(job: Path | None = None, rules: list[Path] | None = None) -> RuleBase:
    """Return the rules for a job file, or for none; a plan.json names no rules of its own."""
    from planner.shop.standard import rules_for  # noqa: PLC0415

    is_job = job is not None and job.suffix != ".json"
    return rules_for(job if is_job else None, rules or ())


def read(job: Path, base: RuleBase) -> Job:
    """Return the job of a file."""
    from planner.job.file import read_job  # noqa: PLC0415

    return read_job(job, base)


def made_plan(job: Job, base: RuleBase, *, every_fact: bool = False) -> Plan:
    """Return the plan of a job."""
    from planner.plan.make import make_plan  # noqa: PLC0415

    return make_plan(job, base, every_fact=every_fact)


def plain(made: Plan) -> PlanFile:
    """Return a plan as its file holds it."""
    from planner.pack.plan_json import plan_to_dict  # noqa: PLC0415

    return plan_to_dict(made)
