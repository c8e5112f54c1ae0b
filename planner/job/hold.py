"""One person at one file: a lock beside it, and a note that tells others who holds it."""

from __future__ import annotations

import contextlib
import getpass
import os
import platform
from pathlib import Path

from filelock import FileLock, Timeout

from planner.errors import InputError
from planner.folder import ordinary
from planner.rulebase.values import shown

#: Longer notes are none of ours.
LONGEST = 200


class Hold:
    """The lock of a file that one person at a time may change.

    Args:
        path: The file.
        what: What it is, as the second person is told: ``job`` or ``record``.
    """

    def __init__(self, path: Path, what: str) -> None:
        self._path, self._what = path, what
        self._note = path.with_name(f".{path.name}.holder")
        self.lock = FileLock(path.with_name(f".{path.name}.lock"), timeout=0)

    def take(self) -> None:
        """Take the lock and say who holds it.

        Raises:
            InputError: If somebody else holds it, who is named, or locks cannot be had here.
        """
        try:
            self.lock.acquire()
        except Timeout:
            raise InputError.of(
                str(self._path),
                f"this {self._what} is open elsewhere: {self._held_by()}",
                "Close it there first; nothing was changed.",
            ) from None
        except (OSError, NotImplementedError) as error:  # the latter where a folder knows no locks
            reason = getattr(error, "strerror", None) or str(error)
            raise InputError.of(
                str(self._path), f"cannot write here: {reason}", "Choose another folder."
            ) from None
        self._sign()

    def release(self) -> None:
        """Give the lock back."""
        with contextlib.suppress(OSError):
            self._note.unlink(missing_ok=True)
        self.lock.release()

    def _sign(self) -> None:
        """Say who holds the file; a help to others, so its failure is no fault.

        An old note is removed first: what is written must not go through a link that lies there.
        """
        who = f"{_user()} on {platform.node()}, process {os.getpid()}"
        with contextlib.suppress(OSError):
            self._note.unlink(missing_ok=True)
            with self._note.open("x", encoding="utf-8", errors="replace") as file:
                file.write(who)

    def _held_by(self) -> str:
        try:
            note = ordinary(self._note, LONGEST).decode(errors="replace")
        except OSError:
            return "by someone unknown"
        return shown(note).strip("'") or "by someone unknown"


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "someone"
