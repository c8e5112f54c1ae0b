"""The question flow in the terminal: one question at a time, saved after each answer."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import questionary
from prompt_toolkit.completion import FuzzyWordCompleter
from questionary import Choice, Separator, Style

from planner.errors import InputError
from planner.folder import as_typed
from planner.job.answers import answers_ledger, is_answered
from planner.job.desk import Desk
from planner.rulebase.base import RuleBase
from planner.rulebase.model import Question
from planner.rulebase.values import UNKNOWN, expected, typed
from planner.survey import flow
from planner.survey.entries import ask_entries
from planner.survey.screen import asked, indented
from planner.words import counted

BACK, REVIEW, STOP = "back", "review", "stop"
WORDS = (BACK, UNKNOWN, REVIEW, STOP)
STYLE = Style(
    [
        ("question", "bold"),
        ("instruction", "italic"),
        ("pointer", "bold"),
        ("highlighted", "bold"),
        ("separator", "italic"),
    ]
)
Say = Callable[[str], None]


def survey(path: Path, base: RuleBase, say: Say) -> None:
    """Ask, and keep each answer in the job file.

    Raises:
        InputError: If there is no terminal, or the file is held, faulty or not writable.
        KeyboardInterrupt: When the fitter presses Ctrl-C; all answers given are on disk.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError.of(
            str(path),
            "the survey needs a terminal to ask in",
            "Run it in a terminal, or write the answers into the job file by hand: "
            "'lidwork demo' shows one.",
        )
    with Desk(path, base) as desk:
        _greet(desk, base, say)
        if _ask_all(desk, base, say, first_pass=True):
            _menu(desk, base, say)
    say(f"Saved in {path}. Go on with: lidwork survey {as_typed(path)}")
    say(f"See the plan with: lidwork plan {as_typed(path)}")


def _greet(desk: Desk, base: RuleBase, say: Say) -> None:
    left = len(flow.to_ask(base, desk.answers, first_pass=True))
    if desk.answers:
        kept = counted(len(desk.answers), "answer")
        say(f"{desk.path}: {kept} kept; going on where you left off.")
    if left:
        say(f"{counted(left, 'question')} without a safe assumption; all else can wait.")
    say("At any question you may type or choose: back, unknown, review, stop.")


def _ask_all(desk: Desk, base: RuleBase, say: Say, *, first_pass: bool) -> bool:
    """Ask what is open; return False when the fitter stops."""
    history: list[str] = []
    passed: set[str] = set()
    again: Question | None = None
    while True:
        waiting = [
            question
            for question in flow.to_ask(base, desk.answers, first_pass=first_pass)
            if question.fact not in passed
        ]
        question = again or next(iter(waiting), None)
        if question is None:
            return True
        again = None
        answer = _ask(question, desk, base, say, left=len(waiting))
        if answer == STOP:
            return False
        if answer == BACK:
            again = base.questions[history.pop()] if history else question
            if again is question:
                say("This is the first question of this sitting.")
            continue
        if answer == REVIEW:
            _review(desk, base, say)
            continue
        passed.add(question.fact)
        history.append(question.fact)
        _keep(desk, base, question, answer, say)


def _keep(desk: Desk, base: RuleBase, question: Question, answer: Any, say: Say) -> None:
    # One write: a file that still held the pointless answers beside this one would be faulty.
    gone = flow.pointless(base, {**desk.answers, question.fact: answer})
    desk.keep({question.fact: answer, **dict.fromkeys(gone)})
    if gone:
        labels = ", ".join(base.label(fact) for fact in gone)
        say(f"No longer needed, and removed: {labels}.")


def _ask(question: Question, desk: Desk, base: RuleBase, say: Say, *, left: int) -> Any:
    where = flow.place(base, desk.answers, question)
    say("")
    say(f"{where.title} · section {where.number} of {where.sections} · {left} to go")
    say(indented(question.why))
    if question.measure:
        say(indented(f"How: {question.measure}"))
    while True:
        answer = _prompt(question, desk, base, say)
        if isinstance(answer, str) and answer in WORDS:
            if answer == UNKNOWN:
                say(f"  Noted as not known. Until it is measured: {_stand_in(question, base)}.")
            return answer
        problem = flow.objection(base, desk.answers, question.fact, answer)
        if not problem:
            return answer
        say(indented(f"That cannot be: {problem}"))


def _stand_in(question: Question, base: RuleBase) -> str:
    unknown = question.unknown
    if unknown.suppose is not None:
        value = base.text(question.fact, unknown.suppose)
        return f"{value} is supposed so that the plan can be drawn; work must not start"
    if unknown.span:
        return f"{unknown.span[0]:g} to {unknown.span[1]:g} {question.unit} is assumed".strip()
    if unknown.assume == "not known":
        return "the plan does without it and says so"
    return f"{base.text(question.fact, unknown.assume)} is assumed"


def _prompt(question: Question, desk: Desk, base: RuleBase, say: Say) -> Any:
    present = desk.answers.get(question.fact)
    present = None if present == UNKNOWN else present
    if question.kind == "list" and question.fields:
        return ask_entries(question, present or [], _presets(question, base), STYLE)
    if question.kind in ("choice", "yes_no"):
        return _choose(question, present)
    return _type(question, desk.answers, _presets(question, base), say)


def _presets(question: Question, base: RuleBase) -> Sequence[Mapping[str, Any]]:
    return base.tables[question.presets].rows if question.presets else ()


def _choose(question: Question, present: Any) -> Any:
    named: Sequence[tuple[Any, str]] = (
        [(True, "yes"), (False, "no")]
        if question.kind == "yes_no"
        else list(question.options.items())
    )
    choices: list[Any] = [Choice(title, value=value) for value, title in named]
    choices += [Separator(), Choice("not known", value=UNKNOWN), *_ways()]
    default = next(
        (one for one in choices if isinstance(one, Choice) and one.value == present), None
    )
    return questionary.select(
        asked(question.ask), choices=choices, default=default, style=STYLE, instruction=" "
    ).unsafe_ask()


def _ways() -> list[Choice]:
    return [
        Choice("go back one question", value=BACK),
        Choice("review all answers", value=REVIEW),
        Choice("stop here", value=STOP),
    ]


def _type(
    question: Question,
    answers: Mapping[str, Any],
    presets: Sequence[Mapping[str, Any]],
    say: Say,
) -> Any:
    """Ask until what is typed can be taken; what was probably meant is said above the prompt."""
    unit = f" [{question.unit}]" if question.unit else ""
    completer = FuzzyWordCompleter([str(row["name"]) for row in presets]) if presets else None
    present = answers.get(question.fact, UNKNOWN)
    text = "" if present == UNKNOWN else _plain(present)
    while True:
        text = questionary.text(
            asked(f"{question.ask}{unit}"),
            default=text,
            validate=lambda said: _valid(question, said, answers),
            completer=completer,
            style=STYLE,
        ).unsafe_ask()
        if text.strip() in WORDS:
            return text.strip()
        what, meant = flow.refusal(question, text, answers)
        if not what:
            return typed(question, text)
        say(indented(f"{what} {meant}"))


def _plain(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _valid(question: Question, said: str, answers: Mapping[str, Any]) -> bool | str:
    if said.strip() in WORDS:
        return True
    if not said.strip() and question.kind != "text":
        return f"{expected(question)} Or type: unknown, back, review, stop."
    what, meant = flow.refusal(question, said, answers)
    # The line below a prompt is cut at the edge; longer words are said above it instead.
    return not what or bool(meant) or what


def _menu(desk: Desk, base: RuleBase, say: Say) -> None:
    while True:
        left = len(flow.to_ask(base, desk.answers, first_pass=False))
        say("")
        say("Enough is known to make a plan.")
        choices = [
            Choice("finish", value="finish"),
            Choice("review or change answers", value=REVIEW),
        ]
        if left:
            assumed = counted(left, "value")
            choices.append(Choice(f"measure more: {assumed} still assumed", value="more"))
        chosen = questionary.select("What now?", choices=choices, style=STYLE).unsafe_ask()
        if chosen == "finish":
            return
        if chosen == REVIEW:
            _review(desk, base, say)
        elif not _ask_all(desk, base, say, first_pass=False):
            return


def _review(desk: Desk, base: RuleBase, say: Say) -> None:
    """Show every answer; any of them can be changed from here."""
    while True:
        chosen = questionary.select(
            "All answers. Choose one to change it.",
            choices=_review_choices(desk, base),
            style=STYLE,
            use_shortcuts=False,
        ).unsafe_ask()
        if chosen is None or chosen == STOP:
            return
        question = base.questions[chosen]
        answer = _ask(question, desk, base, say, left=1)
        if answer not in (BACK, REVIEW, STOP):
            _keep(desk, base, question, answer, say)


def _review_choices(desk: Desk, base: RuleBase) -> list[Any]:
    ledger = answers_ledger(base, desk.answers)
    choices: list[Any] = [Choice("done with reviewing", value=STOP)]
    section = ""
    for question in flow.mattering(base, desk.answers):
        if question.section != section:
            section = question.section
            choices.append(Separator(f"── {base.sections[section].title}"))
        value = base.text(question.fact, ledger.get(question.fact))
        mark = "" if is_answered(base, question, desk.answers) else "  (assumed)"
        choices.append(Choice(f"{question.label}: {value[:60]}{mark}", value=question.fact))
    return choices
