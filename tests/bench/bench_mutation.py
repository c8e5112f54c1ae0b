"""Break every safety rule once and print who notices: python -m tests.bench.bench_mutation."""

from __future__ import annotations

import gc
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from planner.rulebase.load import built_in
from planner.shop.sweep import RARELY
from tests.shop.mutants import Judge, Mutant, Verdict, mutants, sampled

NOTICED = ("static", "sweep", "tests")
_JUDGE: list[tuple[Judge, list[Mutant]]] = []


def _set_up() -> None:
    _JUDGE.append((Judge(built_in()), list(mutants(built_in()))))
    gc.freeze()  # the kept plans never change; looking through them for garbage takes long
    gc.set_threshold(RARELY)


def _judge(number: int) -> tuple[int, Verdict]:
    judge, every = _JUDGE[0]
    return number, judge.judge(every[number])


def main() -> None:
    """Judge all mutants, or as many as the first argument says, and print the table."""
    every = list(mutants(built_in()))
    count = int(sys.argv[1]) if len(sys.argv) > 1 else len(every)
    numbers = sampled(len(every), count)  # mixed, so that what is printed first is a sample too
    found: list[tuple[int, Verdict]] = []
    with ProcessPoolExecutor(2, get_context("fork"), initializer=_set_up) as pool:
        for number, verdict in pool.map(_judge, numbers, chunksize=4):
            found.append((number, verdict))
            mutant = every[number]
            where = f"{mutant.kind}/{mutant.rule}: {mutant.what}"
            print(f"{verdict.by:10s} {where}  [{verdict.detail.splitlines()[:1]}]", flush=True)
    tally = Counter(verdict.by for _, verdict in found)
    noticed = sum(tally[by] for by in NOTICED)
    counted = noticed + tally["survived"]
    print(dict(tally))
    share = 100 * noticed / max(counted, 1)
    print(f"noticed: {noticed} of {counted} that are not equivalent, {share:.1f} %")


if __name__ == "__main__":
    main()
