"""The same job gives the same plan, byte for byte, whatever the machine is set to."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner import paths

DEMO = paths.DEMOS / "lifting-grp.yaml"
PRINT_PLAN = """
import json, os, sys
from pathlib import Path
os.umask(int(os.environ.get("TEST_UMASK", "22"), 8))
from planner.job.file import read_job
from planner.pack.plan_json import plan_to_dict
from planner.plan.make import make_plan
from planner.rulebase.load import built_in
base = built_in()
plan = make_plan(read_job(Path(sys.argv[1]), base), base, every_fact=True)
sys.stdout.buffer.write(json.dumps(plan_to_dict(plan), ensure_ascii=True, indent=1).encode())
"""
MACHINES = {
    "C locale without UTF-8, far west, closed umask": {
        "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "TZ": "Etc/GMT+12",
        "TEST_UMASK": "077", "PYTHONHASHSEED": "4294967295",
    },
    "POSIX locale, far east, no umask": {
        "LC_ALL": "POSIX", "TZ": "Pacific/Kiritimati", "TEST_UMASK": "000", "PYTHONHASHSEED": "1",
    },
    "a locale that is not installed, optimised": {
        "LC_ALL": "xx_XX.UTF-8", "TZ": "Nowhere/Land", "PYTHONOPTIMIZE": "1",
        "PYTHONHASHSEED": "77",
    },
}  # fmt: skip


def run(arguments: list[str], machine: dict[str, str]) -> subprocess.CompletedProcess[bytes]:
    """Run Python on such a machine."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "PYTHON"))}
    return subprocess.run(
        [sys.executable, *arguments], env={**kept, **machine}, capture_output=True, check=False
    )


def plan_bytes(job: Path, machine: dict[str, str]) -> bytes:
    """Return the plan of a job as bytes, made on such a machine."""
    done = run(["-c", PRINT_PLAN, str(job)], machine)
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


@pytest.fixture(scope="module")
def usual() -> bytes:
    """Return the plan as an ordinary machine makes it."""
    return plan_bytes(DEMO, {"LC_ALL": "C.UTF-8", "TZ": "UTC", "PYTHONHASHSEED": "0"})


@pytest.mark.parametrize("machine", MACHINES.values(), ids=MACHINES)
def test_the_plan_is_the_same_on(machine: dict[str, str], usual: bytes) -> None:
    """Locale, time zone, hash seed, umask and optimisation change nothing."""
    assert len(usual) > 10_000
    assert plan_bytes(DEMO, machine) == usual


def test_the_plan_is_the_same_with_an_empty_cache(usual: bytes, tmp_path: Path) -> None:
    """Rules read from YAML and rules from the cache make one plan."""
    assert plan_bytes(DEMO, {"XDG_CACHE_HOME": str(tmp_path)}) == usual
    assert plan_bytes(DEMO, {"XDG_CACHE_HOME": str(tmp_path)}) == usual


def test_the_plan_is_the_same_with_other_line_ends_and_layout(usual: bytes, tmp_path: Path) -> None:
    """Windows-style line ends, a byte order mark and a reversed order of sections."""
    text = DEMO.read_text(encoding="utf-8")
    windows = tmp_path / "windows.yaml"
    windows.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert plan_bytes(windows, {}) == usual
    sections: list[str] = []
    for line in text.splitlines(keepends=True):
        if line[0].isalpha():
            sections.append("")
        if sections:
            sections[-1] += line
    turned = tmp_path / "turned.yaml"
    turned.write_text("".join(reversed(sections)), encoding="utf-8")
    assert plan_bytes(turned, {}) == usual


def test_what_a_job_was_packed_with_is_remembered_in_any_locale(tmp_path: Path) -> None:
    """A folder with umlauts is written down the same where names are no UTF-8, and found again."""
    job, bare = tmp_path / "van.yaml", next(iter(MACHINES.values()))
    for machine in (bare, {"LC_ALL": "C.UTF-8"}):
        job.write_bytes(DEMO.read_bytes())
        done = run(["-m", "planner", "pack", str(job), "-o", str(tmp_path / "Mäppe")], machine)
        assert done.returncode == 0, done.stderr.decode()
        memory = tmp_path / "van.planned.json"
        assert json.loads(memory.read_text(encoding="utf-8"))["plan"] == "Mäppe/plan.json"
        job.write_text(job.read_text(encoding="utf-8").replace("mass_kg: 11.8", "mass_kg: 11.9"))
        done = run(["-m", "planner", "plan", str(job)], machine)
        assert b"The answers have changed" in done.stderr
        assert b"no longer there" not in done.stderr
        memory.unlink()


def test_the_terminal_without_utf_8_shows_the_plan(tmp_path: Path) -> None:
    """Where a sign cannot be shown another stands for it; the command does not fail."""
    machine = next(iter(MACHINES.values()))
    done = run(["-m", "planner", "plan", str(DEMO)], machine)
    assert done.returncode in (0, 3), done.stderr.decode(errors="replace")
    assert b"Order of work" in done.stdout
    faulty = tmp_path / "van.yaml"
    faulty.write_text("roof: {finish: größer, matérial: grp}\n", encoding="utf-8")
    done = run(["-m", "planner", "plan", str(faulty)], machine)
    assert done.returncode == 2, done.stderr.decode(errors="replace")
    assert b"roof.finish" in done.stderr
