"""What the work pack's page saves is taken over whole, once, and only into its own job."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from planner.errors import InputError
from planner.pack import render
from planner.pack.compose import compose
from planner.pack.plan_json import plan_digest
from planner.plan.model import Plan
from planner.record.desk import RecordDesk, read_book
from planner.record.judge import limits
from planner.record.page import import_export
from planner.record.points import points
from planner.record.store import record_path
from planner.record.walk import keep_reading
from planner.rulebase.base import RuleBase

from .conftest import START, Clock, reading_of, within

AT = "2027-05-17T09:00:00.000Z"
Import = Callable[..., tuple[int, list[str]]]


@pytest.fixture
def page(plan: Plan) -> dict[str, Any]:
    """Return a page's record with nothing in it, in the form in which the page saves it."""
    return {
        "lidwork_record": 1,
        "job": plan.job["job.reference"],
        "plan": plan_digest(plan),
        "revision": plan.job["revision"],
        "saved": AT,
        "steps": {},
        "readings": {},
        "waits": {},
    }


@pytest.fixture
def take(job: Path, base: RuleBase, tmp_path: Path) -> Import:
    """Return the import of a page, given as data or as bytes."""

    def run(content: Any) -> tuple[int, list[str]]:
        path = tmp_path / "saved.json"
        said: list[str] = []
        data = content if isinstance(content, bytes) else json.dumps(content).encode()
        path.write_bytes(data)
        count = import_export(job, path, base, now=START, say=said.append)
        return count, said

    return run


def step_key(plan: Plan, name: str) -> str:
    """Return the page's name of a step."""
    point = next(one for one in points(plan) if one.key == name)
    return f"{point.number}-{name}"


def ticked(initials: str, at: str = AT) -> dict[str, Any]:
    """Return a step as the page keeps it."""
    return {"done": True, "initials": initials, "at": at}


def test_every_field_of_the_page_has_its_place_in_the_record(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """Fill in all fields of the real page: nothing is unknown, and nothing is left open."""
    html = render.html(compose(plan))
    by_name = {
        f"{one.number}-{reading.reading.id}": reading
        for one in points(plan)
        for reading in one.readings
    }
    steps, readings = (
        re.findall(rf' data-{name}="([^"]+)"', html) for name in ("step", "reading")
    )
    assert len(steps) > 100
    page["steps"] = {name: ticked("RA,JB") for name in steps}
    page["readings"] = {
        name: {"value": str(within(by_name[name])), "at": AT} for name in readings
    }
    count, said = take(page)
    assert count > 150
    assert said == []
    assert read_book(job, plan).open() == ()
    again, _ = take(page)
    assert again == 0


def test_readings_are_judged_and_moments_are_local(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """A value outside its limit is kept, and said at once; 09:00 UTC is 10:00 here."""
    with RecordDesk(job, plan, Clock()) as desk:
        point = reading_of(desk, "bench-voc")
    page["readings"] = {f"{point.number}-bench-voc": {"value": "19,1 V", "at": AT}}
    count, said = take(page)
    assert count == 1
    assert f"19.1 V is below the limit, {limits(point.reading)}" in said[0]
    entry = read_book(job, plan).now("reading", point.key)
    assert entry is not None
    assert (entry.value, entry.at) == (19.1, "2027-05-17T10:00:00+01:00")


def test_what_was_recorded_later_stands(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """An older page never hides a newer value; a newer page keeps the old value on file."""
    with RecordDesk(job, plan, Clock()) as desk:
        point = reading_of(desk, "kit-mass")
        keep_reading(desk, point, 18.0)
    name = f"{point.number}-kit-mass"
    page["readings"] = {name: {"value": "17", "at": "2027-05-17T06:00:00Z"}}
    count, said = take(page)
    assert count == 0
    assert "18 kg, recorded later, stands" in said[0]
    page["readings"] = {name: {"value": "17", "at": "2027-05-17T20:00:00Z"}}
    assert take(page)[0] == 1
    page["readings"] = {name: {"value": "", "at": "2027-05-17T21:00:00Z"}}
    assert take(page)[0] == 1
    history = read_book(job, plan).history("reading", point.key)
    assert [entry.value for entry in history] == [18.0, 17.0, None]


def test_what_was_taken_back_later_stays_taken_back(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """A page from before that, imported once more, does not bring it back in silence."""
    with RecordDesk(job, plan, Clock()) as desk:
        point = reading_of(desk, "kit-mass")
    page["readings"] = {f"{point.number}-kit-mass": {"value": "17", "at": "2027-05-17T06:00:00Z"}}
    page["steps"] = {step_key(plan, "weigh-kit"): ticked("RA", "2027-05-17T06:00:00Z")}
    assert take(page)[0] == 2
    with RecordDesk(job, plan, Clock()) as desk:
        desk.add(desk.entry("reading", point.key, None, "wrong scale"))
        desk.add(desk.entry("accept", "weigh-kit", None, "wrong scale"))
    count, said = take(page)
    assert count == 0
    assert "taken back, recorded later, stands" in said[0]
    assert "what is recorded of it stands" in said[1]
    assert read_book(job, plan).now("reading", point.key) is None


def test_initials_corrected_on_the_page_are_not_lost_in_silence(
    plan: Plan, page: dict[str, Any], take: Import
) -> None:
    """The page keeps the moment of the tick, so a second import cannot tell which came later."""
    name = step_key(plan, "sign-layout")
    page["steps"] = {name: ticked("RA, JB")}
    assert take(page) == (1, [])
    page["steps"] = {name: ticked("RB, JB")}
    count, said = take(page)
    assert count == 0
    assert "what is recorded of it stands; change it with lidwork record" in said[0]


def test_ticks_without_a_name_and_signatures_without_all_names_stay_open(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """A tick alone is nobody's word; two pairs of eyes need two names."""
    plain_step, eyes = step_key(plan, "wash-roof"), step_key(plan, "prove-polarity")
    page["steps"] = {plain_step: ticked(""), eyes: ticked("RA")}
    count, said = take(page)
    assert count == 0
    assert "ticked without initials, not taken over" in said[0]
    assert "write both names" in said[1].lower()
    page["steps"] = {eyes: ticked("RA+JB")}
    assert take(page)[0] == 1
    signed = read_book(job, plan).now("sign", "prove-polarity")
    assert signed is not None
    assert signed.value == "RA, JB"
    page["steps"] = {eyes: {"done": False, "initials": "RA+JB", "at": "2027-05-17T21:00:00Z"}}
    assert take(page)[0] == 1
    assert read_book(job, plan).now("sign", "prove-polarity") is None


def test_all_faults_are_said_together_and_nothing_is_added(
    plan: Plan, page: dict[str, Any], take: Import, job: Path
) -> None:
    """One wrong value keeps out the whole file; each wrong thing is named."""
    with RecordDesk(job, plan, Clock()) as desk:
        mass, height = (reading_of(desk, name).number for name in ("kit-mass", "height-before"))
    page["readings"] = {
        f"{mass}-kit-mass": {"value": "heavy", "at": AT},
        f"{height}-height-before": {"value": "1,995", "at": AT},
        "6-roof-thickness": {"value": "4.2", "at": "yesterday"},
        "9999-nothing": {"value": "1", "at": AT},
    }
    page["steps"] = {
        "1-no-such-step": ticked("RA"),
        step_key(plan, "wash-roof"): {"done": "yes", "initials": "RA", "at": AT},
        step_key(plan, "mark-datum"): ["RA"],
        step_key(plan, "dry-fit"): {**ticked("RA"), "at": "2027-05-17T09:00:00"},
        step_key(plan, "mark-holes"): {**ticked("RA"), "at": "0001-01-01T00:00:00Z"},
    }
    with pytest.raises(InputError) as error:
        take(page)
    assert len(error.value.faults) == 9
    message = str(error.value)
    for what in ('"heavy" is not a number', '"1,995" reads two ways', "its moment is dam",
                 "no such reading", "no such step", "its 'done' is damaged"):
        assert what in message
    assert not record_path(job).exists()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"revision": "00000000", "job": "Another van"}, "another plan: job 'Another van'"),
        ({"plan": "000000000000"}, "this page belongs to another plan"),
        ({"lidwork_record": 2}, "has format 2, not 1"),
        ({"steps": []}, "the file is damaged"),
    ],
)
def test_a_page_of_another_job_or_plan_is_refused(
    page: dict[str, Any], take: Import, job: Path, change: dict[str, Any], message: str
) -> None:
    """Readings never go into the wrong van's papers."""
    with pytest.raises(InputError, match=message):
        take({**page, **change})
    assert not record_path(job).exists()


@pytest.mark.parametrize(
    "content", [b"", b"\xff\xd8", b"[]", b'{"a": 1}', b"{" * 99, b"[" * 99_999]
)
def test_something_else_is_no_page(take: Import, content: bytes) -> None:
    """A photograph, a torn file, another JSON file."""
    with pytest.raises(InputError, match=r"not the file that|not a record saved"):
        take(content)


def test_a_missing_and_a_huge_file(job: Path, base: RuleBase, tmp_path: Path) -> None:
    """Both are said in one message."""
    big = tmp_path / "big.json"
    big.write_bytes(b" " * 5_000_001)
    for path, message in ((tmp_path / "none.json", "No such file"), (big, "over 5000 kB")):
        with pytest.raises(InputError, match=message):
            import_export(job, path, base, now=START, say=print)


def test_a_record_of_an_earlier_plan_takes_nothing_over(
    job: Path, plan: Plan, page: dict[str, Any], take: Import
) -> None:
    """The page fits the job, but the record was kept for another plan."""
    other = replace(plan, job={**plan.job, "revision": "00000000"})
    with RecordDesk(job, other, Clock()) as desk:
        desk.add(desk.entry("note", "a", "b"))
    before = record_path(job).read_bytes()
    with pytest.raises(InputError, match="made for another plan"):
        take(page)
    assert record_path(job).read_bytes() == before
