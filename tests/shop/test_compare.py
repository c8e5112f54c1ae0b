"""Two plans side by side: every difference once, each with what causes it."""

from __future__ import annotations

import copy
import json
import re
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
from planner.shop.report import lines, page, write_page
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


def test_the_page_escapes_and_needs_nothing_from_outside(sound: PlanFile, base: RuleBase) -> None:
    """A page to send along: every difference, no script, no address."""
    other = plain(base, job__vehicle="<script>alert(1)</script>")
    text = page(compare(sound, other, base, base), ("a <b>", "c & d"))
    assert "&lt;script&gt;alert(1)" in text
    assert "<script" not in text
    assert "a &lt;b&gt;" in text
    assert "http:" not in text
    assert "https:" not in text
    assert "default-src 'none'" in text


def test_a_page_takes_the_place_of_an_earlier_page_only(tmp_path: Path) -> None:
    """A slip such as '--page van.yaml' must not cost the job file, nor a link what it leads to."""
    found = (Difference("verdict", "verdict", "verdict", "a", "b"),)
    job = tmp_path / "van.yaml"
    job.write_text("roof: {moves: true}\n")
    (tmp_path / "link.html").symlink_to(job)
    for taken in (job, tmp_path / "link.html", tmp_path):
        with pytest.raises(InputError, match=re.escape(str(taken))):
            write_page(taken, found, ("one", "other"))
    assert job.read_text() == "roof: {moves: true}\n"
    written = tmp_path / "page.html"
    write_page(written, (), ("one", "other"))
    write_page(written, found, ("one", "bad\udcff.yaml"))  # a file name that is no UTF-8
    assert "bad?.yaml" in written.read_text(encoding="utf-8")
    there = sorted(path.name for path in tmp_path.iterdir())
    assert there == ["link.html", "page.html", "van.yaml"]


def test_an_answer_that_a_layer_fixes_names_the_layer_and_its_reason(
    sound: PlanFile, base: RuleBase
) -> None:
    """Nobody answered otherwise: the shop did."""
    house = rules_for(None, [LAYER])
    causes = of(compare(sound, plain(house), base, house), "answer")["site.air_c"].causes
    assert len(causes) == 1
    assert causes[0].startswith("answers/site.air_c fixed: 18")
    assert causes[0].endswith("by Fennmoor Sidings house rules: The bay is heated.")


@pytest.mark.parametrize("number", ["1e999", "-1e999", "NaN", "1" + "0" * 400])
def test_a_number_out_of_all_range_is_refused(number: str, sound: PlanFile, tmp_path: Path) -> None:
    """A number that no machine number holds would stop what prints it."""
    data = copy.deepcopy(dict(sound))
    data["facts"]["roof.moves"]["value"] = "NUMBER"
    (tmp_path / "plan.json").write_text(json.dumps(data).replace('"NUMBER"', number))
    with pytest.raises(InputError, match="a number that is out of all range"):
        read_plan(tmp_path / "plan.json")


def test_a_plan_file_cannot_keep_the_comparison_busy(sound: PlanFile, tmp_path: Path) -> None:
    """Thousands of steps in reverse order: comparing 20,000 of them took 40 s."""
    step = {"id": "s", "title": "t", "kind": "work"}
    data = {**sound, "steps": [{**step, "id": f"s{number}"} for number in range(2001)]}
    (tmp_path / "plan.json").write_text(json.dumps(data))
    with pytest.raises(InputError, match="at 'steps'"):
        read_plan(tmp_path / "plan.json")
    (tmp_path / "plan.json").write_text("[" + "{}," * 1_700_000 + "{}]")
    with pytest.raises(InputError, match="it is over 5000 kB"):
        read_plan(tmp_path / "plan.json")


def test_many_causes_are_counted_in_the_terminal_and_named_on_the_page() -> None:
    """Two quite different jobs: a line of two dozen names explains nothing."""
    names = tuple(f"cause.of_{number}" for number in range(11))
    found = [Difference("figure", "mass.roof_kg", "mass", "1 kg", "2 kg", names)]
    text = "\n".join(lines(found, ("a", "b")))
    assert "cause.of_7; and 3 more" in text
    assert "cause.of_8" not in text
    assert "cause.of_10" in page(found, ("a", "b"))
    assert "more" not in "".join(
        lines([Difference("figure", "x", "X", "1", "2", names[:8])], ("a", "b"))
    )
