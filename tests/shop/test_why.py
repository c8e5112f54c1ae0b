"""Explanations: everything in a plan comes down to answers, tables and rules; and why not."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from planner import paths
from planner.errors import InputError
from planner.job.file import Job, read_job
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.shop.standard import rules_for
from planner.shop.tree import Node, cut, lines
from planner.shop.why import why
from tests.shop.test_layer import LAYER


@pytest.fixture(scope="module")
def job(base: RuleBase) -> Job:
    """Return a demo job."""
    return read_job(paths.DEMOS / "lifting-grp.yaml", base)


@pytest.fixture(scope="module")
def plan(job: Job, base: RuleBase) -> Plan:
    """Return its plan."""
    return make_plan(job, base, every_fact=True)


def leaves(node: Node) -> Iterator[str]:
    """Yield the lines that rest on nothing further."""
    if not node.children:
        yield node.text
    for child in node.children:
        yield from leaves(child)


def test_a_figure_comes_down_to_answers_and_sourced_values(job: Job, base: RuleBase) -> None:
    """Every leaf of the tree is an answer, a named value or table with its source, or a repeat."""
    node = why(job, base, "mass.roof_kg")
    ends = ("[answered]", "[assumed", "[named value]", "table ", "(explained above)", "rule ",
            "[does not apply", "For:", "Against:", "fails:", "yes when")  # fmt: skip
    for leaf in leaves(node):
        assert any(end in leaf for end in ends), leaf


def test_every_fact_step_and_finding_of_the_plan_can_be_explained(
    job: Job, plan: Plan, base: RuleBase
) -> None:
    """Nothing in a plan is without its why."""
    names = [*plan.facts, *plan.texts, *(one.id for one in plan.findings)]
    names += [one.id for kind in (plan.hazards, plan.materials, plan.tools) for one in kind]
    names += [one.id for one in plan.decisions]
    for name in names:
        assert why(job, base, name, plan).text, name


def test_a_chosen_option_names_its_rule_and_reasons(job: Job, base: RuleBase) -> None:
    """The decision, where its rule stands, every option with its points."""
    text = "\n".join(lines(why(job, base, "mount-method")))
    assert "rule rules/decisions/10_mount.yaml:" in text
    assert "brackets bolted through the roof: chosen" in text
    assert "For: " in text


def test_why_not_an_option(job: Job, base: RuleBase) -> None:
    """A possible option that lost, and one that is ruled out, with what won instead."""
    lost = "\n".join(lines(why(job, base, "bonded_corners")))
    assert "possible, not chosen" in lost
    assert "instead: brackets bolted through the roof: chosen" in lost
    out = "\n".join(lines(why(job, base, "roof_bar_clamps")))
    assert "ruled out" in out


def test_why_not_a_step_hazard_material_or_fact(job: Job, base: RuleBase) -> None:
    """The test that fails is named with the value that fails it."""
    step = "\n".join(lines(why(job, base, "set-rivet-nuts")))
    assert "does not apply: it would only when" in step
    assert "fails: kind of fixing is closed rivet nut" in step
    material = "\n".join(lines(why(job, base, "rivet-nuts")))
    assert "no step of this job names it" in material
    fact = why(read_job(paths.DEMOS / "high-roof-steel.yaml", base), base, "lift.hinge")
    assert "[does not apply to this job]" in fact.text
    assert "fails: “panel on a lifting roof” is yes (here: no)" in "\n".join(lines(fact))


def test_a_step_says_its_place_and_for_what_it_was_put_in(
    job: Job, plan: Plan, base: RuleBase
) -> None:
    """An enabling step stands there because another step needs what it leaves."""
    texts = [child.text for child in why(job, base, "raise-bare", plan).children]
    assert any(text.startswith("number ") and "put in because '" in text for text in texts)
    unused = (name for name, rule in base.steps.items() if rule.enabling)
    idle = why(job, base, next(name for name in unused if name not in plan.texts), plan)
    assert "not in the order of work: no step needs what it leaves" in [
        child.text for child in idle.children
    ]


def test_a_layer_is_named_where_it_decides(job: Job) -> None:
    """A fixed answer, a changed rule, a rule of the shop's own, a withdrawn one."""
    house = rules_for(None, [LAYER])
    answers = {name: value for name, value in job.answers.items() if name not in house.fixed}
    ours = Job("x", answers)
    assert "fixed: 18" in "\n".join(lines(why(ours, house, "site.air_c")))
    changed = "\n".join(lines(why(ours, house, "final-torque")))
    assert "by Fennmoor Sidings house rules: A loose roof bolt" in changed
    assert "a rule of Fennmoor" in "\n".join(lines(why(ours, house, "house-photo")))
    assert "commissioning sheet" in why(ours, house, "check-chargers").text


def test_a_name_that_is_nowhere_is_told(job: Job, base: RuleBase) -> None:
    """With the nearest name."""
    with pytest.raises(InputError, match="named 'wash-rof'\n  Did you mean 'wash-roof'"):
        why(job, base, "wash-rof")


def test_an_id_that_several_know_is_named_with_its_kind(job: Job, base: RuleBase) -> None:
    """``kind/id`` for a rule, ``decision/option`` for an option; a slip gets the nearest name."""
    assert why(job, base, "steps/wash-roof") == why(job, base, "wash-roof")
    assert why(job, base, "mount-method/bonded_corners") == why(job, base, "bonded_corners")
    with pytest.raises(InputError, match="named 'bonded_rail'\n  Did you mean 'bonded_rails'"):
        why(job, base, "bonded_rail")
    with pytest.raises(InputError, match="Did you mean 'hazards/fall-from-height'"):
        why(job, base, "hazards/fall-from")


def test_a_name_that_two_rules_have_is_told(job: Job, base: RuleBase) -> None:
    """A decision and a material: who asks for one learns of the other, and how to name it."""
    said = [node.text for node in why(job, base, "sealant-fixing").children]
    assert said[0] == "another rule has this name too: materials/sealant-fixing"
    assert why(job, base, "materials/sealant-fixing").text.startswith("material: ")


def test_depth_cuts_the_tree(job: Job, base: RuleBase) -> None:
    """To its head and the reasons just below it."""
    node = why(job, base, "mount-method")
    assert len(list(lines(cut(node, 1)))) == 1 + len(node.children)
    assert len(list(lines(cut(node, 2)))) > 1 + len(node.children)


def test_a_figure_of_the_whole_work_comes_from_the_timetable(
    job: Job, plan: Plan, base: RuleBase
) -> None:
    """Its first and last piece of work, and the answers that the days were made by."""
    text = "\n".join(lines(why(job, base, "plan.end", plan)))
    assert "from the timetable of " in text
    last = [slot.move.task for slot in plan.timetable if slot.move.kind != "wait"][-1]
    assert plan.texts[last].title in text
    assert "[answered]  job.start" in text


def test_what_the_plan_prints_can_be_asked_for(job: Job, base: RuleBase, plan: Plan) -> None:
    """Nobody who holds a pack knows ids: a step's number, a hazard's code, words of a caution."""
    works = [slot.move for slot in plan.timetable if slot.move.kind != "wait"]
    title = plan.texts[works[32].task].title
    caution = next(one for one in plan.findings if one.severity == "caution")
    for asked, named in (("33", f"steps/{plan.texts[works[32].task].id}"), (title.upper(), None),
                         (caution.text[:30], f"findings/{caution.id}")):  # fmt: skip
        found = why(job, base, asked, plan)
        assert named is None or found == why(job, base, named, plan)
        assert (caution.text if asked in caution.text else title)[:30] in found.text
    gravest = max(plan.hazards, key=lambda one: one.before[0] * one.before[1])
    assert why(job, base, "h1", plan) == why(job, base, f"hazards/{gravest.id}", plan)
    with pytest.raises(InputError, match=r"'the roof' fits several things .*\n  Name one: "):
        why(job, base, "the roof", plan)
