"""Say what a sweep found, as lines of text; every fault as a job file that shows it."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import indent

from planner.rulebase.base import RuleBase
from planner.shop.shrink import job_text
from planner.shop.sweep import Report, never_used
from planner.shop.trial import FAULTS
from planner.words import counted

KINDS = {
    "no_stop_found": "no stop found",
    "not_yet": "not yet",
    "do_not_start": "do not start",
    "refused": "refused an answer",
    "no_order": "no order exists",
    "unproved": "order not proved",
    "crash": "crash",
}
MOST_REFUSED = 12


def lines(report: Report, base: RuleBase) -> Iterator[str]:
    """Yield the report as text."""
    yield from _outcomes(report)
    yield from _stops(report)
    yield from _refused(report)
    yield from _named("Questions that changed no plan (some are printed)", report.idle)
    unused = never_used(report, base)
    yield from _named(f"Rules that none of the {report.jobs} jobs used", unused)
    yield from _faults(report)


def _outcomes(report: Report) -> Iterator[str]:
    tried = ", ".join(f"{count} for {family}" for family, count in report.families.items())
    yield f"{report.jobs} jobs planned: {tried}."
    if report.pairs:
        yield f"{len(report.pairs)} pairs of choices stood together in some job."
    for kind, words in KINDS.items():
        if report.kinds[kind]:
            yield f"  {words:20s} {_share(report.kinds[kind], report)}"


def _share(count: int, report: Report) -> str:
    return f"{count:6d}  {100 * count / report.jobs:5.1f} %"


def _stops(report: Report) -> Iterator[str]:
    if report.stops:
        yield "Stops, and the share of jobs that each stopped:"
    for name, count in report.stops.most_common():
        yield f"  {name:40s} {_share(count, report)}"


def _refused(report: Report) -> Iterator[str]:
    if report.refused:
        yield "Answers refused by a calculation; better refused when they are given:"
    for text, count in report.refused.most_common(MOST_REFUSED):
        yield f"  {count:4d} x {text}"
    if len(report.refused) > MOST_REFUSED:
        yield f"  and {len(report.refused) - MOST_REFUSED} more"


def _named(head: str, names: list[str]) -> Iterator[str]:
    if names:
        yield f"{head}: {len(names)}"
        yield from (f"  {name}" for name in names)


def _faults(report: Report) -> Iterator[str]:
    for number, fault in enumerate(report.faults, 1):
        yield ""
        yield f"Fault {number}: {KINDS[fault.kind]}, in {counted(fault.count, 'job')}"
        yield indent(fault.detail, "  ")
        yield "The smallest job found that shows it:"
        yield indent(job_text(fault.job).rstrip(), "    ")
    if not report.faults:
        yield f"No fault found: {', '.join(KINDS[kind] for kind in FAULTS)}: none."
