"""Anything a person types or edits: a plan or a message, never a traceback, a hang or a flood.

A few hundred of each kind here; ``python -m tests.bench.fuzz jobs`` (or ``rules``) throws 20,000.
Set LIDWORK_FULL=1 to do that from here.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from planner.errors import InputError
from planner.job.file import parse_job
from planner.job.write import with_answer
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.rulebase.model import Question
from planner.rulebase.values import typed
from planner.yamltext import read_text

from .broken import (
    ODD_WORDS,
    PLAN,
    broken_jobs,
    broken_layers,
    broken_rules,
    damaged,
    demos,
    fair,
    no_hang,
    sound_layer,
    try_job,
    try_layer,
    try_rules,
)

FULL = os.environ.get("LIDWORK_FULL") == "1"
TOP = Path(__file__).parents[2]
MOST_MB = 300


def some(few: int) -> settings:
    """Return how many to try in an ordinary run, or all of them."""
    return settings(
        max_examples=20_000 if FULL else few,
        phases=[Phase.explicit, Phase.generate, Phase.shrink],
        suppress_health_check=list(HealthCheck),
    )


@some(50)
@given(broken_jobs(built_in()))
def test_a_broken_job_file_gives_a_message_or_a_plan(text: str) -> None:
    """Flipped, cut, misindented, odd in every value, or drawn at the ends of every range."""
    try_job(text, built_in())


@some(40)
@given(broken_rules())
def test_a_broken_rule_file_gives_a_message_or_a_plan(case: tuple[str, str]) -> None:
    """A rule file with damage is refused with its place, or still makes a plan."""
    try_rules(*case)


@some(40)
@given(broken_layers())
def test_a_broken_layer_gives_a_message_or_a_plan(text: str) -> None:
    """A shop's slips in its own file: answers, changes, what it withdraws, what it adds."""
    with tempfile.TemporaryDirectory() as folder:
        try_layer(text, Path(folder))


def test_the_layer_is_sound_before_it_is_broken(tmp_path: Path) -> None:
    """Otherwise damaging it would prove nothing."""
    assert try_layer(sound_layer(), tmp_path) == PLAN


@some(300)
@given(st.one_of(st.text(), ODD_WORDS, st.integers().map(str), st.floats().map(str)))
def test_whatever_is_typed_is_taken_or_explained(text: str) -> None:
    """Every question, with every text: a value that fits, or a sentence."""
    with no_hang():
        for question in built_in().questions.values():
            assert 0 < len(_taken(question, text)) < 6000


def _taken(question: Question, text: str) -> str:
    """Return a typed answer as JSON, which has no place for NaN, or why it was not taken."""
    try:
        return json.dumps(typed(question, text), allow_nan=False)
    except ValueError as error:
        return str(error)


@some(60)
@given(
    damaged(st.sampled_from(demos())),
    st.sampled_from(
        [("job.crew", 2), ("candidates", []), ("job.vehicle", "it's: {a} # b\n- c"),
         ("roof.moves", None), ("battery.capacity_ah", 90.5), ("use.months", [4, 5])]
    ),
)  # fmt: skip
def test_one_answer_is_written_and_no_other_is_changed(text: str, answer: tuple[str, Any]) -> None:
    """Whatever the layout, a rewrite changes the one answer only, or is refused."""
    try:
        before = dict(parse_job(text, "van.yaml", built_in()).answers)
        with no_hang():
            after = read_text(with_answer(text, *answer), "van.yaml").value
    except InputError:
        return
    fact, value = answer
    found = dict(_flat(after))
    assert found.get(fact) == value
    assert {name for name in found if name != "job_format"} - {fact} == set(before) - {fact}
    was = dict(_flat(read_text(text, "van.yaml").value))
    assert all(repr(found[name]) == repr(was[name]) for name in before if name != fact)


def _flat(data: Any) -> list[tuple[str, Any]]:
    flat: list[tuple[str, Any]] = []
    for section, held in (data or {}).items():
        if isinstance(held, dict):
            flat += [(f"{section}.{key}", value) for key, value in held.items()]
        elif section != "job_format" and (held is not None or section == "candidates"):
            flat.append((section, held))
    return flat


@pytest.mark.parametrize("kind", ["jobs", "rules"])
def test_broken_files_do_not_fill_the_memory(kind: str) -> None:
    """A process of its own reads a run of broken files within the memory of a small machine."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.fuzz", kind, "20"],
        cwd=TOP, capture_output=True, text=True, check=False,
    )  # fmt: skip
    found = re.search(r"peak (\d+) MB", done.stdout)
    assert found, done.stderr
    assert int(found.group(1)) < MOST_MB
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(
    "text",
    [
        "roof: " + "[" * 18 + "[]," * 150_000 + "]" * 18,
        "\n".join(f"k{number}: 1" for number in range(45_000)),
        "roof:\n" + "\n".join(f"  material{number}: grp" for number in range(20_000)),
        "roof: {material: " + "x" * 490_000 + "}",
        "x" * 490_000 + ": 1",
        "job: {vehicle: '" + "{" * 490_000 + "'}",
        "use: {months: [" + "1," * 200_000 + "]}",
        "candidates: [" + "{name: a}," * 45_000 + "]",
        "panel: {mass_kg: " + "9" * 490_000 + "}",
        "panel: {mass_kg: 1" + "0" * 400 + "}",
        "job: {start: " + "2" * 400_000 + "}",
        "# " + "=" * 490_000,
        "roof: |\n" + " \n" * 240_000,
    ],
    ids=lambda text: f"{text[:20]!r} and so on",
)
def test_large_files_are_answered_at_once(text: str, base: RuleBase) -> None:
    """As large as a file may be, in every direction that could blow up."""
    assert len(text) < 500_000
    fair(lambda: parse_job(text, "van.yaml", base))


def test_a_file_with_thousands_of_faults_shows_some(base: RuleBase) -> None:
    """Nobody reads more than a screen or two."""
    with pytest.raises(InputError) as caught:
        parse_job("\n".join(f"k{number}: 1" for number in range(3000)), "van.yaml", base)
    assert 10 <= len(caught.value.faults) <= 50
