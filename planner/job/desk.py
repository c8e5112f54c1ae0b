"""One person at one job file: lock it, keep its answers, save after each."""

from __future__ import annotations

import getpass
import os
import platform
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

from filelock import FileLock, Timeout

from planner.errors import InputError
from planner.job.file import parse_job, with_answer, write_atomically
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
        self._holder = path.with_name(f".{path.name}.holder")
        self._lock = FileLock(path.with_name(f".{path.name}.lock"), timeout=0)

    def __enter__(self) -> Desk:
        """Take the lock and read the file, which may not exist yet."""
        try:
            self._lock.acquire()
        except Timeout:
            raise InputError.of(
                str(self.path),
                f"this job is open elsewhere: {self._held_by()}",
                "Close the other survey first; nothing was changed.",
            ) from None
        except OSError as error:
            raise InputError.of(
                str(self.path), f"cannot write here: {error.strerror}", "Choose another folder."
            ) from None
        try:
            self._sign()
            if self.path.exists():
                self._text = self.path.read_text(encoding="utf-8-sig")
                self.answers = dict(parse_job(self._text, str(self.path), self._base).answers)
        except BaseException:
            self._release()
            raise
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Release the lock."""
        self._release()

    def keep(self, changes: Mapping[str, Any]) -> None:
        """Save answers; ``None`` removes one.

        Raises:
            InputError: If the file was changed meanwhile or cannot be written.
        """
        text = self._text or ""
        for fact, value in changes.items():
            text = with_answer(text, fact, value)
        write_atomically(self.path, text, self._text)
        self._text = text
        for fact, value in changes.items():
            if value is None:
                self.answers.pop(fact, None)
            else:
                self.answers[fact] = value

    def _sign(self) -> None:
        who = f"{getpass.getuser()} on {platform.node()}, process {os.getpid()}"
        self._holder.write_text(who, encoding="utf-8")

    def _held_by(self) -> str:
        try:
            return self._holder.read_text(encoding="utf-8")
        except OSError:
            return "by someone unknown"

    def _release(self) -> None:
        self._holder.unlink(missing_ok=True)
        self._lock.release()
