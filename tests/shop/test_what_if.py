"""What if: another answer for one plan, the file as it was."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from planner import paths
from planner.errors import InputError
from planner.job.file import Job, read_job
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.shop.standard import rules_for
from planner.shop.what_if import under, what_if
from tests.shop.test_layer import LAYER

FILE = paths.DEMOS / "lifting-grp.yaml"


@pytest.fixture
def job(base: RuleBase) -> Job:
    """Return a demo job."""
    return read_job(FILE, base)


def test_answers_are_exchanged_and_the_file_is_not(job: Job, base: RuleBase) -> None:
    """Numbers, choices, yes or no, lists and 'unknown', as they would stand in the file."""
    before = FILE.read_bytes()
    given = ["panel.mass_kg=14.5", "roof.core_wet=true", "use.months=[6, 7]", "roof.finish=unknown"]
    other, dropped = what_if(job, given, base)
    assert other.answers["panel.mass_kg"] == 14.5
    assert other.answers["roof.core_wet"] is True
    assert other.answers["use.months"] == [6, 7]
    assert other.answers["roof.finish"] == "unknown"
    assert dropped == ()
    assert other.revision != job.revision
    assert FILE.read_bytes() == before


def test_what_no_longer_matters_is_left_out_and_named(job: Job, base: RuleBase) -> None:
    """A fixed roof has no hinge."""
    other, dropped = what_if(job, ["roof.moves=false", "entry.where=fixed_roof"], base)
    assert "lift.hinge" in dropped
    assert not any(name.startswith("lift.") for name in other.answers)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (["panel.mass_kg"], "--with: 'panel.mass_kg' names no value\n  Write --with panel."),
        (["panel.mas=1"], "--with: no question asks 'panel.mas'\n  Did you mean 'panel.mass_kg'?"),
        (["panel.mass_kg=heavy"], "--with panel.mass_kg: 'heavy' is not a number."),
        (["panel.mass_kg=900"], "--with panel.mass_kg: 900 kg is out of range."),
        (["roof.material=tin"], "--with roof.material: 'tin' is not a choice."),
        (["panel.mass_kg={"], "--with panel.mass_kg:2: not valid YAML"),
        (["roof.rib_pitch_mm=80"], "--with roof.rib_pitch_mm: rib spacing does not matter in"),
        (["panel.width_mm=1300"], "--with panel.length_mm: the panel (1480"),
        (["panel.mas=1", "roof.material=tin"], "--with roof.material: 'tin' is not a choice."),
    ],
)
def test_what_does_not_fit_is_told(
    job: Job, base: RuleBase, given: list[str], message: str
) -> None:
    """Every slip at once, each by the name that was given."""
    with pytest.raises(InputError) as caught:
        what_if(job, given, base)
    assert message.casefold() in str(caught.value).casefold()


def test_what_the_shop_fixed_is_not_asked_what_if(job: Job) -> None:
    """The shop's rules give this answer for every job."""
    with pytest.raises(InputError, match=r"--with site\.air_c: the shop's rules fix this at 18"):
        what_if(job, ["site.air_c=3"], rules_for(None, [LAYER]))


def test_a_job_under_other_rules_leaves_out_what_they_do_not_ask(
    job: Job, base: RuleBase
) -> None:
    """What a shop fixes; an answer outside what its question allows is refused."""
    house = rules_for(None, [LAYER])
    same, none = under(job, base)
    assert (same.answers, none) == (job.answers, ())
    theirs, left_out = under(job, house)
    assert set(left_out) == set(job.answers) & set(house.fixed)
    assert make_plan(theirs, house).facts["site.air_c"].value == 18
    with pytest.raises(InputError, match=r"panel.mass_kg: 99 kg is out of range"):
        under(replace(job, answers={**job.answers, "panel.mass_kg": 99}), house)


def test_one_answer_cannot_be_given_twice(job: Job, base: RuleBase) -> None:
    """Which of the two was meant nobody can know."""
    with pytest.raises(InputError, match=r"--with panel\.mass_kg: is given twice"):
        what_if(job, ["panel.mass_kg=12", "panel.mass_kg=13"], base)
