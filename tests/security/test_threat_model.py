"""Every line of the threat model has a test, and every threat that is tested has a line."""

from __future__ import annotations

import re
from pathlib import Path

TESTS = Path(__file__).parents[1]
MODEL = TESTS.parent / "DEVELOPERS.md"


def test_each_line_has_its_test_and_each_test_its_line() -> None:
    """Tests whose first line begins with "Threat:" are those of the model."""
    section = MODEL.read_text(encoding="utf-8").partition("## Threat model")[2]
    section = section.partition("\n## ")[0]
    named = set(re.findall(r"`(test_\w+)`", section))
    there, tested = set(), set()
    for folder in ("security", "record"):
        for path in (TESTS / folder).glob("test_*.py"):
            text = path.read_text(encoding="utf-8")
            there |= set(re.findall(r"^def (test_\w+)\(", text, re.MULTILINE))
            tested |= set(re.findall(r'^def (test_\w+)\([^"]*?"""Threat:', text, re.MULTILINE))
    assert len(named) >= 30
    assert named <= there
    assert tested <= named
