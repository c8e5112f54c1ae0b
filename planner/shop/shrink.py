"""Make a faulty job small: leave out every answer without which the fault still shows."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import yaml

from planner.job.migrate import FORMAT, FORMAT_KEY
from planner.rulebase.base import RuleBase
from planner.shop.trial import Answers
from planner.survey import flow


def shrink(answers: Answers, base: RuleBase, shows: Callable[[Answers], bool]) -> Answers:
    """Return a smallest job that still shows a fault: no answer of it can be left out.

    Args:
        answers: A job that shows the fault.
        base: The rules.
        shows: Whether a job shows the same fault.
    """
    kept = dict(answers)
    size = max(1, len(kept) // 2)
    while True:
        fewer = next((one for one in _without(kept, size, base) if shows(one)), None)
        if fewer is not None:
            kept = fewer
        elif size > 1:
            size //= 2
        else:
            return kept


def _without(answers: Answers, size: int, base: RuleBase) -> Iterator[Answers]:
    """Yield the job without each run of so many answers, and with each list an entry shorter."""
    names = list(answers)
    for start in range(0, len(names), size):
        gone = set(names[start : start + size])
        fewer = {name: value for name, value in answers.items() if name not in gone}
        for pointless in flow.pointless(base, fewer):
            del fewer[pointless]
        yield fewer
    if size == 1:
        for name, value in answers.items():
            if isinstance(value, list) and len(value) > 1:
                for number in range(len(value)):
                    yield {**answers, name: [*value[:number], *value[number + 1 :]]}


def job_text(answers: Answers) -> str:
    """Return answers as the text of a job file."""
    data: dict[str, object] = {FORMAT_KEY: FORMAT}
    for name, value in answers.items():
        section, _, key = name.partition(".")
        if key:
            held = data.setdefault(section, {})
            assert isinstance(held, dict)  # noqa: S101  - sections and single answers differ in name
            held[key] = value
        else:
            data[section] = value
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False)
