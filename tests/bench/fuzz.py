"""Throws broken job files, rule files or shop layers at the planner and prints what became of them.

Run from the top folder: ``python -m tests.bench.fuzz jobs|rules|layers [examples [seed]]``.
Every find is printed and counted; the run goes on.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from planner.rulebase.load import built_in
from tests.reliability.broken import (
    broken_jobs,
    broken_layers,
    broken_rules,
    try_job,
    try_layer,
    try_rules,
)

FULL = 20_000


def run(
    cases: st.SearchStrategy[Any], attempt: Callable[[Any], str], examples: int, start: int
) -> int:
    """Try the cases and print the counts; return how many finds there were."""
    became: Counter[str] = Counter()
    finds: dict[str, str] = {}
    slowest = 0.0

    @seed(start)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(cases)
    def throw(case: Any) -> None:
        nonlocal slowest
        begun = time.process_time()
        try:
            became[attempt(case)] += 1
        except Exception as error:  # noqa: BLE001  - every find is kept, and the run goes on
            became["FIND"] += 1
            found = f"{type(error).__name__} at {_place(error)}: {str(error)[:40]}"
            if found not in finds:
                finds[found] = f"{error!r:.300}\n    {case!r}"
                print(f"FIND {found}\n    {finds[found]}", flush=True)
        slowest = max(slowest, time.process_time() - begun)

    throw()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(", ".join(f"{count} {what}" for what, count in sorted(became.items())))
    print(f"{len(finds)} kinds of find; slowest {slowest:.2f} s of processor; peak {peak:.0f} MB")
    return len(finds)


def _place(error: BaseException) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{frame.filename.rpartition('planner/')[2]}:{frame.lineno}"


def main(kind: str, examples: int = FULL, start: int = 0) -> int:
    """Throw one kind of file."""
    base = built_in()
    if kind == "jobs":
        return run(broken_jobs(base), lambda text: try_job(text, base), examples, start)
    if kind == "layers":
        with tempfile.TemporaryDirectory() as folder:
            return run(broken_layers(), lambda text: try_layer(text, Path(folder)), examples, start)
    return run(broken_rules(), lambda pair: try_rules(*pair), examples, start)


if __name__ == "__main__":
    sys.exit(bool(main(sys.argv[1], *map(int, sys.argv[2:]))))
