"""Break every safety rule once and print who notices: python -m tests.bench.bench_mutation."""

from __future__ import annotations

import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from planner.rulebase.load import built_in
from tests.shop.mutants import Judge, Verdict, mutants, sampled

NOTICED = ("static", "sweep", "tests")
_JUDGE: list[Judge] = []


def _set_up() -> None:
    _JUDGE.append(Judge(built_in()))


def _judge(number: int) -> tuple[int, Verdict]:
    return number, _JUDGE[0].judge(list(mutants(built_in()))[number])


def main() -> None:
    """Judge all mutants, or as many as the first argument says, and print the table."""
    every = list(mutants(built_in()))
    numbers = list(range(len(every)))
    if len(sys.argv) > 1:
        numbers = sorted(sampled(len(numbers), int(sys.argv[1])))
    found: list[tuple[int, Verdict]] = []
    with ProcessPoolExecutor(2, get_context("fork"), initializer=_set_up) as pool:
        for number, verdict in pool.map(_judge, numbers, chunksize=4):
            found.append((number, verdict))
            mutant = every[number]
            where = f"{mutant.kind}/{mutant.rule}: {mutant.what}"
            print(f"{verdict.by:10s} {where}  [{verdict.detail}]", flush=True)
    count = Counter(verdict.by for _, verdict in found)
    noticed = sum(count[by] for by in NOTICED)
    counted = noticed + count["survived"]
    print(dict(count))
    share = 100 * noticed / max(counted, 1)
    print(f"noticed: {noticed} of {counted} that are not equivalent, {share:.1f} %")


if __name__ == "__main__":
    main()
