"""One person at one job file: lock it, keep its answers, save after each."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from glob import escape
from pathlib import Path
from types import TracebackType
from typing import Any

from planner.job.file import parse_job
from planner.job.hold import Hold
from planner.job.write import (
    read_back,
    refuse_odd_place,
    refuse_unkeepable,
    updated,
    with_answer,
    write_atomically,
)
from planner.rulebase.base import RuleBase


class Desk:
    """An opened job file; a context manager that holds its lock.

    Every change is on disk before the next question is asked, so at most the answer being typed
    can be lost.

    Raises:
        InputError: If somebody else has the file open, or it cannot be read or written.
    """

    def __init__(self, path: Path, base: RuleBase) -> None:
        self.path = path
        self._base = base
        self._text: str | None = None
        self.answers: dict[str, Any] = {}
        self._hold = Hold(path, "job")

    def __enter__(self) -> Desk:
        """Take the lock and read the file, which may not exist yet."""
        refuse_odd_place(self.path)
        self._hold.take()
        try:
            self._clear_up()
            self._read()
        except BaseException:
            self._hold.release()
            raise
        return self

    def _read(self) -> None:
        self._text = read_back(self.path)
        if self._text is not None:
            name = str(self.path)
            self.answers = dict(parse_job(self._text, name, self._base).answers)
            # Better to hear before the first question than after its answer.
            refuse_unkeepable(self._text, name)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Release the lock."""
        self._hold.release()

    def keep(self, changes: Mapping[str, Any]) -> None:
        """Save answers; ``None`` removes one.

        Raises:
            InputError: If the file would be faulty, was changed meanwhile or cannot be written.
        """
        name = str(self.path)
        text = updated(self._text or "", name)
        for fact, value in changes.items():
            text = with_answer(text, fact, value, name)
        parse_job(text, name, self._base)  # a faulty file is never written
        write_atomically(self.path, text, self._text)
        self._text = text
        for fact, value in changes.items():
            if value is None:
                self.answers.pop(fact, None)
            else:
                self.answers[fact] = value

    def _clear_up(self) -> None:
        """Remove what a survey that was killed while writing left behind."""
        with contextlib.suppress(OSError):
            for part in self.path.parent.glob(f".{escape(self.path.name)}.*.part"):
                part.unlink()
