"""Pack one job: read it by its rules, plan it, write its pack, remember what it was packed with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from planner.job.file import read_job
from planner.pack.outline import ALL, is_whole
from planner.pack.write import write_pack
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.shop.memory import remember
from planner.shop.standard import rules_for


class Order(Struct, frozen=True):
    """What kind of pack is asked for, and by which rules.

    Attributes:
        rules: A shop's rules on top, the lowest first.
        only: ``all``, or the name of a short form.
        customer: Without prices and internal notes.
    """

    rules: tuple[Path, ...] = ()
    only: str = ALL
    customer: bool = False


def pack_job(
    job: Path,
    folder: Path,
    order: Order,
    *,
    both_cores: bool = True,
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[Plan, tuple[Path, ...]]:
    """Return the plan of a job and the files of its pack.

    Args:
        job: The job file.
        folder: Where the pack goes.
        order: What kind of pack, by which rules.
        both_cores: Not where other jobs are packed at the same time.
        progress: Told what is being made.

    Raises:
        InputError: If job, rules or folder are faulty; then nothing changed.
    """
    base = rules_for(job, order.rules)
    plan = make_plan(read_job(job, base), base, every_fact=True)
    files = write_pack(
        plan,
        folder,
        only=order.only,
        customer=order.customer,
        both_cores=both_cores,
        progress=progress,
    )
    if is_whole(order.only, customer=order.customer):
        remember(job, plan, folder)
    return plan, tuple(files)
