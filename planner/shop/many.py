"""Pack many jobs side by side; one faulty job does not stop the others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from functools import partial
from itertools import chain
from itertools import count as count_from
from pathlib import Path

from msgspec import Struct

from planner.errors import BAD_INPUT, NOT_TO_BE_STARTED, OUR_FAULT, LidworkError
from planner.shop.packing import Order, pack_job

#: What became of a job, the gravest first: our own fault, bad input, not to be started, fine.
FAILED, REFUSED = "failed", "refused"


class Row(Struct, frozen=True):
    """What became of one job.

    Attributes:
        job: The job file.
        state: The verdict, or ``refused`` for bad input, or ``failed`` for a fault of ours.
        folder: Where its pack lies; None if there is none.
        note: The error, or what the verdict rests on.
        stops: How many findings stop the job.
        steps: How many pieces of work there are.
        hours: Working time [h].
    """

    job: Path
    state: str
    folder: Path | None = None
    note: str = ""
    stops: int = 0
    steps: int = 0
    hours: float = 0.0


def folders_for(jobs: Iterable[Path], out: Path) -> list[tuple[Path, Path]]:
    """Return each job with the folder of its pack: its own name, with its folder's where unclear.

    A job named twice is packed once.
    """
    files = list(dict.fromkeys(jobs))
    count = Counter(job.stem for job in files)
    named = [
        (job, job.stem if count[job.stem] == 1 else f"{job.resolve().parent.name}-{job.stem}")
        for job in files
    ]
    found: dict[str, Path] = {}
    for job, name in named:
        counted = (f"{name}-{number}" for number in count_from(2))
        found[next(free for free in chain([name], counted) if free not in found)] = job
    return [(job, out / name) for name, job in found.items()]


def pack_one(job: Path, folder: Path, order: Order) -> Row:
    """Plan and pack one job and say what became of it, whatever happens."""
    try:
        plan, _ = pack_job(job, folder, order, both_cores=False)
    except LidworkError as error:
        return Row(job, REFUSED, note=str(error))
    except Exception as error:  # noqa: BLE001  - the other jobs must not suffer for it
        return Row(job, FAILED, note=f"{type(error).__name__}: {error}")
    work = [slot for slot in plan.timetable if slot.move.kind != "wait"]
    return Row(
        job=job,
        state=plan.verdict.state,
        folder=folder,
        note=plan.verdict.why[0] if plan.verdict.why else "",
        stops=sum(finding.severity == "stop" for finding in plan.findings),
        steps=len(work),
        hours=round(sum(plan.tasks[slot.move.task].minutes for slot in work) / 60, 1),
    )


def pack_many(
    jobs: Iterable[Path],
    out: Path,
    order: Order,
    *,
    workers: int,
    progress: Callable[[], None] = lambda: None,
) -> list[Row]:
    """Pack every job, in parallel, and return a row for each in the order given."""
    todo = folders_for(jobs, out)
    pack = partial(pack_one, order=order)
    if workers == 1 or len(todo) == 1:
        return [_counted(pack(job, folder), progress) for job, folder in todo]
    with ProcessPoolExecutor(workers) as pool:
        running: dict[Future[Row], Path] = {}
        try:
            with suppress(BrokenProcessPool):
                running.update((pool.submit(pack, job, folder), job) for job, folder in todo)
            rows = dict(_gathered(running, progress))
        except BaseException:  # Ctrl-C: what has not begun is left, not packed to the end
            pool.shutdown(cancel_futures=True)
            raise
    return [
        rows[job] if job in rows else _counted(_by_itself(pack, job, folder), progress)
        for job, folder in todo
    ]


def exit_code(rows: Iterable[Row]) -> int:
    """Return 1 for a fault of ours, 2 for bad input, 3 for a job not to be started, else 0."""
    states = {row.state for row in rows}
    if FAILED in states:
        return OUR_FAULT
    if REFUSED in states:
        return BAD_INPUT
    return 0 if states <= {"no_stop_found"} else NOT_TO_BE_STARTED


def _counted(row: Row, progress: Callable[[], None]) -> Row:
    progress()
    return row


def _gathered(
    running: dict[Future[Row], Path], progress: Callable[[], None]
) -> Iterator[tuple[Path, Row]]:
    """Yield each job with its row; a worker that is killed takes along all that is not done yet."""
    for future in as_completed(running):
        job = running[future]
        try:
            row = future.result()
        except BrokenProcessPool:
            continue
        except Exception as error:  # noqa: BLE001  - what a worker cannot hand over is its job's
            row = Row(job, FAILED, note=f"{type(error).__name__}: {error}")
        yield job, row
        progress()


def _by_itself(pack: Callable[[Path, Path], Row], job: Path, folder: Path) -> Row:
    """Pack one job in a process of its own, after a worker was killed over it or beside it."""
    with ProcessPoolExecutor(1) as pool:
        try:
            return pool.submit(pack, job, folder).result()
        except BrokenProcessPool:
            what = "its process was killed from outside, twice. Is there memory enough?"
            return Row(job, FAILED, note=what)
