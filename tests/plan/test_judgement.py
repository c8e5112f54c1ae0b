"""Deciding, selecting and reviewing, on a handful of invented rules."""

from __future__ import annotations

from typing import Any

import pytest

from planner.ledger import Ledger, Origin, Provider
from planner.plan.decide import decide
from planner.plan.review import findings, open_points, verdict
from planner.plan.select import select, texts
from planner.rulebase.base import RuleBase
from planner.rulebase.model import (
    BaseRule,
    DecisionRule,
    FactRule,
    FindingRule,
    PhaseRule,
    Question,
    StateRule,
    StepRule,
)

WORDS = {"because": "It is so.", "source": "common practice"}
MOUNT = DecisionRule.model_validate(
    {
        "id": "mount", "gives": "mount.method", "label": "mount", "wanted": "mount.wanted",
        "if_none": "Choose another panel.", **WORDS,
        "options": [
            {
                "id": "bolts", "label": "bolts",
                "ruled_out": [{"when": {"roof.holes": False}, "says": "No holes are wanted."}],
                "reasons": [{"says": "Proved.", "points": 2}],
            },
            {
                "id": "glue", "label": "glue",
                "ruled_out": [{"when": {"roof.wax": True}, "says": "The roof is waxed."}],
                "reasons": [
                    {"says": "No holes.", "points": 1},
                    {"when": {"roof.cold": True}, "says": "It is cold.", "points": -3},
                ],
            },
        ],
    }
)  # fmt: skip
BASE = RuleBase(
    BaseRule(name="invented", version="1", date="2026-01-01"), decisions={"mount": MOUNT}
)


def ledger(**facts: Any) -> Ledger:
    """Return a ledger of plain facts; double underscores stand for dots."""
    named = {name.replace("__", "."): value for name, value in facts.items()}
    return Ledger([Provider(tuple(named), Origin.ANSWERED, lambda _: named)], {})


def roof(
    *, wanted: str = "advise", holes: bool = True, wax: bool = False, cold: bool = False
) -> Ledger:
    """Return the facts that the mount decision reads."""
    return ledger(
        mount__wanted=wanted, roof__holes=holes, roof__wax=wax, roof__cold=cold, work__pace=1
    )


def test_the_option_with_most_points_is_chosen_with_reasons_for_every_option() -> None:
    """Each option keeps its reasons, chosen or not."""
    result = decide(MOUNT, roof(cold=True), BASE)
    assert result.chosen == "bolts"
    assert [option.verdict for option in result.options] == ["chosen", "possible"]
    assert result.options[1].reasons == ("For: No holes.", "Against: It is cold.")


def test_a_wish_wins_where_no_veto_stands_against_it() -> None:
    """The fitter's own choice counts more than points."""
    result = decide(MOUNT, roof(wanted="glue"), BASE)
    assert (result.chosen, result.overruled) == ("glue", "")
    assert "you asked for it" in result.options[1].reasons[0]


def test_a_wish_that_is_ruled_out_is_said_and_stops_the_job() -> None:
    """The plan shows what is possible, but work does not start on it unasked."""
    facts = roof(wanted="glue", wax=True)
    result = decide(MOUNT, facts, BASE)
    assert result.chosen == "bolts"
    assert "glue was asked for but is ruled out: The roof is waxed." in result.overruled
    (stop,) = findings(facts, BASE, [result])
    assert (stop.severity, stop.id) == ("stop", "mount-wish")


def test_no_option_left_is_a_stop_that_says_what_to_change() -> None:
    """Every veto is repeated, with the cure."""
    facts = roof(holes=False, wax=True)
    result = decide(MOUNT, facts, BASE)
    assert result.chosen is None
    (stop,) = findings(facts, BASE, [result])
    assert "No holes are wanted." in stop.text
    assert stop.cure == "Choose another panel."
    assert verdict([stop], []).state == "do_not_start"


def test_findings_come_the_gravest_first_and_stops_make_the_verdict() -> None:
    """A note never hides a stop."""
    rules = {
        name: FindingRule.model_validate(
            {"id": name, "severity": name, "when": {"roof.cold": True}, "says": name, **WORDS}
        )
        for name in ("note", "stop", "caution")
    }
    base = RuleBase(BASE.base, findings=rules)
    found = findings(roof(cold=True), base, [])
    assert [one.severity for one in found] == ["stop", "caution", "note"]
    assert verdict(found, []).why == ("stop",)
    assert verdict(found[1:], []).state == "no_stop_found"
    assert findings(roof(), base, []) == ()


def question(**more: Any) -> Question:
    """Return an invented question."""
    plain = {
        "fact": "panel.mass_kg", "label": "mass", "kind": "number", "unit": "kg", "section": "x",
        "ask": "How heavy?", "why": "It hangs.", "measure": "Weigh it.",
    }  # fmt: skip
    return Question.model_validate(plain | more)


@pytest.mark.parametrize(
    ("unknown", "state", "value", "outcome"),
    [
        ({"assume": 12}, "assumed", "12\N{NO-BREAK SPACE}kg", "no_stop_found"),
        ({"assume": {"low": 8, "high": 14}}, "assumed", "8 to 14 kg", "no_stop_found"),
        ({"suppose": 12}, "supposed", "12\N{NO-BREAK SPACE}kg", "not_yet"),
        ({"assume": "not known"}, "assumed", "not known", "no_stop_found"),
    ],
)
def test_what_is_not_measured_is_an_open_point(
    unknown: dict[str, Any], state: str, value: str, outcome: str
) -> None:
    """An assumption is listed; a supposition also holds the verdict at not yet."""
    from planner.job.answers import answers_ledger  # noqa: PLC0415

    asked = question(unknown=unknown)
    base = RuleBase(BASE.base, questions={asked.fact: asked})
    (point,) = open_points(answers_ledger(base, {}), base, {})
    assert (point.state, point.value, point.measure) == (state, value, "Weigh it.")
    assert verdict([], [point]).state == outcome
    assert open_points(answers_ledger(base, {asked.fact: 11}), base, {asked.fact: 11}) == ()


def step(name: str, **more: Any) -> StepRule:
    """Return an invented step."""
    plain = {"id": name, "phase": "work", "title": name, "minutes": 10, "lines": ["Do it."]}
    return StepRule.model_validate(plain | WORDS | more)


def rules_of(*steps: StepRule) -> RuleBase:
    """Return a rule base with these steps and one state."""
    state = StateRule.model_validate(
        {
            "id": "roof", "label": "Roof", "values": {"fixed": "fixed", "shut": "shut"},
            "initial_if": [{"when": {"roof.cold": True}, "value": "shut"}],
            "changes": [{"value": "fixed", "becomes": "shut", "after_h": "roof.hours"}],
        }
    )  # fmt: skip
    shape = FactRule.model_validate(
        {"fact": "roof.hours", "label": "hours", "kind": "number", "unit": "h"}
    )
    return RuleBase(
        BASE.base,
        facts={"roof.hours": shape},
        phases={"work": PhaseRule(id="work", title="Work")},
        states={"roof": state},
        steps={one.id: one for one in steps},
    )


def test_a_step_that_is_not_selected_passes_its_predecessors_on() -> None:
    """Order survives when a step in the middle does not apply."""
    base = rules_of(
        step("first"),
        step("middle", after="first", when={"roof.wax": True}),
        step("last", after="middle"),
    )
    facts = ledger(roof__wax=False, roof__cold=False, roof__hours=None, work__pace=1)
    chosen = select(facts, base)
    assert chosen.tasks["last"].after == {"first"}
    assert chosen.not_needed == (("middle", "only when “roof.wax” is True"),)


def test_conditional_needs_narrow_and_minutes_follow_the_counted_fact() -> None:
    """Needs under a condition can only make a need stricter; time grows per hole."""
    base = rules_of(
        step(
            "drill",
            needs={"roof": ["fixed", "shut"]},
            needs_if=[{"when": {"roof.cold": True}, "states": {"roof": "shut"}}],
            minutes={"base": 5, "each": 2, "of": "roof.hours"},
            lines=["Wait {roof.hours}.", {"say": "Warm it.", "when": {"roof.cold": True}}],
        )
    )
    facts = ledger(roof__cold=True, roof__hours=6, work__pace=1.5)
    chosen = select(facts, base)
    assert chosen.tasks["drill"].needs == {"roof": {"shut"}}
    assert chosen.tasks["drill"].minutes == round((5 + 2 * 6) * 1.5)
    assert chosen.variables["roof"].initial == "shut"
    assert chosen.variables["roof"].clocks[0].hours == 6
    assert texts(["drill"], facts, base)["drill"].lines == (
        "Wait 6\N{NO-BREAK SPACE}h.",
        "Warm it.",
    )
