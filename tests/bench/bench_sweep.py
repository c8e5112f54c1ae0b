"""Measure a sweep and print it: python -m tests.bench.bench_sweep [random jobs] [workers]."""

from __future__ import annotations

import sys
import time
from collections import defaultdict

from planner.engineering.bindings import BINDINGS
from planner.rulebase.check import check
from planner.rulebase.load import built_in
from planner.shop.jobs import Maker
from planner.shop.sweep import made, sweep, trials
from planner.shop.trial import try_on


def main() -> None:
    """Print plans a second over all processes, and what one plan costs, with a memo and without."""
    count, workers = (int(one) for one in (*sys.argv[1:], "400", "2")[:2])
    base = built_in()
    start = time.process_time()
    check(base, BINDINGS)
    print(f"rules check: {time.process_time() - start:.2f} s of processor time, to reach 1 s")
    todo = trials(base, seed=1, count=count)
    start = time.perf_counter()
    report = sweep(base, todo, workers=workers)
    took = time.perf_counter() - start
    print(f"{report.jobs} jobs by {workers} processes in {took:.1f} s: "
          f"{report.jobs / took:.0f} plans a second, to reach 200")  # fmt: skip
    maker = Maker(base)
    for name, memo in (("without a memo", None), ("with a memo", maker.memo)):
        costs: dict[str, list[float]] = defaultdict(list)
        for trial in todo[::7]:
            answers = made(trial, maker)
            start = time.process_time()
            try_on(answers, base, memo)
            costs[trial.family].append(time.process_time() - start)
        means = (f"{family} {1000 * sum(one) / len(one):.0f}" for family, one in costs.items())
        print(f"processor time of a plan {name} [ms]: {', '.join(means)}")


if __name__ == "__main__":
    main()
