"""Measure what people wait for, and print it as a table: python tests/bench/bench_speed.py."""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from planner import paths
from planner.job.file import read_job
from planner.plan.make import make_plan
from planner.rulebase.conditions import holds
from planner.rulebase.load import built_in, load_rules
from planner.survey import flow

DEMO = paths.DEMOS / "lifting-grp.yaml"


def seconds(work: Callable[[], object], runs: int = 7) -> float:
    """Return the median time of some runs [s], after one to warm up."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def cold(*arguments: str) -> float:
    """Return the median wall time of the command in a fresh process [s]."""
    command = [sys.executable, "-m", "planner", *arguments]
    return seconds(lambda: subprocess.run(command, capture_output=True, check=True), 3)


def conditions() -> Callable[[], object]:
    """Return a run over 400 conditions of the rules on one job's facts."""
    from planner.plan.facts import ledger_of  # noqa: PLC0415

    base = built_in()
    ledger = ledger_of(base, read_job(DEMO, base).answers)
    tried = [rule.when.condition for rule in base.findings.values()]
    tried += [rule.when.condition for rule in base.steps.values()]
    tried = (tried * 4)[:400]
    return lambda: ledger.reading(lambda: [holds(one, ledger) for one in tried])


def main() -> None:
    """Print the table."""
    base = built_in()
    job = read_job(DEMO, base)
    every = dict(job.answers)
    with tempfile.TemporaryDirectory() as folder:
        rows = [
            ("plan of the first demo, warm", seconds(lambda: make_plan(job, base)), "15 ms"),
            ("pack, cold process", cold("pack", str(DEMO), "-o", str(Path(folder) / "p")), "1.2 s"),
            ("--help, cold", cold("--help"), "150 ms"),
            (
                "question to question",
                seconds(lambda: flow.to_ask(base, every, first_pass=False)),
                "50 ms",
            ),
            ("400 conditions with recorded reads", seconds(conditions()), "2 ms"),
            ("rule base, unchanged", seconds(lambda: load_rules(paths.shipped("rules"))), "10 ms"),
        ]
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    for what, took, wanted in rows:
        print(f"{what:40s} {1000 * took:9.1f} ms   to reach {wanted}")
    print(f"{'largest cold process':40s} {peak:9.0f} MB   to reach 150 MB")


if __name__ == "__main__":
    main()
