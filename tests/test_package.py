"""The wheel carries rules and templates: an installed copy works anywhere."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from planner import paths

CHECKOUT = paths.shipped("rules").parent


def run(*command: str | Path, cwd: Path) -> None:
    """Run a command without the checkout in sight; its output shows when it fails."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
    done = subprocess.run(
        command, cwd=cwd, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_an_installed_wheel_makes_the_demo_pack(tmp_path: Path) -> None:
    """Build the wheel, install it in an empty environment elsewhere, run the main job there."""
    pip = (sys.executable, "-m", "pip", "-q", "--disable-pip-version-check")
    run(*pip, "wheel", "--no-deps", "-w", tmp_path / "dist", CHECKOUT, cwd=tmp_path)
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    run(sys.executable, "-m", "venv", tmp_path / "venv", cwd=tmp_path)
    python = tmp_path / "venv" / "bin" / "python"
    run(python, "-m", "pip", "-q", "--disable-pip-version-check", "install", wheel, cwd=tmp_path)
    run(tmp_path / "venv" / "bin" / "lidwork", "demo", "-o", "out", cwd=tmp_path)
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert plan["verdict"]["state"] == "no_stop_found"
    assert (tmp_path / "out" / "pack.pdf").read_bytes().startswith(b"%PDF")
