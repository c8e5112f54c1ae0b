"""Coverage-guided fuzzing of all that reads what others wrote.

Job files, rule files, typed answers, records, what a pack's page saved, logos, a shop's markup.

Needs the package ``atheris``, which is no dependency of the project:
``python -m tests.bench.fuzz_guided -max_total_time=600 CORPUS_FOLDER``. A find ends the run with
the input that made it; keep it in ``tests/reliability/test_finds.py``.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC
from functools import partial
from pathlib import Path

import atheris  # type: ignore[import-not-found, import-untyped, unused-ignore]

with atheris.instrument_imports(include=["planner", "ruamel", "yaml"]):
    from planner import paths
    from planner.errors import InputError
    from planner.job.file import parse_job
    from planner.job.write import with_answer
    from planner.pack import inert
    from planner.plan.model import Plan
    from planner.record import page, store
    from planner.record.book import Book
    from planner.record.desk import plan_of
    from planner.record.points import points
    from planner.rulebase import picture
    from planner.rulebase.base import RuleBase
    from planner.rulebase.gather import gather
    from planner.rulebase.load import built_in, read_files
    from planner.rulebase.model import KINDS, LAYER_KINDS
    from planner.rulebase.values import typed
    from planner.yamltext import decoded

DEMO = paths.DEMOS / "lifting-grp.yaml"
Reader = Callable[[bytes], object]


def readers(base: RuleBase, plan: Plan, folder: Path) -> tuple[Reader, ...]:
    """Return all that read bytes from outside; only ``InputError`` may come out of them."""
    return (
        partial(_job, base=base),
        partial(_rules),
        partial(_typed, base=base),
        partial(_record, path=folder / "record"),
        partial(_page, plan=plan),
        partial(picture.wrong, drawn=True),
        partial(picture.wrong, drawn=False),
        lambda data: inert.wrong(data.decode("utf-8", "replace")),
    )


def one(data: bytes, tried: tuple[Reader, ...]) -> None:
    """Try one input; its first byte chooses who reads it."""
    try:
        tried[data[0] % len(tried) if data else 0](data[1:])
    except InputError:
        return


def _job(data: bytes, base: RuleBase) -> None:
    job = parse_job(decoded(data, "file"), "file", base)
    with_answer(job.text, "job.vehicle", "a van", "file")


def _rules(data: bytes) -> None:
    gather({"file": decoded(data, "file")}, {**KINDS, **LAYER_KINDS})


def _typed(data: bytes, base: RuleBase) -> None:
    text = decoded(data, "file")
    for question in base.questions.values():
        try:
            typed(question, text)
        except ValueError:
            continue


def _record(data: bytes, path: Path) -> None:
    path.write_bytes(data)
    store.read(path)


def _page(data: bytes, plan: Plan) -> None:
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        return
    if isinstance(found, dict):
        ticked = page.Ticked("file", found, found)
        page._entries(ticked, page._Desk(plan, Book(points(plan), ()), UTC))


RECORD = (
    '{"lidwork_as_built": 1, "line": 1, "entries": [{"kind": "note", "key": "a", "value": true, '
    '"at": "2027-05-17T08:30:00+01:00", "by": "R. Alder", "why": "", "more": {}}]}\n'
)


def seed(folder: Path, plan: Plan) -> None:
    """Begin from sound files of every kind; the first byte is the reader's place."""
    folder.mkdir(exist_ok=True)
    seeds = [(0, path.read_bytes()) for path in paths.DEMOS.glob("*.yaml")]
    seeds += [(1, data[:6000]) for data in read_files(paths.shipped("rules")).values()]
    seeds += [(2, text) for text in (b"1.5", b"12 mm", b"1, 2, 3", b"2026-05-04 08:00")]
    seeds += [(3, RECORD.encode()), (5, b"<svg><g fill='url(#a)'><path d='M0 0'/></g></svg>")]
    seeds += [(6, picture.PNG + b"\0\0\0\rIHDR" + b"\0\0\1\0" * 2)]
    seeds += [(7, b"<p class='a'>1 &lt; 2<br><svg><path d='M0'/></svg></p>")]
    at = "2027-05-17T08:30:00Z"
    for point in points(plan):
        step = f"{point.number}-{point.key.partition('/')[0]}"
        told = {step: {"done": True, "initials": "R. Alder, J. Birch", "at": at}}
        for one_reading in point.readings:
            told[f"{point.number}-{one_reading.reading.id}"] = {"value": "1.5", "at": at}
        seeds.append((4, json.dumps(told).encode()))
    for number, (reader, data) in enumerate(seeds):
        (folder / f"seed-{number}").write_bytes(bytes([reader]) + data)


def main() -> None:
    """Fuzz until the time is up or something is found."""
    base = built_in()
    plan = plan_of(DEMO, base)
    seed(Path(sys.argv[-1]), plan)
    with tempfile.TemporaryDirectory() as folder:
        tried = readers(base, plan, Path(folder))
        atheris.Setup(sys.argv, lambda data: one(data, tried))
        atheris.Fuzz()


if __name__ == "__main__":
    main()
