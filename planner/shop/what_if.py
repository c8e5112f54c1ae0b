"""Ask what if: the same job with some answers otherwise, the file untouched."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from msgspec.structs import replace

from planner.errors import Fault, InputError, nearest
from planner.job.contradictions import contradictions
from planner.job.file import Job
from planner.rulebase.base import RuleBase
from planner.rulebase.values import UNKNOWN, checked, shown
from planner.survey.flow import pointless
from planner.yamltext import read_text

OPTION = "--with"


def what_if(job: Job, given: Iterable[str], base: RuleBase) -> tuple[Job, tuple[str, ...]]:
    """Return the job with other answers, and the answers left out since they no longer matter.

    Args:
        job: The job as it stands in its file.
        given: Texts such as ``panel.mass_kg=14.5``; ``unknown`` takes an answer away.
        base: The rules.

    Raises:
        InputError: With every text that does not fit, or that contradicts the rest.
    """
    faults: list[Fault] = []
    answers, asked = dict(job.answers), set[str]()
    for text in given:
        try:
            name, value = _answer(text, base)
            if name in asked:
                raise InputError.of(f"{OPTION} {name}", "is given twice", "Leave one of them out.")
            asked.add(name)
            answers[name] = value
        except InputError as error:
            faults.extend(error.faults)
    if faults:
        raise InputError(*faults)
    dropped = pointless(base, answers)
    _refuse_pointless(given, dropped, base)
    answers = {name: value for name, value in answers.items() if name not in dropped}
    found = [Fault(f"{OPTION} {name}", *rest) for name, *rest in contradictions(base, answers)]
    if found:
        raise InputError(*found)
    kept = tuple(name for name in dropped if name in job.answers)
    return replace(job, answers=answers), kept


def under(job: Job, base: RuleBase) -> tuple[Job, tuple[str, ...]]:
    """Return the job as other rules would ask for it, and the answers left out.

    Those are answers that these rules fix, or for which they have no question.

    Raises:
        InputError: With every answer that does not fit their questions.
    """
    asked = {name: v for name, v in job.answers.items() if name in base.questions}
    free = {name: value for name, value in asked.items() if name not in base.fixed}
    faults = [fault for name, value in free.items() if (fault := _misfit(name, value, base))]
    if faults:
        raise InputError(*faults)
    dropped = pointless(base, free)
    answers = {name: value for name, value in free.items() if name not in dropped}
    left_out = tuple(name for name in job.answers if name not in answers)
    return replace(job, answers=answers), left_out


def _misfit(name: str, value: Any, base: RuleBase) -> Fault | None:
    try:
        if value != UNKNOWN:
            checked(base.questions[name], value)
    except ValueError as error:
        return Fault(name, str(error), "")
    return None


def _answer(text: str, base: RuleBase) -> tuple[str, Any]:
    name, equals, value = text.partition("=")
    name = name.strip()
    question = base.questions.get(name)
    if not equals:
        what = f"{shown(text)} names no value"
        raise InputError.of(OPTION, what, f"Write {OPTION} panel.mass_kg=14.5")
    if question is None:
        cure = nearest(name[:80], base.questions) or "List the names with: lidwork rules list facts"
        raise InputError.of(OPTION, f"no question asks {shown(name)}", cure)
    if name in base.fixed:
        fixed = base.text(name, base.fixed[name])
        raise InputError.of(f"{OPTION} {name}", f"the shop's rules fix this at {fixed}", "")
    raw = read_text(value, f"{OPTION} {name}").value  # as it would stand in the job file
    if raw is None or raw == UNKNOWN:
        return name, UNKNOWN
    try:
        return name, checked(question, raw)
    except ValueError as error:
        raise InputError.of(f"{OPTION} {name}", str(error)) from None


def _refuse_pointless(given: Iterable[str], dropped: Iterable[str], base: RuleBase) -> None:
    """What is asked for must matter, or the question was a slip."""
    for text in given:
        name = text.partition("=")[0].strip()
        if name in dropped:
            what = f"{base.label(name)} does not matter in this job"
            raise InputError.of(f"{OPTION} {name}", what, "Say what it depends on too.")
