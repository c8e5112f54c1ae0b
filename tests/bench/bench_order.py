"""Prints how long the order of work takes for 1,000 random jobs of realistic size.

Run from the project's top folder: ``python -m tests.bench.bench_order [jobs]``.
"""

from __future__ import annotations

import statistics
import sys
import time

from planner.plan.encode import encode
from planner.plan.order import arrange
from planner.plan.search import find
from tests.plan.randomjobs import dice
from tests.plan.roofjob import loosened, roof_job, some_flags


def main(jobs: int) -> None:
    """Order the jobs, a third of them with a tenth of their links left out, and print the times."""
    whole, searches, nodes, sizes = [], [], [], []
    for seed in range(jobs):
        rng = dice(seed)
        job = roof_job(some_flags(rng))
        if seed % 3 == 0:
            job = loosened(job, rng, 0.1)
        begun = time.process_time()
        moves = arrange(job.tasks, job.variables)
        whole.append((time.process_time() - begun) * 1000)
        tasks = sorted(job.tasks.values(), key=lambda task: (task.phase, task.rank, task.id))
        encoded = encode(tasks, [job.variables[name] for name in sorted(job.variables)])
        begun = time.process_time()
        nodes.append(find(encoded).nodes)
        searches.append((time.process_time() - begun) * 1000)
        sizes.append(sum(move.kind == "step" for move in moves))
    print(f"{jobs} jobs of {min(sizes)} to {max(sizes)} steps")
    for name, values in (("whole [ms]", whole), ("search [ms]", searches), ("states", nodes)):
        ordered = sorted(values)
        high = ordered[int(len(ordered) * 0.95)]
        middle = statistics.median(values)
        print(f"{name:12} median {middle:8.1f}   95 in 100 {high:8.1f}   worst {ordered[-1]:8.1f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
