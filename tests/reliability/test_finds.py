"""What fuzzing once found, kept: each input here ended in a traceback or a hang before."""

from __future__ import annotations

import pytest

from planner.errors import InputError
from planner.job.file import parse_job
from planner.rulebase.base import RuleBase
from planner.rulebase.gather import gather
from planner.rulebase.model import KINDS
from planner.rulebase.values import typed

from .broken import MESSAGE, fair, no_hang, rule_texts, try_job, try_rules

HEAD = "base: {name: a, version: '1', date: '2026-01-01'}\n"
TABLE = """
tables:
  - id: sections
    label: Sections
    columns: {section_mm2: mm2, amps: A}
    ascending: section_mm2
    because: They rise.
    source: common practice
    rows: [%s]
"""


@pytest.mark.parametrize(
    "rows",
    ["{section_mm2: 1, amps: 2}, {amps: 3}", "{section_mm2: 1}, {section_mm2: two}",
     "{section_mm2: [1]}, {section_mm2: 2}", "{section_mm2: }, {section_mm2: 2}",
     "{section_mm2: true}, {section_mm2: {a: 1}}"],
)  # fmt: skip
def test_a_table_that_should_rise_and_has_a_gap(rows: str) -> None:
    """Guided fuzzing: a misspelt column in one row of a table that must rise."""
    with pytest.raises(InputError, match="section_mm2"):
        gather({"rules.yaml": HEAD + TABLE % rows}, KINDS)


def test_a_number_of_hundreds_of_digits_typed(base: RuleBase) -> None:
    """Such an integer has no float: comparing it with the range must not convert it."""
    for digits in (20, 400, 5000):
        with pytest.raises(ValueError, match=r"out of range|not a number"):
            typed(base.questions["panel.mass_kg"], "9" * digits)


def test_an_answer_twice_by_its_whole_name(base: RuleBase) -> None:
    """A dotted name at the top would have overruled the answer in its section without a word."""
    with pytest.raises(InputError, match=r"unknown section .roof\.moves."):
        parse_job("roof: {moves: true}\nroof.moves: false\n", "van.yaml", base)


def test_a_date_before_the_calendar_of_vans(base: RuleBase) -> None:
    """The first day of the calendar lost its leading zeros and could not be read again."""
    with pytest.raises(InputError, match="the year 1 is out of range"):
        parse_job("job: {start: '0001-01-01'}", "van.yaml", base)


def test_months_that_are_words(base: RuleBase) -> None:
    """Entries of a plain list went unchecked into the calculations."""
    for entry in ("May", "[5]", "{a: 5}", "true", "1e400"):
        with pytest.raises(InputError, match=r"use.months: entry 1: "):
            parse_job(f"use: {{months: [{entry}]}}", "van.yaml", base)


def test_thousands_of_misspelt_names(base: RuleBase) -> None:
    """A suggestion for each took minutes."""
    text = "roof:\n" + "\n".join(f"  materiel{number}: grp" for number in range(9000))
    with no_hang(), pytest.raises(InputError):
        parse_job(text, "van.yaml", base)


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("rules/tables/mount_data.yaml", "bonded_rails", "bonded_rail"),
        ("rules/tables/fuses.yaml", "{kind: bolted_strip", "{kind: bolted_strap"),
        ("rules/tables/fuses.yaml", "{kind: terminal", "{kind: terminals"),
        ("rules/tables/fuses.yaml", "rated_v: 32", "rated_v: 32 volts"),
    ],
)
def test_a_slip_in_a_table(file: str, old: str, new: str) -> None:
    """A row renamed or a figure turned into text is the rule writer's slip, not our fault."""
    text = rule_texts()[file]
    assert old in text, "the table changed: choose another slip of this kind"
    try_rules(file, text.replace(old, new, 1))


@pytest.mark.parametrize("given", ["0M1", "true x", "[0.1]", "{a: 1}"])
def test_a_case_that_gives_a_number_as_text(given: str) -> None:
    """A slip in the example beside a rule: comparing it must not end in a traceback."""
    file = "rules/findings/41_sealing.yaml"
    old = "sealant.isocyanate_percent: 0.11, "
    assert old in rule_texts()[file], "the rule changed: choose another case of this kind"
    text = rule_texts()[file].replace(old, f"sealant.isocyanate_percent: {given}, ", 1)
    assert try_rules(file, text) == MESSAGE


@pytest.mark.parametrize("hours", [0.5, 1, 2])
@pytest.mark.parametrize("demo", ["lifting-grp", "aluminium-lift-flex", "high-roof-steel"])
def test_days_too_short_for_the_work(demo: str, hours: float, base: RuleBase) -> None:
    """Where no timetable is possible the answer to change is named."""
    from planner import paths  # noqa: PLC0415

    text = (paths.DEMOS / f"{demo}.yaml").read_text(encoding="utf-8")
    lines = [
        f"  hours_per_day: {hours}" if "hours_per_day:" in line and "{" not in line else line
        for line in text.splitlines()
    ]
    try_job("\n".join(lines), base)


def test_nothing_is_no_rule() -> None:
    """Empty things in every place of a rule file."""
    for text in ("", "[]", "findings:", "findings: {}", "findings: [~]", "findings: [[]]",
                 "base:", "base: []", "~: 1"):  # fmt: skip
        assert fair(lambda text=text: gather({"x.yaml": text}, KINDS)) == MESSAGE  # type: ignore[misc]
