"""Coverage-guided fuzzing of the loaders: the YAML reader, the job file, answers and rule files.

Needs the package ``atheris``, which is no dependency of the project:
``python -m tests.bench.fuzz_guided -max_total_time=600 CORPUS_FOLDER``. A find ends the run with
the input that made it; keep it in ``tests/reliability/test_finds.py``.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris  # type: ignore[import-not-found, import-untyped, unused-ignore]

with atheris.instrument_imports(include=["planner", "ruamel", "yaml"]):
    from planner import paths
    from planner.errors import InputError
    from planner.job.file import parse_job
    from planner.job.write import with_answer
    from planner.rulebase.base import RuleBase
    from planner.rulebase.gather import gather
    from planner.rulebase.load import built_in, read_texts
    from planner.rulebase.model import KINDS, LAYER_KINDS
    from planner.rulebase.values import typed
    from planner.yamltext import decoded


def one(data: bytes, base: RuleBase) -> None:
    """Try one input as a file of each kind; only ``InputError`` may come out."""
    kind, rest = data[:1], data[1:]
    try:
        text = decoded(rest, "file")
        if kind < b"\x40":
            gather({"file": text}, {**KINDS, **LAYER_KINDS})
        elif kind < b"\x60":
            _type_in(text, base)
        else:
            job = parse_job(text, "file", base)
            with_answer(job.text, "job.vehicle", "a van", "file")
    except InputError:
        return


def _type_in(text: str, base: RuleBase) -> None:
    for question in base.questions.values():
        try:
            typed(question, text)
        except ValueError:
            continue


def seed(folder: Path) -> None:
    """Begin from the demo jobs and the shipped rules."""
    folder.mkdir(exist_ok=True)
    for path in paths.DEMOS.glob("*.yaml"):
        (folder / f"job-{path.stem}").write_bytes(b"\x70" + path.read_bytes())
    for name, text in read_texts(paths.shipped("rules")).items():
        (folder / f"rules-{name.replace('/', '-')}").write_bytes(b"\x20" + text.encode()[:6000])
    for number, text in enumerate(("1.5", "12 mm", "1, 2, 3", "2026-05-04 08:00")):
        (folder / f"typed-{number}").write_bytes(b"\x50" + text.encode())


def main() -> None:
    """Fuzz until the time is up or something is found."""
    seed(Path(sys.argv[-1]))
    base = built_in()
    atheris.Setup(sys.argv, lambda data: one(data, base))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
