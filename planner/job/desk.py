"""One person at one job file: lock it, keep its answers, save after each."""

from __future__ import annotations

import contextlib
import getpass
import os
import platform
from collections.abc import Mapping
from glob import escape
from pathlib import Path
from types import TracebackType
from typing import Any

from filelock import FileLock, Timeout

from planner.errors import InputError
from planner.job.file import parse_job
from planner.job.write import (
    read_back,
    refuse_odd_place,
    refuse_unkeepable,
    updated,
    with_answer,
    write_atomically,
)
from planner.rulebase.base import RuleBase
from planner.rulebase.values import shown


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
        refuse_odd_place(self.path)
        self._take_lock()
        try:
            self._sign()
            self._clear_up()
            self._read()
        except BaseException:
            self._release()
            raise
        return self

    def _take_lock(self) -> None:
        try:
            self._lock.acquire()
        except Timeout:
            raise InputError.of(
                str(self.path),
                f"this job is open elsewhere: {self._held_by()}",
                "Close the other survey first; nothing was changed.",
            ) from None
        except (OSError, NotImplementedError) as error:  # the latter where a folder knows no locks
            reason = getattr(error, "strerror", None) or str(error)
            raise InputError.of(
                str(self.path), f"cannot write here: {reason}", "Choose another folder."
            ) from None

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
        self._release()

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

    def _sign(self) -> None:
        """Say who holds the file; a help to others, so its failure is no fault.

        An old note is removed first: what is written must not go through a link that lies there.
        """
        who = f"{_user()} on {platform.node()}, process {os.getpid()}"
        with contextlib.suppress(OSError):
            self._holder.unlink(missing_ok=True)
            with self._holder.open("x", encoding="utf-8") as file:
                file.write(who)

    def _clear_up(self) -> None:
        """Remove what a survey that was killed while writing left behind."""
        with contextlib.suppress(OSError):
            for part in self.path.parent.glob(f".{escape(self.path.name)}.*.part"):
                part.unlink()

    def _held_by(self) -> str:
        try:
            with self._holder.open(encoding="utf-8", errors="replace") as file:
                return shown(file.read(200)).strip("'") or "by someone unknown"
        except OSError:
            return "by someone unknown"

    def _release(self) -> None:
        with contextlib.suppress(OSError):
            self._holder.unlink(missing_ok=True)
        self._lock.release()


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "someone"
