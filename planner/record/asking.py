"""How the record asks: choices, texts with a check, names."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import questionary
from questionary import Choice

from planner.pack.text import plain
from planner.record.names import MAX_NAME, names
from planner.record.store import MAX_TEXT
from planner.survey.screen import asked
from planner.survey.terminal import STYLE

STOP, SKIP = "stop", "skip"
Say = Callable[[str], None]


def choose(question: str, choices: Sequence[Any]) -> Any:
    """Return the value of what was chosen."""
    return questionary.select(
        asked(question), choices=list(choices), style=STYLE, instruction=" "
    ).unsafe_ask()


def tick(question: str, choices: Sequence[Choice]) -> list[Any]:
    """Return the values of all that were ticked; nothing is ticked beforehand."""
    ticked = questionary.checkbox(
        question,
        choices=list(choices),
        style=STYLE,
        instruction="(space ticks, Enter keeps)",
    ).unsafe_ask()
    return list(ticked)


def write(
    question: str,
    *,
    needed: bool = False,
    check: Callable[[str], str] = lambda _said: "",
    default: str = "",
) -> str:
    """Return what was typed, on one line; ``check`` says what is wrong with it."""

    def valid(said: str) -> bool | str:
        if needed and not plain(said):
            return "Something must be written here. Ctrl-C stops; what was kept stays."
        if len(said) > MAX_TEXT:
            return f"At most {MAX_TEXT} characters."
        return check(said) or True

    return plain(
        questionary.text(asked(question), default=default, validate=valid, style=STYLE).unsafe_ask()
    )


def name_of_writer(last: str) -> str:
    """Return who writes."""

    def check(said: str) -> str:
        return f"At most {MAX_NAME} characters." if len(said) > MAX_NAME else ""

    default = last if names(last) == (last,) else ""
    return write("Who writes? Name or initials", needed=True, check=check, default=default)
