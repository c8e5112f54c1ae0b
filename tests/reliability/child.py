"""Work done by a process of its own, which can be killed, starved of disk or stripped of rights."""

from __future__ import annotations

import os
import signal
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from msgspec import Struct

from planner.errors import LidworkError

Tell = Callable[[str], None]


class Child(Struct, frozen=True):
    """A forked process and the end of the pipe on which it tells how far it is."""

    pid: int
    told: int

    def kill(self) -> list[str]:
        """Kill it without warning and return all that it told."""
        os.kill(self.pid, signal.SIGKILL)
        return self.end()

    def line(self) -> str:
        """Wait for the next line that it tells."""
        said = b""
        while not said.endswith(b"\n"):
            got = os.read(self.told, 1)
            assert got, "the child ended without a word"
            said += got
        return said.decode().rstrip("\n")

    def end(self) -> list[str]:
        """Wait for its end and return all that it told and was not read yet."""
        os.waitpid(self.pid, 0)
        with os.fdopen(os.dup(self.told), encoding="utf-8") as pipe:
            return pipe.read().splitlines()


@contextmanager
def child(work: Callable[[Tell], None]) -> Iterator[Child]:
    """Run the work in a fork of this process; errors are told, one a line."""
    reads, writes = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(reads)
        _work(work, lambda said: _write(writes, said))
    os.close(writes)
    try:
        yield Child(pid, reads)
    finally:
        os.close(reads)
        _reap(pid)


def _write(handle: int, said: str) -> None:
    os.write(handle, (said.replace("\n", " ") + "\n").encode())


def _work(work: Callable[[Tell], None], tell: Tell) -> None:
    try:
        work(tell)
    except LidworkError as error:
        tell(f"message: {error}")
    except BaseException:  # noqa: BLE001  - a fork of the test run must never return into it
        tell(f"traceback: {traceback.format_exc()}")
    finally:
        os._exit(0)


def _reap(pid: int) -> None:
    """End the child if it still runs; its number may belong to another once it was waited for."""
    try:
        if os.waitpid(pid, os.WNOHANG) == (0, 0):
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
    except ChildProcessError:
        return


def told_by(work: Callable[[Tell], None]) -> list[str]:
    """Run the work in a process of its own to its end and return what it told."""
    with child(work) as one:
        return one.end()
