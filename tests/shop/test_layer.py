"""The sample layer of an invented workshop on the real rules, from check to plan."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from planner import paths
from planner.job.file import Job, read_job
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in
from planner.shop.standard import faults_of, rules_for
from planner.survey.flow import to_ask

LAYER = Path(__file__).parent / "layer"
STEEL = paths.DEMOS / "high-roof-steel.yaml"


@pytest.fixture(scope="module")
def house() -> RuleBase:
    """Return the built-in rules under the sample layer."""
    return rules_for(None, [LAYER])


@pytest.fixture(scope="module")
def answers(house: RuleBase) -> Mapping[str, Any]:
    """Return a demo's answers without those that the workshop gives."""
    given = read_job(STEEL, built_in()).answers
    return {name: value for name, value in given.items() if name not in house.fixed}


@pytest.fixture(scope="module")
def plan(house: RuleBase, answers: Mapping[str, Any]) -> Plan:
    """Return the demo's plan as the workshop does it."""
    return make_plan(Job("steel", answers), house)


def test_the_layer_is_sound() -> None:
    """No fault of any kind under the whole check."""
    assert [str(fault) for fault in faults_of([LAYER])[1]] == []


def test_ten_answers_are_fixed_and_not_asked(house: RuleBase) -> None:
    """They are facts of every job, and no question asks them."""
    assert len(house.fixed) == 10
    asked = {question.fact for question in to_ask(house, {}, first_pass=False)}
    assert not asked & set(house.fixed)
    assert set(house.fixed) <= {q.fact for q in to_ask(built_in(), {}, first_pass=False)}


def test_fixed_answers_are_the_facts_of_the_plan(plan: Plan) -> None:
    """What the workshop fixed is what was calculated with."""
    assert plan.facts["site.air_c"].value == 18
    assert plan.facts["site.indoors"].value is True
    assert plan.facts["job.crew"].origin == "answered"


def test_two_more_hold_points_one_step_less_and_one_of_its_own(plan: Plan) -> None:
    """Against the same job by the built-in rules."""
    before = make_plan(read_job(STEEL, built_in()), built_in())
    held = {name for name, task in plan.tasks.items() if task.hold}
    was_held = {name for name, task in before.tasks.items() if task.hold}
    assert held - was_held == {"try-isolator"}  # this demo has no roof bolts to bring to torque
    assert "check-chargers" in before.tasks
    assert "check-chargers" not in plan.tasks
    done = [slot.move.task for slot in plan.timetable]
    assert done.index("drive-full") < done.index("house-photo")


def test_a_bolted_job_holds_at_the_final_torque(house: RuleBase) -> None:
    """The second hold point, where there are bolts; its line is filled and its paint is bought."""
    lifting = read_job(paths.DEMOS / "lifting-grp.yaml", built_in()).answers
    given = {name: value for name, value in lifting.items() if name not in house.fixed}
    plan = make_plan(Job("lifting", given), house)
    assert plan.tasks["final-torque"].hold
    assert any(line.startswith("Paint a stripe") for line in plan.texts["final-torque"].lines)
    assert plan.texts["final-torque"].sign == "Second fitter"
    paint = next(item for item in plan.materials if item.id == "seal-paint")
    assert (paint.part_number, paint.price, paint.cost) == ("FS-0009", 4.9, 4.9)


def test_products_have_part_numbers_and_prices(plan: Plan) -> None:
    """The price of a line is the price of one times what is needed, spare included."""
    cable = next(item for item in plan.materials if item.id == "pv-cable")
    assert cable.part_number == "FS-0061"
    assert cable.quantity is not None
    assert cable.cost == pytest.approx(cable.quantity * 2.2, abs=0.005)


def test_every_departure_stands_in_the_plan_with_its_reason(plan: Plan) -> None:
    """A changed or withdrawn rule is never silent."""
    said = {one.rule: (one.what, one.because) for one in plan.departures}
    assert said["steps/check-chargers"] == (
        "withdrawn",
        "It stands on the commissioning sheet that goes with every van of ours.",
    )
    assert said["answers/site.air_c"] == ("fixed: 18\N{NO-BREAK SPACE}°C", "The bay is heated.")
    assert said["steps/try-isolator"][0] == "changed: more hold"
    assert {one.layer for one in plan.departures} == {"Fennmoor Sidings house rules"}


def test_the_plan_carries_layers_and_what_the_house_puts_on_its_packs(plan: Plan) -> None:
    """Name, version, day and approver; who signs; the picture inside the plan itself."""
    layer = plan.layers[1]
    assert (layer.name, layer.version, layer.date) == (
        "Fennmoor Sidings house rules",
        "2.3.0",
        "2027-02-01",
    )
    assert layer.approved_by.startswith("the workshop's planner")
    assert plan.house.sign_off == ("Fitter", "Second fitter", "Whoever hands over")
    assert plan.house.logo.startswith("data:image/svg+xml;base64,")
    assert plan.house.currency == "EUR"


def test_the_same_job_by_the_same_layers_is_the_same_plan(
    house: RuleBase, answers: Mapping[str, Any], plan: Plan
) -> None:
    """Loaded again and planned again, nothing differs."""
    assert make_plan(Job("steel", answers), rules_for(None, [LAYER])) == plan
    assert house.layers == rules_for(None, [LAYER]).layers
