"""A job remembers what it was packed with, and says what has moved since."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from planner import paths
from planner.errors import InputError
from planner.job.file import read_job
from planner.pack.plan_json import plan_text, plan_to_dict
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.shop.memory import moved_on, recall, refuse_to_differ, remember
from planner.shop.standard import rules_for

HEAD = 'base: {name: ours, version: 1.0.0, date: "2026-01-01"}\n'
WITHDRAWN = "withdrawn: [{of: steps, id: check-chargers, because: Elsewhere.}]\n"


@pytest.fixture
def van(tmp_path: Path) -> Path:
    """Return a job file of its own."""
    path = tmp_path / "van.yaml"
    path.write_bytes((paths.DEMOS / "high-roof-steel.yaml").read_bytes())
    return path


def packed(van: Path, base: RuleBase) -> Plan:
    """Plan a job and keep the plan file as a pack does."""
    plan = make_plan(read_job(van, base), base, every_fact=True)
    pack = van.parent / "pack"
    pack.mkdir(exist_ok=True)
    (pack / "plan.json").write_text(plan_text(plan), encoding="utf-8")
    remember(van, plan, pack)
    return plan


def since(van: Path, base: RuleBase) -> list[str]:
    """Return what is said when the job is planned again."""
    plan = make_plan(read_job(van, base), base, every_fact=True)
    return list(moved_on(van, plan, base, plan_to_dict(plan)))


def layer(folder: Path, text: str) -> RuleBase:
    """Return the rules under a layer with this text."""
    folder.mkdir(exist_ok=True)
    (folder / "all.yaml").write_text(HEAD + text)
    return rules_for(None, [folder])


def test_nothing_moved_nothing_said(van: Path, base: RuleBase) -> None:
    """The same answers by the same rules; a job never packed says nothing either."""
    assert since(van, base) == []
    packed(van, base)
    assert since(van, base) == []


def test_rules_that_moved_on_are_told_with_what_that_changes(van: Path, tmp_path: Path) -> None:
    """The shop withdraws a step: both versions are named, and the step that goes."""
    packed(van, layer(tmp_path / "ours", "tools: []\n"))
    said = since(van, layer(tmp_path / "ours", WITHDRAWN))
    assert said[0].startswith(f"The rules have moved on since the pack in {tmp_path / 'pack'}: ")
    assert any(line.startswith("  step Try the other chargers") for line in said)


def test_answers_that_changed_are_told(van: Path, base: RuleBase) -> None:
    """A new revision, and the answer itself."""
    packed(van, base)
    van.write_text(van.read_text().replace("coldest_c: -1", "coldest_c: -2"))
    said = since(van, base)
    assert said[0] == f"The answers have changed since the pack in {van.parent / 'pack'}."
    assert any("answer" in line for line in said[1:])


def test_figures_and_wording_that_the_rules_move_are_not_kept_quiet(
    van: Path, tmp_path: Path
) -> None:
    """A longer step moves figures alone, a line wording alone; neither is "no change"."""
    packed(van, layer(tmp_path / "ours", "tools: []\n"))
    change = "changes: [{{of: steps, id: wash-roof, {}, because: x}}]\n"
    longer = layer(tmp_path / "ours", change.format("set: {minutes: 200}"))
    plan = make_plan(read_job(van, longer), longer, every_fact=True)
    said = list(moved_on(van, plan, longer, plan_to_dict(plan), [tmp_path / "my rules"]))
    assert re.search(
        r"\d figures?; see: lidwork compare .*plan\.json .*van\.yaml --rules '.*my rules'", said[-1]
    )
    said = since(van, layer(tmp_path / "ours", change.format("add: {lines: [Twice.]}")))
    assert said[-1] == "  That changes wording or times only, in: steps."
    said = since(van, layer(tmp_path / "ours", "tools: []\n# a remark\n"))
    assert said[-1] == "  The plan stays."


def test_a_pack_that_is_gone_and_a_spoilt_memory_are_no_fault(van: Path, base: RuleBase) -> None:
    """What cannot be told is said, or silence; never a crash."""
    packed(van, base)
    (van.parent / "pack" / "plan.json").unlink()
    van.write_text(van.read_text().replace("coldest_c: -1", "coldest_c: -2"))
    assert since(van, base)[-1].startswith("That pack is no longer there")
    for text in ("", "[]", '{"revision": 1}', '{"revision": 1, "rules": 3, "plan": "x"}'):
        (van.parent / "van.planned.json").write_text(text)
        assert recall(van) is None


def test_as_planned_refuses_to_differ(van: Path, tmp_path: Path, base: RuleBase) -> None:
    """The same plan passes; another version of lidwork alone is no difference; a step is."""
    plan = packed(van, base)
    file = van.parent / "pack" / "plan.json"
    refuse_to_differ(file, plan_to_dict(plan), base)
    older = {**json.loads(file.read_text()), "lidwork": "0.0.1"}
    file.write_text(json.dumps(older))
    refuse_to_differ(file, plan_to_dict(plan), base)
    house = layer(tmp_path / "ours", WITHDRAWN)
    other = make_plan(read_job(van, house), house, every_fact=True)
    with pytest.raises(InputError) as caught:
        refuse_to_differ(file, plan_to_dict(other), house)
    assert "the plan made now is not the one planned then" in str(caught.value)
    assert "step Try the other chargers" in str(caught.value)


def test_wording_alone_is_a_difference_too(van: Path, tmp_path: Path, base: RuleBase) -> None:
    """A line that was added changes what the fitter is told to do."""
    packed(van, base)
    file = van.parent / "pack" / "plan.json"
    text = "changes: [{of: steps, id: wash-roof, add: {lines: [Twice.]}, because: Dirty.}]\n"
    house = layer(tmp_path / "ours", text)
    other = plan_to_dict(make_plan(read_job(van, house), house, every_fact=True))
    other["rules"] = json.loads(file.read_text())["rules"]
    with pytest.raises(InputError, match=r"wording or times in: .*steps"):
        refuse_to_differ(file, other, house)
