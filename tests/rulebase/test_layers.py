"""Layers: what a shop may do to the rules below, and thirty ways of getting it wrong."""

# ruff: noqa: E501  - the messages are compared as they are printed

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import InputError
from planner.rulebase.base import RuleBase
from planner.rulebase.layers import lay_all, stack
from planner.rulebase.load import load_rules
from planner.rulebase.show import listing, showing

BELOW = """\
base: {name: below, version: 1.0.0, date: "2026-01-01"}
sections: [{id: roof, title: Roof}]
phases: [{id: holes, title: Holes}]
questions:
  - fact: roof.moves
    section: roof
    label: roof moves
    kind: yes_no
    ask: Does it move?
    why: It matters.
    unknown: {suppose: true}
  - fact: roof.skin_mm
    section: roof
    label: skin
    kind: number
    unit: mm
    precision: 1
    least: 1
    most: 9
    ask: How thick?
    why: It matters.
    unknown: {assume: {low: 2, high: 5}}
  - fact: site.indoors
    section: roof
    label: indoors
    kind: yes_no
    ask: In a hall?
    why: Rain.
    unknown: {assume: false}
values:
  - {fact: limit.skin_mm, label: least skin, unit: mm, value: 2, because: x, source: physics}
  - {fact: limit.nice_mm, label: a nice skin, unit: mm, value: 3, because: x, source: physics}
tables:
  - {id: cures, label: Cures, columns: {joint: which, hours: h}, because: x, source: physics,
     rows: [{joint: foot, hours: 24}, {joint: entry, hours: 12}]}
states:
  - {id: roof, label: Roof, values: {shut: shut, propped: propped}}
invariants:
  - id: no-drilling-shut
    never: {does: drills, of: shell, states: {roof: shut}}
    because: It pinches.
    source: common practice
findings:
  - id: thin
    severity: stop
    locked: true
    when: {roof.skin_mm.low: {below: limit.skin_mm}}
    says: Too thin.
    because: It tears.
    source: common practice
  - id: not-nice
    severity: note
    when: {roof.skin_mm.low: {below: limit.nice_mm}, site.indoors: false, roof.moves: true}
    says: Not nice.
    because: It flexes.
    source: common practice
decisions:
  - id: way
    gives: mount.way
    label: way
    options:
      - {id: bolts, label: bolts, points: 2}
      - {id: glue, label: glue, reasons: [{says: Quick., points: 1}]}
    if_none: Stop.
    because: x
    source: common practice
tools: [{id: drill, label: drill}, {id: rag, label: rag}]
materials: [{id: tape, label: tape, spec: wide}]
steps:
  - id: wash
    phase: holes
    title: Wash
    tools: [rag]
    minutes: 10
    lines: [Wash., Dry.]
    because: Dirt.
    source: common practice
  - id: mark
    phase: holes
    title: Mark
    after: [wash]
    materials: [tape]
    minutes: {base: 5}
    lines: [Mark.]
    because: Where else.
    source: common practice
  - id: drill
    phase: holes
    title: Drill
    locked: true
    after: [mark]
    needs: {roof: propped}
    does: [{act: drills, of: shell}]
    tools: [drill]
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
"""
HEAD = 'base: {name: ours, version: 1.2.0, date: "2026-02-02", approved_by: nobody}\n'


@pytest.fixture(scope="module")
def below(tmp_path_factory: pytest.TempPathFactory) -> RuleBase:
    """Return invented rules to lay something on."""
    folder = tmp_path_factory.mktemp("b") / "below"
    folder.mkdir()
    (folder / "all.yaml").write_text(BELOW)
    return load_rules(folder)


def folder_of(tmp_path: Path, text: str, head: str = HEAD) -> Path:
    """Return a layer's folder that holds one text."""
    folder = tmp_path / "ours"
    folder.mkdir(exist_ok=True)
    (folder / "all.yaml").write_text(head + text)
    return folder


def change(of: str, name: str, entries: str) -> str:
    """Return the text of one change."""
    return f"changes: [{{of: {of}, id: {name}, {entries}, because: We do.}}]"


def laid(below: RuleBase, tmp_path: Path, text: str) -> RuleBase:
    """Return the rules with a sound layer on top."""
    return stack(below, [folder_of(tmp_path, text)])


def test_rules_are_added_changed_and_withdrawn_with_a_reason(
    below: RuleBase, tmp_path: Path
) -> None:
    """Every way of changing a rule, and the departure that each leaves."""
    text = """\
tools: [{id: lamp, label: lamp}]
changes:
  - {of: steps, id: wash, set: {minutes: 20, lines.2: Blow dry.}, add: {tools: lamp}, because: We do.}
  - {of: tables, id: cures, set: {rows.2.hours: 18}, add: {rows: [{joint: rail, hours: 72}]}, because: Ours.}
  - {of: decisions, id: way, set: {options.glue.reasons.1.points: 3}, because: We like glue.}
withdrawn: [{of: tools, id: rag, because: We use none.}]
"""
    base = laid(below, tmp_path, text)
    wash = base.steps["wash"]
    assert (wash.minutes.base, wash.tools) == (20, ("lamp",))
    assert [line.say for line in wash.lines] == ["Wash.", "Blow dry."]
    assert [row["hours"] for row in base.tables["cures"].rows] == [24, 18, 72]
    assert base.decisions["way"].options[1].reasons[0].points == 3
    assert "rag" not in base.tools
    assert [(one.rule, one.what, one.because) for one in base.departures] == [
        ("steps/wash", "changed: minutes, lines.2, more tools", "We do."),
        ("tables/cures", "changed: rows.2.hours, more rows", "Ours."),
        ("decisions/way", "changed: options.glue.reasons.1.points", "We like glue."),
        ("tools/rag", "withdrawn", "We use none."),
    ]
    assert [layer.name for layer in base.layers] == ["below", "ours"]
    assert (base.layers[1].version, base.layers[1].approved_by) == ("1.2.0", "nobody")


def test_what_came_after_a_withdrawn_step_comes_after_those_before_it(
    below: RuleBase, tmp_path: Path
) -> None:
    """The order of the rest is kept."""
    base = laid(below, tmp_path, "withdrawn: [{of: steps, id: mark, because: By eye.}]")
    assert base.steps["drill"].after == ("wash",)


def test_a_locked_rule_takes_more_but_not_less(below: RuleBase, tmp_path: Path) -> None:
    """More lines, narrower needs and a hold point are welcome on a safety rule."""
    text = change("steps", "drill", "add: {lines: [Slowly.], hold: true, needs: {roof: [propped]}}")
    drill = laid(below, tmp_path, text).steps["drill"]
    assert [line.say for line in drill.lines] == ["Drill.", "Slowly."]
    assert drill.hold
    assert drill.needs == {"roof": ("propped",)}


def test_answers_are_fixed_or_usual_and_a_usual_one_replaces_no_measurement(
    below: RuleBase, tmp_path: Path
) -> None:
    """What was supposed stays supposed, so the verdict stays 'not yet' until it is known."""
    text = """\
answers:
  - {fact: site.indoors, fixed: true, because: A hall.}
  - {fact: roof.moves, usual: false, because: Mostly.}
  - {fact: roof.skin_mm, usual: {low: 3, high: 4}, because: We measured many.}
"""
    base = laid(below, tmp_path, text)
    assert base.fixed == {"site.indoors": True}
    supposed, span = (base.questions[name].unknown for name in ("roof.moves", "roof.skin_mm"))
    assert (supposed.assume, supposed.suppose, span.span) == (None, False, (3, 4))
    assert [one.what for one in base.departures] == ["fixed: yes", "usual: no", "usual: 3 to 4"]


def test_a_layer_lies_on_a_layer(below: RuleBase, tmp_path: Path) -> None:
    """A customer's rules on the shop's: the upper one wins, both departures stay."""
    first = folder_of(tmp_path, change("steps", "wash", "set: {minutes: 20}"))
    second = tmp_path / "theirs"
    second.mkdir()
    head = HEAD.replace("ours", "theirs")
    (second / "all.yaml").write_text(head + change("steps", "wash", "set: {minutes: 30}"))
    base = stack(below, [first, second])
    assert base.steps["wash"].minutes.base == 30.0
    assert [one.layer for one in base.departures] == ["ours", "theirs"]


def test_the_digest_tells_a_changed_layer_from_the_one_before(
    below: RuleBase, tmp_path: Path
) -> None:
    """Any change to a rule or to the logo gives another digest."""
    folder = folder_of(tmp_path, "", HEAD.replace("}", ", logo: logo.svg}"))
    digests = []
    for picture in ("<svg/>", "<svg></svg>"):
        (folder / "logo.svg").write_text(picture)
        digests.append(stack(below, [folder]).layers[1].digest)
    (folder / "more.yaml").write_text("tools: [{id: lamp, label: lamp}]")
    digests.append(stack(below, [folder]).layers[1].digest)
    assert len(set(digests)) == 3


def test_showing_a_rule_says_which_layer_changed_what(below: RuleBase, tmp_path: Path) -> None:
    """The lines of one rule, its place and its departure."""
    base = laid(below, tmp_path, change("steps", "wash", "set: {minutes: 20}"))
    shown = list(showing(base, "wash"))
    assert shown[:3] == [
        "steps/wash: Wash",
        "  from below, ours/all.yaml:2, changing below/all.yaml:70",
        "  changed: minutes, by ours: We do.",
    ]
    assert "  minutes:  # ours" in shown
    assert "wash: Wash  (ours/all.yaml:2, changing below/all.yaml:70)  [changed]" in list(listing(base, "steps"))
    assert list(listing(base, "departures")) == ["steps/wash: changed: minutes. We do.  (ours)"]
    with pytest.raises(InputError, match="no rule has that name\n  Did you mean 'wash'"):
        list(showing(base, "wsh"))


BROKEN = [
    # What is there already, or is not there.
    ("tools: [{id: drill, label: x}]",
     "ours/all.yaml:2: drill: tool 'drill' exists in a layer below\n  Change it under 'changes:', with a reason, or give yours another id."),
    (change("steps", "wsh", "set: {minutes: 1}"),
     "ours/all.yaml:2: steps/wsh: no step 'wsh' in the layers below\n  Did you mean 'wash'?"),
    (change("tools", "wash", "set: {label: x}"),
     "ours/all.yaml:2: tools/wash: no tool 'wash' in the layers below\n  It is one of the steps."),
    (change("stepps", "wash", "set: {minutes: 1}"),
     "ours/all.yaml:2: stepps/wash: unknown kind of rule 'stepps'\n  Did you mean 'steps'?"),
    ("withdrawn: [{of: steps, id: dril, because: x}]",
     "ours/all.yaml:2: steps/dril: no step 'dril' in the layers below\n  Did you mean 'drill'?"),
    # Safety rules.
    ("withdrawn: [{of: steps, id: drill, because: x}]",
     "ours/all.yaml:2: steps/drill: steps/drill is a safety rule and cannot be withdrawn: Holes are needed.\n  A layer may add to a locked rule, never weaken it: lines, tools, materials, hazards, after, readings, needs, needs_if, hold, controls, cases, does."),
    ("withdrawn: [{of: invariants, id: no-drilling-shut, because: x}]",
     "ours/all.yaml:2: invariants/no-drilling-shut: invariants/no-drilling-shut is a safety rule and cannot be withdrawn: It pinches.\n  A layer may add to a locked rule, never weaken it: lines, tools, materials, hazards, after, readings, needs, needs_if, hold, controls, cases, does."),
    (change("steps", "drill", "set: {needs: {}}"),
     "ours/all.yaml:2: steps/drill: steps/drill is a safety rule; 'needs' of it cannot be changed: Holes are needed.\n  A layer may add to a locked rule, never weaken it: lines, tools, materials, hazards, after, readings, needs, needs_if, hold, controls, cases, does."),
    (change("findings", "thin", "set: {severity: note}"),
     "ours/all.yaml:2: findings/thin: findings/thin is a safety rule; 'severity' of it cannot be changed: It tears.\n  A layer may add to a locked rule, never weaken it: lines, tools, materials, hazards, after, readings, needs, needs_if, hold, controls, cases, does."),
    (change("steps", "drill", "add: {needs: {roof: [propped, shut]}}"),
     "ours/all.yaml:2: steps/drill: need 'roof' can be narrowed, not widened to 'shut'"),
    # What safety rules stand on.
    (change("values", "limit.skin_mm", "set: {value: 1}"),
     "ours/all.yaml:2: values/limit.skin_mm: values/limit.skin_mm cannot be changed: the safety rule findings/thin stands on it\n  Leave it; where yours is stricter, add a finding or a check of your own."),
    ("withdrawn: [{of: values, id: limit.skin_mm, because: x}]",
     "ours/all.yaml:2: values/limit.skin_mm: values/limit.skin_mm cannot be withdrawn: the safety rule findings/thin stands on it\n  Leave it; where yours is stricter, add a finding or a check of your own."),
    (change("steps", "raise", "set: {leaves: {}}"),
     "ours/all.yaml:2: steps/raise: 'leaves' of steps/raise cannot be changed\n  Other rules and calculations count on it."),
    (change("questions", "roof.moves", "set: {unknown: {assume: false}}"),
     "ours/all.yaml:2: questions/roof.moves: 'unknown' of questions/roof.moves cannot be changed\n  Give your usual answer under 'answers:'."),
    (change("states", "roof", "set: {values: {shut: x}}"),
     "ours/all.yaml:2: states/roof: 'values' of states/roof cannot be changed\n  Use 'add: {values: …}'; single wordings go by their name, as 'values.NAME'."),
    (change("steps", "wash", "set: {id: rinse}"),
     "ours/all.yaml:2: steps/wash: 'id' of steps/wash cannot be changed\n  Names are for good: withdraw the rule and add your own."),
    # Changes that do not fit.
    (change("steps", "wash", "set: {titel: x}"),
     "ours/all.yaml:2: steps/wash: changed so, it does not fit: unknown entry 'titel'\n  Did you mean 'title'?"),
    (change("steps", "wash", "set: {minutes: {base: -5}}"),
     "ours/all.yaml:2: steps/wash: changed so, it does not fit: 'minutes.base' must be 0 or more\n  Correct it."),
    (change("values", "limit.nice_mm", "set: {value: 3.5}"),
     "ours/all.yaml:2: values/limit.nice_mm: changed so, it does not fit: 'value' 3.5 is printed as 4: write 'precision' with its decimals\n  Correct it."),
    (change("steps", "wash", "set: {lines: []}"),
     "ours/all.yaml:2: steps/wash: changed so, it does not fit: 'lines' must not be empty\n  Correct it."),
    (change("steps", "wash", "set: {minutes: [1]}"),
     "ours/all.yaml:2: steps/wash: changed so, it does not fit: 'minutes' must be entries (base, each, of)\n  Correct it."),
    (change("steps", "wash", "set: {source: a book}"),
     "ours/all.yaml:2: steps/wash: changed so, it does not fit: 'source' must be entries (id, at, read), or 'common practice', 'from memory', 'physics' or 'planning assumption'\n  Correct it."),
    (change("tables", "cures", "set: {rows.7.hours: 1}"),
     "ours/all.yaml:2: tables/cures: 'rows.7.hours' leads nowhere: no '7' there. Give an id, or a number from 1 to 2."),
    (change("decisions", "way", "set: {options.bolt.points: 1}"),
     "ours/all.yaml:2: decisions/way: 'options.bolt.points' leads nowhere: no 'bolt' there. Did you mean 'bolts'?"),
    ("changes: [{of: steps, id: wash, set: {minutes: 1}}]",
     "ours/all.yaml:2: wash: 'because' is missing\n  Add it."),
    # Answers.
    ("answers: [{fact: roof.move, fixed: true, because: x}]",
     "ours/all.yaml:2: roof.move: no question asks this\n  Did you mean 'roof.moves'?"),
    ("answers: [{fact: roof.moves, fixed: maybe, because: x}]",
     "ours/all.yaml:2: roof.moves: 'maybe' is neither true nor false. Write true or false."),
    ("answers: [{fact: roof.skin_mm, fixed: 20, because: x}]",
     "ours/all.yaml:2: roof.skin_mm: 20 mm is out of range. Give 1 to 9 mm."),
    ("answers: [{fact: roof.skin_mm, usual: {low: 5, high: 4}, because: x}]",
     "ours/all.yaml:2: roof.skin_mm: the low end 5 is above the high end 4"),
    ("answers: [{fact: roof.moves, fixed: true, usual: true, because: x}]",
     "ours/all.yaml:2: roof.moves: give either 'fixed' or 'usual'\n  Correct it."),
    # Files.
    ("tools: [{id: lamp, label: lamp}]\ntools: [{id: lens, label: lens}]",
     "ours/all.yaml:3: 'tools' appears twice (first on line 2)\n  Keep one."),
    ("tols: [{id: lamp, label: lamp}]",
     "ours/all.yaml:2: unknown kind of rule 'tols'\n  Did you mean 'tools'?"),
    ("tools: [{id: lamp, label: lamp}, {id: lamp, label: lamp}]",
     "ours/all.yaml:2: tool 'lamp' is defined twice (first at ours/all.yaml:2)\n  Keep one, or rename one."),
    ("tools:\n  - {id: lamp, label: lamp",
     "ours/all.yaml:4: not valid YAML: did not find expected ',' or '}'\n  Check colons, quotes and indentation there."),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), BROKEN)
def test_a_broken_layer_gives_its_one_message(
    below: RuleBase, tmp_path: Path, text: str, message: str
) -> None:
    """One mistake, one message: place, what is wrong, what to do; and nothing else."""
    faults = lay_all(below, [folder_of(tmp_path, text)]).faults
    assert "\n".join(map(str, faults)) == message


def test_thirty_mistakes_are_tried() -> None:
    """The number that was asked for, at least."""
    assert len({message for _, message in BROKEN}) >= 30


@pytest.mark.parametrize(
    ("head", "message"),
    [
        ("", "base.yaml: no 'base:' with name, version and date\n  Add one."),
        (HEAD.replace("2026-02-02", "2026-02-30"), "ours/all.yaml:1: ours: 'date': '2026-02-30' is no day; write it as"),
        (HEAD.replace("1.2.0", '""'), "ours/all.yaml:1: ours: 'version' must not be empty"),
        (HEAD.replace("ours", "below"), "ours/base: a layer below is called 'below' too\n  Give each layer its own name."),
        (HEAD.replace("}", ", logo: face.jpg}"), "ours/base: ours: the logo 'face.jpg' is no picture\n  Use a .png or .svg file."),
        (HEAD.replace("}", ", logo: none.svg}"), "ours/base: ours: the logo 'none.svg' cannot be used"),
        (HEAD.replace("}", ", logo: ../out.svg}"), "ours/base: ours: the logo '../out.svg' cannot be used"),
    ],
)  # fmt: skip
def test_a_head_that_does_not_fit_is_told(
    below: RuleBase, tmp_path: Path, head: str, message: str
) -> None:
    """What a layer says of itself is checked too; a logo from elsewhere is not read."""
    (tmp_path / "out.svg").write_text("<svg/>")
    faults = lay_all(below, [folder_of(tmp_path, "tools: [{id: lamp, label: lamp}]", head)]).faults
    assert "\n".join(map(str, faults)).startswith(message)


def test_all_faults_of_a_layer_come_at_once(below: RuleBase, tmp_path: Path) -> None:
    """Four mistakes in one file, four messages."""
    text = """\
tools: [{id: lamp}]
withdrawn: [{of: steps, id: drill, because: x}]
answers: [{fact: roof.move, fixed: true, because: x}]
changes: [{of: steps, id: wash, set: {titel: x}, because: x}]
"""
    places = [fault.where for fault in lay_all(below, [folder_of(tmp_path, text)]).faults]
    assert places == [
        "ours/all.yaml:2: lamp",
        "ours/all.yaml:5: steps/wash",
        "ours/all.yaml:3: steps/drill",
        "ours/all.yaml:4: roof.move",
    ]


def test_sections_can_be_worded_anew_but_not_those_that_keep_people_safe(
    below: RuleBase, tmp_path: Path
) -> None:
    """A template of the layer takes the place of one that ships, if it is sound and harmless."""
    folder = folder_of(tmp_path, "")
    parts = folder / "templates" / "parts"
    parts.mkdir(parents=True)
    (parts / "decisions.html.j2").write_text("<p>{{ meta.title }}</p>")
    assert list(stack(below, [folder]).house.templates) == ["parts/decisions.html.j2"]
    (parts / "limits.html.j2").write_text("Anything goes.")
    (parts / "basis.html.j2").write_text("{% if %}")
    (parts / "bases.html.j2").write_text("x")
    said = [str(fault) for fault in lay_all(below, [folder]).faults]
    assert said[0].startswith("ours/templates/parts/bases.html.j2: replaces no section of the pack")
    assert said[1].startswith("ours/templates/parts/basis.html.j2:1: Expected an expression")
    assert said[2].startswith(
        "ours/templates/parts/limits.html.j2: this section keeps people safe and cannot be replaced"
    )
