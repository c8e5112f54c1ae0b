"""Texts fitted to the width of the terminal, broken between words."""

from __future__ import annotations

import shutil
import textwrap

#: The mark of a question and the gap after it, written in front of what is asked.
MARK = "? "


def indented(text: str) -> str:
    """Return a text that stands under a question, on as many lines as it needs."""
    return textwrap.fill(text, _room(), initial_indent="  ", subsequent_indent="  ")


def told(text: str) -> str:
    """Return a text on as many lines as it needs."""
    return textwrap.fill(text, _room())


def asked(text: str) -> str:
    """Return what is asked, later lines under the first; room is left for the mark before it."""
    return textwrap.fill(MARK + text, _room(), subsequent_indent="  ").removeprefix(MARK)


def width() -> int:
    """Return the width of the terminal in characters."""
    return shutil.get_terminal_size().columns


def _room() -> int:
    """Wider lines are hard to read, narrower ones are no lines."""
    return min(100, max(40, width()))
