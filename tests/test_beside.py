"""Work done beside: the same result wherever it is done, and no process left behind."""

from __future__ import annotations

import os
import signal
import sys

import pytest

from planner.beside import beside


def test_the_work_is_done_in_another_process_where_there_is_one() -> None:
    """The result comes back whole, even if it is larger than a pipe holds at once."""
    with beside(lambda: (os.getpid(), b"x" * 1_000_000)) as wanted:
        process, data = wanted()
    assert len(data) == 1_000_000
    assert (process != os.getpid()) is (sys.platform == "linux")


def test_an_error_is_raised_where_the_result_is_wanted() -> None:
    """The copy fails in silence, and the work fails again where somebody can be told."""

    def fails() -> None:
        raise ValueError("no such thing")

    with beside(fails) as wanted, pytest.raises(ValueError, match="no such thing"):
        wanted()


@pytest.mark.parametrize("broken", ["killed", "no process"])
def test_whatever_happens_to_the_process_the_work_is_done(
    broken: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A copy that is killed, or that cannot be made, costs only time."""
    here = os.getpid()

    def work() -> int:
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return os.getpid()

    if broken == "no process":
        monkeypatch.setattr(os, "fork", _refused)
    with beside(work) as wanted:
        assert wanted() == here


def _refused() -> int:
    raise BlockingIOError("no more processes")


@pytest.mark.skipif(sys.platform != "linux", reason="no process is made there")
def test_nothing_is_left_behind_when_the_result_is_not_wanted() -> None:
    """Somebody stops the command: the copy is gone with it."""
    with pytest.raises(KeyboardInterrupt), beside(signal.pause):
        raise KeyboardInterrupt
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)
