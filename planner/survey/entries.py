"""Ask for a list one entry at a time: add, change, remove, done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import questionary
from questionary import Choice, Separator, Style

from planner.rulebase.base import worded
from planner.rulebase.model import ListField, Question
from planner.rulebase.values import UNKNOWN, checked, typed
from planner.survey import flow
from planner.survey.screen import asked, indented

Entry = dict[str, Any]


def ask_entries(
    question: Question, present: list[Entry], presets: Sequence[Mapping[str, Any]], style: Style
) -> Any:
    """Return the list of entries, or one of the words that steer the flow.

    ``presets`` are usual entries to begin a new one from.
    """
    entries = [dict(entry) for entry in present]
    while True:
        chosen = questionary.select(
            asked(question.ask), choices=_choices(question, entries), style=style
        ).unsafe_ask()
        if isinstance(chosen, int):
            _change(question, entries, chosen, style)
        elif chosen == "add":
            entries.append(_fill(question, _usual(question, presets, style), style))
        elif chosen == "done":
            try:
                return checked(question, entries)
            except ValueError as error:
                questionary.print(indented(str(error)))
        else:
            return chosen


def _usual(
    question: Question, presets: Sequence[Mapping[str, Any]], style: Style
) -> Mapping[str, Any]:
    """Let a usual entry be chosen, to be changed where it is otherwise."""
    if not presets:
        return {}
    choices = [Choice("something else", value={})]
    choices += [Choice(_summary(question, preset), value=dict(preset)) for preset in presets]
    chosen = questionary.select(
        "A usual one? Every figure can be changed.", choices=choices, style=style
    ).unsafe_ask()
    return dict(chosen)


def _choices(question: Question, entries: list[Entry]) -> list[Any]:
    done = f"done: {len(entries)} in the list" if entries else "none, go on"
    listed = [
        Choice(f"{number}. {_summary(question, entry)}", value=number - 1)
        for number, entry in enumerate(entries, 1)
    ]
    return [
        Choice(done, value="done"),
        Choice("add one", value="add"),
        *([Separator("── change or remove"), *listed] if listed else []),
        Separator(),
        Choice("not known", value=UNKNOWN),
        Choice("go back one question", value="back"),
        Choice("review all answers", value="review"),
        Choice("stop here", value="stop"),
    ]


def _summary(question: Question, entry: Mapping[str, Any]) -> str:
    parts = [
        worded(field, entry[field.fact])
        for field in question.fields
        if entry.get(field.fact) is not None
    ]
    return ", ".join(parts)


def _change(question: Question, entries: list[Entry], index: int, style: Style) -> None:
    what = questionary.select(
        _summary(question, entries[index]),
        choices=["change it", "remove it", "leave it"],
        style=style,
    ).unsafe_ask()
    if what == "remove it":
        del entries[index]
    elif what == "change it":
        entries[index] = _fill(question, entries[index], style)


def _fill(question: Question, entry: Mapping[str, Any], style: Style) -> Entry:
    filled = {
        field.fact: _field(question, field, entry.get(field.fact), style)
        for field in question.fields
    }
    return {name: value for name, value in filled.items() if value is not None}


def _field(question: Question, field: ListField, present: Any, style: Style) -> Any:
    if field.options:
        choices = [Choice(title, value=value) for value, title in field.options.items()]
        default = next((choice for choice in choices if choice.value == present), None)
        return questionary.select(
            asked(field.ask), choices=choices, default=default, style=style
        ).unsafe_ask()
    if field.kind == "yes_no":
        return questionary.confirm(
            asked(field.ask), default=bool(present), style=style
        ).unsafe_ask()
    unit = f" [{field.unit}]" if field.unit else ""
    text = "" if present is None else str(present)
    while True:
        text = questionary.text(
            asked(f"{field.ask}{unit}"),
            default=text,
            validate=lambda said: _valid(question, field, said),
            style=style,
        ).unsafe_ask()
        if not text.strip():
            return None
        what, meant = flow.refusal(question, text, {}, field)
        if not what:
            return typed(field, text)
        questionary.print(indented(f"{what} {meant}"))


def _valid(question: Question, field: ListField, said: str) -> bool | str:
    if not said.strip():
        return True if not field.required else "This one is needed."
    what, meant = flow.refusal(question, said, {}, field)
    # As in the flow: what was meant is said above the prompt, where it is not cut.
    return not what or bool(meant) or what
