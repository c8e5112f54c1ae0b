"""Work done beside: the same result wherever it is done, and no process left behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

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


def test_beside_other_threads_the_work_is_done_here() -> None:
    """A copy would hold for ever what another thread had locked."""
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        with beside(os.getpid) as wanted:
            assert wanted() == os.getpid()
    finally:
        stop.set()
        other.join()


@pytest.mark.skipif(sys.platform != "linux", reason="no process is made there")
def test_the_copy_ends_with_whoever_wanted_it(tmp_path: Path) -> None:
    """A command that is killed leaves no copy behind that waits to be read."""
    told = tmp_path / "pid"
    code = (
        "import os, pathlib, sys, time\nfrom planner.beside import beside\n"
        "def work():\n pathlib.Path(sys.argv[1]).write_text(str(os.getpid()))\n"
        " time.sleep(.3)\n return b'x' * 1_000_000\n"
        "with beside(work): time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", code, str(told)]) as command:
        _until(lambda: told.exists() and told.read_text() != "")
        command.kill()
    copy = int(told.read_text())
    _until(lambda: not Path(f"/proc/{copy}").exists() or _state(copy) == "Z")


def _state(process: int) -> str:
    return Path(f"/proc/{process}/stat").read_text().rpartition(") ")[2][:1]


def _until(holds: Callable[[], bool]) -> None:
    for _ in range(200):
        if holds():
            return
        time.sleep(0.05)
    pytest.fail("it never came to be")


@pytest.mark.skipif(sys.platform != "linux", reason="no process is made there")
def test_nothing_is_left_behind_when_the_result_is_not_wanted() -> None:
    """Somebody stops the command: the copy is gone with it."""
    with pytest.raises(KeyboardInterrupt), beside(signal.pause):
        raise KeyboardInterrupt
    assert not Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text()
