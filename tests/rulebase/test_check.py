"""Broken rules: each gives one message with its place and cure; the shipped rules give none."""

# ruff: noqa: E501  - the messages are compared as they are printed

from __future__ import annotations

from pathlib import Path

import pytest

from planner.engineering.bindings import BINDINGS
from planner.errors import InputError
from planner.ledger import Binding, bind
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check
from planner.rulebase.load import load_rules

GOOD = """\
base: {name: invented, version: 1.0.0, date: "2026-01-01"}
sections: [{id: roof, title: Roof}]
phases: [{id: holes, title: Holes}]
sources: [{id: leaflet, title: A leaflet, edition: "2020"}]
questions:
  - fact: roof.moves
    {question}
    section: roof
    label: roof moves
    kind: yes_no
    ask: Does it move?
    why: It matters.
    unknown: {assume: true}
facts: [{fact: panel.area_m2, label: area, kind: number, unit: m²}]
values:
  - {fact: limit.area_m2, label: most area, unit: m², value: 2, because: x, source: physics}
states:
  - {id: roof, label: Roof, values: {shut: shut, propped: propped}}
invariants:
  - id: no-drilling-shut
    never: {does: drills, of: shell, states: {roof: shut}}
    because: It pinches.
    source: common practice
findings:
  - id: too-large
    severity: stop
    when: {panel.area_m2: {above: limit.area_m2}, roof.moves: true}
    says: "{panel.area_m2} is too much."
    because: It lifts.
    source: {id: leaflet, at: p. 3, read: verified}
    cases:
      - {name: over, given: {panel.area_m2: 2.1, roof.moves: true}, applies: true}
      - {name: at the limit, given: {panel.area_m2: 2, roof.moves: true}, applies: false}
steps:
  - id: drill
    phase: holes
    title: Drill
    needs: {roof: propped}
    does: [{act: drills, of: shell}]
    minutes: 5
    lines: [Drill.]
    because: Holes are needed.
    source: common practice
  - id: raise
    phase: holes
    title: Raise
    enabling: true
    needs: {roof: shut}
    leaves: {roof: propped}
    minutes: 5
    lines: [Raise.]
    because: Reach.
    source: common practice
""".replace("    {question}\n", "")
GIVES = (bind(lambda **_: 1.0, "panel.area_m2"),)


def faults_of(tmp_path: Path, text: str, bindings: tuple[Binding, ...] = GIVES) -> str:
    """Return all faults of a rule file as one text."""
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "all.yaml").write_text(text)
    try:
        return "\n".join(map(str, check(load_rules(folder), bindings)))
    except InputError as error:
        return str(error)


def test_the_invented_rules_are_sound(tmp_path: Path) -> None:
    """What the broken variants start from has no fault of its own."""
    assert faults_of(tmp_path, GOOD) == ""


def test_the_shipped_rules_are_sound(base: RuleBase) -> None:
    """No fault in the rules that ship, their cases included."""
    assert [str(fault) for fault in check(base, BINDINGS)] == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "{panel.area_m2: {above",
            "{panel.aera_m2: {above",
            "rules/all.yaml:24: too-large: unknown fact 'panel.aera_m2' in `when`\n"
            "  Did you mean 'panel.area_m2'?",
        ),
        (
            '"{panel.area_m2} is',
            '"{panel.mass_kg} is',
            "rules/all.yaml:24: too-large: unknown fact 'panel.mass_kg' in a slot",
        ),
        ("roof.moves: true}\n", "roof.moves: 'yes'}\n", "'roof.moves' is true or false, not 'yes'"),
        (
            "needs: {roof: propped}\n    does",
            "needs: {roof: proped}\n    does",
            "drill: unknown value of state 'roof' 'proped'\n  Did you mean 'propped'?",
        ),
        ("needs: {roof: propped}\n    does", "needs: {rof: propped}\n    does", "unknown state 'rof'"),
        ("    minutes: 5\n    lines: [Drill.]", "    lines: [Drill.]", "drill: 'minutes' is missing"),
        ("    title: Drill\n", "    titel: Drill\n", "drill: unknown entry 'titel'\n  Did you mean 'title'?"),
        (
            "    title: Drill\n",
            "    title: Drill\n    after: rais\n",
            "drill: unknown name in 'after' 'rais'\n  Did you mean 'raise'?",
        ),
        (
            "    title: Drill\n",
            "    title: Drill\n    after: [drill]\n",
            "drill: steps wait for each other: drill after drill",
        ),
        ("phase: holes\n    title: Drill", "phase: hole\n    title: Drill", "unknown phase 'hole'"),
        ("{id: leaflet, at", "{id: leaflett, at", "too-large: unknown source 'leaflett'"),
        ("    because: Holes are needed.\n", "", "drill: 'because' is missing"),
        ("applies: false}", "applies: true}", "case 'at the limit' says it applies"),
        (
            "{panel.area_m2: {above: limit.area_m2}, roof",
            "{panel.area_m2: {abov: 2}, roof",
            "too-large: 'when': unknown test 'abov' of panel.area_m2",
        ),
        ("id: raise\n", "id: drill\n", "step 'drill' is defined twice (first at rules/all.yaml:34)"),
        ("of: shell, states", "of: roof, states", "no step 'drills' of 'roof'"),
        ("does: drills", "does: drils", "unknown act (no step does it) 'drils'"),
        (
            "leaves: {roof: propped}",
            "leaves: {roof: shut}",
            "raise: enables 'roof: shut' but needs it already",
        ),
        ("{assume: true}", "{assume: maybe}", "the value that stands in does not fit: 'maybe'"),
        ("{assume: true}", "{}", "give either 'assume' or 'suppose'"),
        ("value: 2,", "value: 2, least: 5, most: 1,", "'least' 5.0 is above 'most' 1.0"),
        ("limit.area_m2, label", "limit.other_m2, label", "nothing reads this value"),
        ("sources:", "sauces:", "unknown kind of rule 'sauces'\n  Did you mean 'sources'?"),
        ("base: {name: invented, version: 1.0.0, date: \"2026-01-01\"}\n", "", "no 'base:' with name"),
    ],
)  # fmt: skip
def test_a_broken_rule_says_where_what_and_how(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    """One change to sound rules, one message that names the place and the cure."""
    assert old in GOOD
    assert message in faults_of(tmp_path, GOOD.replace(old, new))


def test_a_need_that_does_not_imply_an_invariant_is_found(tmp_path: Path) -> None:
    """A drilling step that forgets the roof is refused before any plan is made."""
    text = GOOD.replace("    needs: {roof: propped}\n    does", "    does")
    assert "no-drilling-shut" in faults_of(tmp_path, text)


@pytest.mark.parametrize(
    ("bindings", "message"),
    [
        ((), "panel.area_m2: no calculation gives this fact"),
        ((*GIVES, *GIVES), "gives 'panel.area_m2', which another binding gives too"),
        ((*GIVES, bind(lambda **_: 1, "panel.x")), "gives 'panel.x', which no rule declares"),
        (
            (bind(lambda **_: 1, "panel.area_m2", x="roof.moved"),),
            "takes unknown fact 'roof.moved'",
        ),
        ((bind(lambda **_: 1, "panel.area_m2", x="table.no"),), "unknown table 'no'"),
        (
            (bind(lambda **_: 1, "panel.area_m2", x="panel.area_m2"),),
            "these facts need each other: panel.area_m2 -> panel.area_m2",
        ),
    ],
)
def test_a_binding_that_does_not_fit_the_rules_is_found(
    tmp_path: Path, bindings: tuple[Binding, ...], message: str
) -> None:
    """Calculations and declared facts must agree, both ways."""
    assert message in faults_of(tmp_path, GOOD, bindings)


def test_a_missing_rule_folder_is_said_plainly(tmp_path: Path) -> None:
    """A rules folder that is missing or empty is one message each."""
    with pytest.raises(InputError, match="there is no rule folder here"):
        load_rules(tmp_path / "absent")
    with pytest.raises(InputError, match="no rule files"):
        load_rules(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "roof.moves: true}\n",
            "roof.moves: true, limit.area_m2: {below: 2}}\n",
            "too-large: `when` can never hold, for no value of 'limit.area_m2' is left",
        ),
        (
            "when: {panel.area_m2: {above: limit.area_m2}, roof.moves: true}",
            "when: {all: [{roof.moves: true}, {roof.moves: false}], panel.area_m2: {above: limit.area_m2}}",
            "too-large: `when` can never hold, for no value of 'roof.moves' is left",
        ),
        (
            "when: {panel.area_m2: {above: limit.area_m2}, roof.moves: true}",
            "when: {roof.moves: true, any: [{panel.area_m2: {above: limit.area_m2}}, {roof.moves: false}]}",
            "too-large: in `when`, '“roof moves” is no' can never hold here, because of 'roof.moves'",
        ),
        (
            "when: {panel.area_m2: {above: limit.area_m2}, roof.moves: true}",
            "when: {any: [{roof.moves: true}, {roof.moves: false}, {panel.area_m2: {above: limit.area_m2}}]}",
            "too-large: `when` always holds: “roof moves” is yes or “roof moves” is no",
        ),
        (
            "    title: Drill\n",
            "    title: Drill\n    when: {roof.moves: [true]}\n    needs_if: [{when: {roof.moves: false}, states: {roof: shut}}]\n",
            "drill: `needs_if.1.when` can never hold, for no value of 'roof.moves' is left",
        ),
        (
            "needs: {roof: propped}\n    does",
            "needs: {roof: fixed}\n    does",
            "drill: can never be done: nothing ever leaves 'roof: fixed'",
        ),
        (
            "unit: m², value: 2",
            "unit: mm, value: 2",
            "too-large: compares 'panel.area_m2' in 'm²' with 'limit.area_m2' in 'mm'",
        ),
        (
            "unit: m², value: 2",
            "unit: mm, value: 2",
            "limit.area_m2: the name promises m², but its unit is 'mm'",
        ),
        ("phases: [", "tools: [{id: saw, label: saw}]\nphases: [", "saw: no rule uses this tool"),
        (
            "phases: [",
            "tables: [{id: t, label: t, columns: {a: a, b: b}, because: x, source: physics, rows: [{a: 1}]}]\nphases: [",
            "t: row 1 has no 'b'\n  Fill the gap.",
        ),
        (
            "phases: [",
            "tables: [{id: t, label: t, columns: {a: a}, because: x, source: physics, rows: [{a: 1}, {a: 1}]}]\nphases: [",
            "t: row 2 stands there twice",
        ),
        (
            "phases: [",
            "tables: [{id: t, label: t, columns: {a: a}, because: x, source: physics, rows: [{a: 1}, {a: b}]}]\nphases: [",
            "t: column 'a' holds both numbers and words",
        ),
        (
            "phases: [",
            "tables: [{id: t, label: t, columns: {a: a}, ascending: a, because: x, source: physics, rows: [{a: 2}, {a: 1}]}]\nphases: [",
            "t: column 'a' does not rise from row to row",
        ),
    ],
)  # fmt: skip
def test_what_can_never_be_or_does_not_fit_is_found(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    """Conditions, needs, units and tables that are well written and still wrong."""
    assert old in GOOD
    text = GOOD.replace(old, new).replace("values: {shut: shut, propped: propped}",
        "values: {shut: shut, propped: propped, fixed: fixed}")  # fmt: skip
    assert message in faults_of(tmp_path, text)


DECISION = """\
decisions:
  - id: way
    gives: mount.way
    label: way
    options:
      - {id: bolts, label: bolts, points: 3}
      - id: glue
        label: glue
        {glue}
    if_none: Stop.
    because: x
    source: common practice
"""


@pytest.mark.parametrize(
    ("glue", "message"),
    [
        ("ruled_out: [{says: Never.}]", "option 'glue' can never win: it is always ruled out (Never.)"),
        ("points: 2", "option 'glue' can never win: 'bolts' is never ruled out and always has more"),
        ("reasons: [{says: Quick., points: 4, when: {roof.moves: true}}]", ""),
    ],
)  # fmt: skip
def test_an_option_that_can_never_win_is_found(tmp_path: Path, glue: str, message: str) -> None:
    """Always ruled out, or always outscored; one that sometimes wins is fine."""
    found = faults_of(tmp_path, GOOD + DECISION.replace("{glue}", glue))
    assert message in found if message else not found


def test_a_rule_that_waits_for_an_option_that_never_wins_is_found(tmp_path: Path) -> None:
    """A dead option takes with it what stands behind it."""
    text = GOOD + DECISION.replace("{glue}", "points: 2")
    text = text.replace("    title: Drill\n", "    title: Drill\n    when: {mount.way: glue}\n")
    assert "drill: `when` can never hold, for no value of 'mount.way'" in faults_of(tmp_path, text)


def test_an_argument_that_promises_another_unit_is_found(tmp_path: Path) -> None:
    """A calculation that is handed metres for millimetres is refused."""
    bindings = (bind(lambda **_: 1.0, "panel.area_m2", width_mm="limit.area_m2"),)
    message = "argument 'width_mm' promises mm, but 'limit.area_m2' is in 'm²'"
    assert message in faults_of(tmp_path, GOOD, bindings)
