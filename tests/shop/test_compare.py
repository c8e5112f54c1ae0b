"""Two plans side by side: every difference once, each with what causes it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from planner.errors import InputError
from planner.job.file import Job
from planner.pack.plan_json import plan_text, plan_to_dict
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.shop.compare import Difference, compare
from planner.shop.planfile import PlanFile, moved, read_plan
from planner.shop.report import lines, page
from planner.shop.standard import rules_for
from tests.plan.vans import LIFTING, answers
from tests.shop.test_layer import LAYER


def plain(base: RuleBase, **changes: Any) -> PlanFile:
    """Return the plan of the lifting demo, made otherwise, as plain data."""
    made = {fact.replace("__", "."): value for fact, value in changes.items()}
    given = {k: v for k, v in answers(LIFTING, made, base).items() if k not in base.fixed}
    return plan_to_dict(make_plan(Job("x", given), base, every_fact=True))


def of(found: Iterable[Difference], what: str) -> dict[str, Difference]:
    """Return the differences of one kind by name."""
    return {one.name: one for one in found if one.what == what}


@pytest.fixture(scope="module")
def sound(base: RuleBase) -> PlanFile:
    """Return the demo's plan."""
    return plain(base)


def test_a_plan_does_not_differ_from_itself(sound: PlanFile, base: RuleBase) -> None:
    """Made twice and compared, nothing is found."""
    assert compare(sound, plain(base), base, base) == ()
    assert list(lines((), ("a", "b"))) == ["Nothing differs between a and b."]


def test_an_answer_and_all_that_follows_from_it(sound: PlanFile, base: RuleBase) -> None:
    """A heavier panel: the answer, the figures that rest on it, and it alone as their cause."""
    found = compare(sound, plain(base, panel__mass_kg=14.5), base, base)
    answer = of(found, "answer")
    assert list(answer) == ["panel.mass_kg"]
    assert answer["panel.mass_kg"].before == "11.8\N{NO-BREAK SPACE}kg"
    figures = of(found, "figure")
    assert "mass.roof_kg" in figures
    assert all(one.causes == ("panel.mass_kg",) for one in figures.values())


def test_steps_that_come_and_go_name_the_answer_behind_them(
    sound: PlanFile, base: RuleBase
) -> None:
    """A resprayed roof wants an adhesion trial; another decision names its answer too."""
    found = compare(sound, plain(base, roof__finish="resprayed"), base, base)
    steps = of(found, "step")
    assert steps["lay-trial"].before == ""
    assert steps["lay-trial"].after.startswith("number ")
    assert steps["lay-trial"].causes == ("roof.finish",)
    wish = compare(sound, plain(base, mount__no_holes=True), base, base)
    chosen = of(wish, "decision")["mount.method"]
    assert chosen.before.startswith("brackets bolted")
    assert "mount.no_holes" in chosen.causes
    assert of(wish, "step")["drill-pilots"].after == ""


def test_what_is_bought_and_what_moves_names_its_cause(sound: PlanFile, base: RuleBase) -> None:
    """A figure in a material's text; a step that moves because others come and go."""
    found = compare(sound, plain(base, panel__mass_kg=14.5), base, base)
    assert of(found, "material")["panel"].causes == ("panel.mass_kg",)
    wish = compare(sound, plain(base, mount__no_holes=True), base, base)
    assert all(one.causes for one in wish if one.what in ("step", "material", "figure"))


def test_an_assumption_is_no_answer(sound: PlanFile, base: RuleBase) -> None:
    """The same value, measured before and assumed now, is a difference."""
    found = compare(sound, plain(base, site__gas="unknown"), base, base)
    assert of(found, "answer")["site.gas"].after.endswith("(assumed)")


def test_one_job_under_two_layers(sound: PlanFile, base: RuleBase) -> None:
    """What the shop's rules change is caused by them, with the shop's reason."""
    house = rules_for(None, [LAYER])
    found = compare(sound, plain(house), base, house)
    assert "Fennmoor Sidings house rules 2.3.0" in of(found, "rules")["layers"].after
    gone = of(found, "step")["check-chargers"]
    assert gone.after == ""
    assert any("commissioning sheet" in cause for cause in gone.causes)
    new = of(found, "step")["house-photo"]
    assert new.causes == ("steps/house-photo is a rule of Fennmoor Sidings house rules",)
    assert of(found, "answer")["site.air_c"].after.startswith("18")


def test_steps_that_moved_are_those_outside_the_longest_common_run() -> None:
    """By hand: of a b c d e against a c d b e only b moved."""
    assert moved(list("abcde"), list("acdbe")) == ["b"]
    assert moved(list("abc"), list("abc")) == []


def test_a_plan_file_of_an_earlier_pack_stands_beside_one_made_now(
    tmp_path: Path, sound: PlanFile, base: RuleBase
) -> None:
    """What is written and read again is the same plan."""
    given = answers(LIFTING, {}, base)
    path = tmp_path / "plan.json"
    path.write_text(plan_text(make_plan(Job("x", given), base, every_fact=True)), encoding="utf-8")
    assert compare(read_plan(path), sound, base, base) == ()


@pytest.mark.parametrize("text", ["", "[]", "{}", "no", '{"job": 1}', "[" * 100_000])
def test_what_is_no_plan_file_is_told(tmp_path: Path, text: str) -> None:
    """Empty, another thing, or nested to the end of the stack."""
    path = tmp_path / "plan.json"
    path.write_text(text)
    with pytest.raises(InputError, match="this is no plan file"):
        read_plan(path)
    with pytest.raises(InputError, match="cannot read"):
        read_plan(tmp_path / "absent.json")


def test_the_page_escapes_and_needs_nothing_from_outside(
    sound: PlanFile, base: RuleBase
) -> None:
    """A page to send along: every difference, no script, no address."""
    other = plain(base, job__vehicle="<script>alert(1)</script>")
    text = page(compare(sound, other, base, base), ("a <b>", "c & d"))
    assert "&lt;script&gt;alert(1)" in text
    assert "<script" not in text
    assert "a &lt;b&gt;" in text
    assert "http:" not in text
    assert "https:" not in text
    assert "default-src 'none'" in text

