"""Measure what people wait for, and print it as a table: ``python -m tests.bench.bench_speed``.

Wall time for whole commands; processor time for what runs inside one process, because others may
be busy on the machine. Each figure is the median of several runs.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from statistics import median

from msgspec import Struct
from msgspec.structs import replace

from planner import paths
from planner.job.desk import Desk
from planner.job.file import read_job
from planner.plan.make import make_plan
from planner.plan.memo import Memo
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in, load_rules
from planner.shop.sweep import sweep, trials
from planner.survey import flow
from tests.bench.bench_conditions import measured

DEMO = paths.DEMOS / "lifting-grp.yaml"


class Row(Struct, frozen=True):
    """One line of the table."""

    what: str
    found: str
    wanted: str


def processor_ms(work: Callable[[], object], runs: int = 9) -> float:
    """Return the median processor time of some runs [ms], after one to warm up."""
    work()
    times = []
    for _ in range(runs):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1000 * median(times)


def cold(folder: Path, *arguments: str) -> tuple[float, float, float]:
    """Return wall time [ms], processor time [ms] and most memory [MB] of a command, run afresh.

    Python's compiled files are kept in the folder: an installed program has them.
    """
    command = [sys.executable, "-m", "planner", *arguments]
    setting = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    setting.pop("PYTHONDONTWRITEBYTECODE", None)
    runs = []
    for _ in range(6):
        start = time.perf_counter()
        with subprocess.Popen(command, env=setting, stdout=subprocess.DEVNULL) as process:
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            raise RuntimeError(f"{command} failed")
        busy = used.ru_utime + used.ru_stime
        runs.append((1000 * (time.perf_counter() - start), 1000 * busy, used.ru_maxrss / 1024))
    del runs[0]  # it compiled
    wall, busy, memory = (median(column) for column in zip(*runs, strict=True))
    return wall, busy, memory


def commands(folder: Path) -> Iterator[Row]:
    """Yield what whole commands take."""
    for what, wanted, arguments in (
        ("lidwork pack, cold", "1200 ms, 150 MB", ("pack", str(DEMO), "-o", str(folder / "p"))),
        ("lidwork --help, cold", "150 ms", ("--help",)),
    ):
        wall, busy, memory = cold(folder, *arguments)
        yield Row(what, f"{wall:.0f} ms ({busy:.0f} ms of processor), {memory:.0f} MB", wanted)


def answering(base: RuleBase, folder: Path) -> float:
    """Return the time from an answer given to the next question [ms]: kept on disk, and chosen."""
    job = folder / "van.yaml"
    job.write_bytes(DEMO.read_bytes())
    with Desk(job, base) as desk:
        crew = iter(range(10_000))

        def one() -> None:
            desk.keep({"job.crew": 2 + next(crew) % 2})
            questions = flow.to_ask(base, desk.answers, first_pass=False)
            if questions:
                flow.place(base, desk.answers, questions[0])

        return processor_ms(one)


def ten_times(base: RuleBase) -> RuleBase:
    """Return a rule base with ten of every finding, hazard, invariant, material, tool and value."""
    kinds = ("findings", "hazards", "invariants", "materials", "tools", "values")
    grown = {
        kind: {
            (f"{name}-{copy}" if copy else name): rule
            for copy in range(10)
            for name, rule in getattr(base, kind).items()
        }
        for kind in kinds
    }
    return replace(base, **grown)


def inside(base: RuleBase, folder: Path) -> Iterator[Row]:
    """Yield what runs within one process."""
    job = read_job(DEMO, base)
    warm = processor_ms(lambda: make_plan(job, base))
    yield Row("plan of the first demo, nothing recalled", f"{warm:.1f} ms", "")
    memo, mass = Memo(), count(1)
    again = processor_ms(lambda: make_plan(job, base, memo=memo))
    yield Row("plan of the first demo, warm", f"{again:.1f} ms", "15 ms")

    def otherwise() -> None:
        answers = {**job.answers, "panel.mass_kg": 11 + next(mass) / 100}
        make_plan(replace(job, answers=answers), base, memo=memo)

    yield Row("the same, another panel mass each time", f"{processor_ms(otherwise):.1f} ms", "")
    yield Row("question to question", f"{answering(base, folder):.1f} ms", "50 ms")
    more = ten_times(base)
    grown = processor_ms(lambda: make_plan(job, more))
    yield Row("plan with ten times the rules", f"{grown / warm:.1f} times", "at most 12 times")
    hundred = [read_job(DEMO, base) for _ in range(100)]

    def in_turn(jobs: int) -> float:
        start = time.process_time()
        for one in hundred[:jobs]:  # as 'pack' does: each plan is let go before the next
            make_plan(one, base)
        return time.process_time() - start

    # One job before and after the hundred, as often: the speed of a machine wanders by a third.
    singles = [in_turn(1) for _ in range(25)]
    many = in_turn(100)
    singles += [in_turn(1) for _ in range(25)]
    times = many / (sum(singles) / len(singles))
    yield Row("a hundred times the jobs", f"{times:.0f} times", "at most 100 times")
    rules = paths.shipped("rules")
    kept: list[RuleBase] = []  # a cold process has no earlier rules to let go
    unchanged = processor_ms(lambda: kept.append(load_rules(rules)))
    yield Row("rule base, cold, unchanged", f"{unchanged:.1f} ms", "10 ms")


def swept(base: RuleBase) -> Row:
    """Return how many plans a second a sweep makes with two processes."""
    todo = trials(base, seed=1, count=400)
    start = time.perf_counter()
    report = sweep(base, todo, workers=2)
    rate = report.jobs / (time.perf_counter() - start)
    return Row("sweep, two processes", f"{rate:.0f} plans a second", "200 a second")


def main() -> None:
    """Print the table."""
    base = built_in()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        rows = [*commands(folder), *inside(base, folder), swept(base)]
    for who, remark, took in measured():
        wanted = "2 ms" if who.startswith("lidwork") else "more than ours"
        rows.append(Row(f"400 conditions: {who}", f"{took:.2f} ms, {remark}", wanted))
    for row in rows:
        print(f"{row.what:40s} {row.found:48s} to reach: {row.wanted}")


if __name__ == "__main__":
    main()
