"""Do a piece of work in a second process while this one goes on, where the system can.

The other process is a copy of this one, so the work needs no imports and no arguments of its own.
It is only a saving of time: whatever goes wrong with it, the work is done here.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import BinaryIO, NoReturn, TypeVar

Found = TypeVar("Found")


@contextmanager
def beside(work: Callable[[], Found]) -> Iterator[Callable[[], Found]]:
    """Begin a piece of work beside this process, and give what waits for its result.

    Elsewhere than on Linux, beside other threads (whose locks a copy would hold for ever), and
    where no process can be had, the work is done when it is asked for. An error in it is raised
    then, as if it had been done here.

    Args:
        work: Returns what can be pickled, prints nothing, and may be done twice.
    """
    with contextlib.ExitStack() as stack:
        answer = None
        if sys.platform == "linux" and threading.active_count() == 1:
            with contextlib.suppress(OSError):
                answer = stack.enter_context(_begun(work))
        yield lambda: _taken(answer, work)


@contextmanager
def _begun(work: Callable[[], object]) -> Iterator[BinaryIO]:
    """Give the end of a pipe on which the result will come; the process is gone at the end."""
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as answer:
        with os.fdopen(writing, "wb") as told:
            child = os.fork()
            if not child:
                os.close(reading)  # so that writing fails, and the copy ends, when this one is gone
                _tell(work, told)
        try:
            yield answer
        finally:
            _end(child)


def _end(child: int) -> None:
    """See the copy gone, unless it is gone already and its number may be another's."""
    with contextlib.suppress(ChildProcessError):
        if os.waitpid(child, os.WNOHANG) == (0, 0):
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)


def _tell(work: Callable[[], object], told: BinaryIO) -> NoReturn:
    """Do the work in the copy, and leave at once: nothing of the copy's may be tidied up."""
    try:
        told.write(pickle.dumps(work()))
        told.flush()
    finally:
        os._exit(0)


def _taken(answer: BinaryIO | None, work: Callable[[], Found]) -> Found:
    data = answer.read() if answer else b""
    try:
        found: Found = pickle.loads(data)  # noqa: S301  - our own copy wrote it
    except (EOFError, pickle.UnpicklingError):
        return work()
    return found
