"""Throws broken job files, rule files or shop layers at the planner and prints what became of them.

Run from the top folder: ``python -m tests.bench.fuzz jobs|rules|layers [examples [seed]]``.
Every find is printed and counted; the run goes on. Needs Linux, whose kernel counts the memory.
"""

from __future__ import annotations

import math
import re
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
from msgspec import Struct, field

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
#: Hypothesis remembers all that it drew in one run, so many short runs keep the peak the planner's.
BATCH = 500


class Tally(Struct):
    """What became of the files so far."""

    became: Counter[str] = field(default_factory=Counter)
    finds: set[str] = field(default_factory=set)
    slowest: float = 0.0
    peak_mb: float = 0.0

    def take(self, case: Any, attempt: Callable[[Any], str]) -> None:
        """Try one file; a find is printed the first time, and the run goes on."""
        begun = time.process_time()
        _forget_peak()
        try:
            self.became[attempt(case)] += 1
        except Exception as error:  # noqa: BLE001  - every find is kept
            self.became["FIND"] += 1
            self._note(f"{type(error).__name__} at {_place(error)}: {str(error)[:40]}", error, case)
        self.slowest = max(self.slowest, time.process_time() - begun)
        self.peak_mb = max(self.peak_mb, _peak_mb())

    def _note(self, found: str, error: Exception, case: Any) -> None:
        if found not in self.finds:
            self.finds.add(found)
            print(f"FIND {found}\n    {error!r:.300}\n    {case!r}", flush=True)

    def show(self) -> None:
        """Print the counts, the slowest file and the most memory so far."""
        counts = ", ".join(f"{count} {what}" for what, count in sorted(self.became.items()))
        finds = f"{len(self.finds)} kinds of find; slowest {self.slowest:.2f} s of processor"
        print(f"{counts}; {finds}; peak {self.peak_mb:.0f} MB", flush=True)


def run(
    cases: st.SearchStrategy[Any], attempt: Callable[[Any], str], examples: int, start: int
) -> int:
    """Try the cases and print the counts; return how many kinds of find there were."""
    tally = Tally()
    for number, done in enumerate(range(0, examples, BATCH)):
        _batch(cases, attempt, min(BATCH, examples - done), start + number, tally)
        tally.show()
    return len(tally.finds)


def _batch(
    cases: st.SearchStrategy[Any],
    attempt: Callable[[Any], str],
    examples: int,
    start: int,
    tally: Tally,
) -> None:
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
        tally.take(case, attempt)

    throw()


def _forget_peak() -> None:
    """Begin to count the most memory from here: what Hypothesis took is not the planner's."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


def _peak_mb() -> float:
    status = Path("/proc/self/status").read_text(encoding="ascii")
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(found[1]) / 1024 if found else math.nan


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
