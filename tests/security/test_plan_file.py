"""Plan files may come from anywhere: read if they are what they claim to be, else refused."""

from __future__ import annotations

import copy
import json
import os
from pathlib import Path
from typing import Any

import pytest

from planner import paths
from planner.errors import InputError
from planner.folder import ordinary, write_whole
from planner.job.file import read_job
from planner.pack.plan_json import plan_text
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.shop.memory import recall
from planner.shop.planfile import read_plan


@pytest.fixture(scope="module")
def good(base: RuleBase) -> dict[str, Any]:
    """Return a plan as its file holds it."""
    job = read_job(paths.DEMOS / "high-roof-steel.yaml", base)
    found: dict[str, Any] = json.loads(plan_text(make_plan(job, base, every_fact=True)))
    return found


@pytest.mark.parametrize(
    ("way", "wrong"),
    [
        (("verdict",), []),
        (("verdict", "state"), ["x"]),
        (("facts", "roof.moves"), {}),
        (("facts", "roof.moves", "reads"), [1]),
        (("findings", 0), 1),
        (("decisions", "mount.method"), {}),
        (("rules",), "x"),
        (("steps", 0), {"id": "a", "title": "b"}),
        (("hazards", 0), 5),
        (("materials", 0, "id"), []),
    ],
)
def test_a_damaged_plan_file_is_one_message(
    way: tuple[Any, ...], wrong: Any, good: dict[str, Any], tmp_path: Path
) -> None:
    """Where it is damaged, and what to name instead; never a fault of ours."""
    data = copy.deepcopy(good)
    node: Any = data
    for key in way[:-1]:
        node = node[key]
    node[way[-1]] = wrong
    (tmp_path / "plan.json").write_text(json.dumps(data))
    with pytest.raises(InputError, match="this is no plan file, or one of another lidwork: at"):
        read_plan(tmp_path / "plan.json")


@pytest.mark.parametrize("way", [("findings", 0, "text"), ("facts", "roof.moves", "value")])
def test_a_plan_file_cannot_command_the_terminal(
    way: tuple[Any, ...], good: dict[str, Any], tmp_path: Path
) -> None:
    """Threat: a plan file sends the terminal commands through what 'compare' prints."""
    data = copy.deepcopy(good)
    node: Any = data
    for key in way[:-1]:
        node = node[key]
    node[way[-1]] = "\x1b]0;owned\x07"
    (tmp_path / "plan.json").write_text(json.dumps(data))
    with pytest.raises(InputError, match="could command a terminal"):
        read_plan(tmp_path / "plan.json")


def test_a_pipe_beside_the_job_is_not_waited_for(tmp_path: Path) -> None:
    """Threat: a pipe or device beside the job makes 'plan' wait for ever."""
    os.mkfifo(tmp_path / "van.planned.json")
    os.mkfifo(tmp_path / "plan.json")
    assert recall(tmp_path / "van.yaml") is None
    with pytest.raises(InputError, match="it is no ordinary file"):
        read_plan(tmp_path / "plan.json")
    with pytest.raises(OSError, match="ordinary"):
        ordinary(Path("/dev/zero"), 10)


@pytest.mark.parametrize("plan", ["/etc/passwd", "../secret", "pack/\x1b[2Jplan.json"])
def test_the_memory_names_the_plan_of_a_pack_and_nothing_else(plan: str, tmp_path: Path) -> None:
    """Threat: the file beside the job makes 'plan' read any file of the machine."""
    data = {"revision": "1", "rules": [["a", "1", "b"]], "plan": plan}
    (tmp_path / "van.planned.json").write_text(json.dumps(data))
    assert recall(tmp_path / "van.yaml") is None


def test_a_file_that_cannot_be_put_in_place_leaves_nothing_behind(tmp_path: Path) -> None:
    """A folder stands where the file should be."""
    (tmp_path / "there").mkdir()
    with pytest.raises(OSError, match="there"):
        write_whole(tmp_path / "there", b"x")
    assert [path.name for path in tmp_path.iterdir()] == ["there"]
