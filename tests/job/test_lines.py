"""One answer changed on its own line: everything else in the file stays, byte for byte."""

from __future__ import annotations

import difflib
from typing import Any

import pytest
from ruamel.yaml import YAML

from planner.job.write import with_answer

FILE = """\
# My van
lidwork: 1   # the format
panel:
  mass_kg: 12.5   # weighed
  kind:  rigid
  note: "a, b: c"
  bands:
    - {name: roof vent}
    # one more to measure

  # still to weigh
roof:
      material: grp
      length_mm: 2500
"""


def changed(before: str, after: str) -> list[str]:
    """Return the lines taken away and added."""
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


@pytest.mark.parametrize(
    ("fact", "value", "lines"),
    [
        ("panel.mass_kg", 13, ["-   mass_kg: 12.5   # weighed", "+   mass_kg: 13   # weighed"]),
        ("panel.kind", "flexible", ["-   kind:  rigid", "+   kind: flexible"]),
        ("panel.watts", 120, ["+   watts: 120"]),
        ("roof.ribs", False, ["+       ribs: false"]),
        ("job.vehicle", "blue van, long", ["+ job:", "+   vehicle: blue van, long"]),
        ("job.vehicle", "no", ["+ job:", '+   vehicle: "no"']),
        ("job.vehicle", "a: b # c", ["+ job:", '+   vehicle: "a: b # c"']),
    ],
)
def test_only_the_line_of_the_answer_changes(fact: str, value: Any, lines: list[str]) -> None:
    """Remarks, blanks, odd indents and quotes of the other lines are the fitter's own."""
    assert changed(FILE, with_answer(FILE, fact, value)) == lines


def test_a_new_answer_stands_under_the_last_of_its_section() -> None:
    """Not within the list above it, and not below the remark that follows."""
    lines = with_answer(FILE, "panel.watts", 120).splitlines()
    assert lines[lines.index("  watts: 120") - 1] == "    - {name: roof vent}"


@pytest.mark.parametrize(
    "text",
    [
        "lidwork: 1\njob: {crew: 1}\n",
        "lidwork: 1\njob:\n  vehicle: a van\n    over two lines\n  crew: 1\n",
        "lidwork: 1\njob:\n  vehicle: |\n    a van\n    over two lines\n",
        "lidwork: 1\njob:\n  crew: {a: 1}\n",
        "{lidwork: 1, job: {crew: 1}}\n",
        "lidwork: 1\njob:\n  'crew': 1\n",
        "lidwork: 1\njob: unknown\n",
    ],
)
@pytest.mark.parametrize(("fact", "value"), [("job.crew", 2), ("job.vehicle", "it"), ("job.x", 1)])
def test_other_ways_of_writing_are_kept_too(text: str, fact: str, value: Any) -> None:
    """What a single line cannot do is done by a reader that knows all of YAML."""
    section, name = fact.split(".")
    before, after = (YAML(typ="safe").load(one) for one in (text, with_answer(text, fact, value)))
    held = before["job"] if isinstance(before["job"], dict) else {}
    assert after == {**before, section: {**held, name: value}}
