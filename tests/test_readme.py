"""What README shows is what the program prints."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner import paths
from planner.errors import InputError
from planner.job.file import parse_job, read_job
from planner.plan.make import make_plan
from planner.plan.show import show
from planner.rulebase.base import RuleBase

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```text\n(.*?)```", README, re.DOTALL)


def block(begins: str) -> list[str]:
    """Return the lines of the block that begins so."""
    found: str = next(text for text in BLOCKS if text.startswith(begins))
    return found.splitlines()


def test_the_messages_are_those_of_the_program(base: RuleBase) -> None:
    """The two wrong lines stand on lines 14 and 22 of a job file."""
    lines = ["# a line"] * 22
    lines[12:14] = ["panel:", "  mass_kg: -3"]
    lines[20:22] = ["roof:", "  materal: grp"]
    with pytest.raises(InputError) as caught:
        parse_job("\n".join(lines), "van.yaml", base)
    assert str(caught.value).splitlines() == block("van.yaml:14")


def test_the_plan_is_that_of_the_first_demo(
    base: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    """The verdict and three steps, times and all."""
    show(make_plan(read_job(paths.demos()[0], base), base))
    printed = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    shown = [line for line in block("NO STOP FOUND") if line.strip() != "…"]
    places = [printed.index(line) for line in shown]
    assert places[1:] == [places[1], places[1] + 1, places[1] + 2]
