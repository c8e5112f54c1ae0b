"""When a job may be closed, what counts as signed, and that old values stay."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from msgspec.structs import replace

from planner.errors import InputError
from planner.pack.facts import Facts
from planner.plan.model import Plan
from planner.record.as_built import as_built
from planner.record.book import Book
from planner.record.built import Built
from planner.record.changes import summary
from planner.record.desk import RecordDesk, read_book
from planner.record.judge import limits
from planner.record.model import Entry, PlanId, stamp
from planner.record.points import points, seal
from planner.record.walk import excuse, keep_reading

from .conftest import START, Clock, agree, reading_of, record_all


def is_closed(desk: RecordDesk) -> bool:
    """Whether the job is closed now."""
    return desk.book.closed is not None


def test_everything_recorded_leaves_nothing_open(desk: RecordDesk) -> None:
    """Only then may the job be closed, and any entry after that opens it again."""
    assert len(desk.book.open()) > 100
    record_all(desk)
    assert desk.book.open() == ()
    assert not is_closed(desk)
    desk.add(desk.entry("close", "job", "R. Alder"))
    assert is_closed(desk)
    desk.add(desk.entry("note", "anything", "else"))
    assert not is_closed(desk)


def test_each_single_thing_left_out_keeps_the_job_open(desk: RecordDesk) -> None:
    """Leave out any one acceptance, signature or reading: exactly that one is named."""
    record_all(desk)
    entries = desk.book.entries
    keys = {one.key for one in entries if one.kind in ("accept", "sign", "reading")}
    assert len(keys) > 150
    for key in keys:
        without = Book(desk.points, tuple(one for one in entries if one.key != key))
        assert [matter.key for matter in without.open()] == [key]


def test_a_waiver_with_a_reason_does_too(desk: RecordDesk) -> None:
    """A step or a reading may be waived; taken back, it is open again."""
    step, reading = desk.points[5].key, reading_of(desk, "kit-mass").key
    record_all(desk, leave_out=lambda key: key in (step, reading))
    assert {matter.key for matter in desk.book.open()} == {step, reading}
    for key in (step, reading):
        desk.add(desk.entry("waive", key, True, "the owner agreed"))
    assert desk.book.open() == ()
    desk.add(desk.entry("waive", step, None, "agreed no longer"))
    assert [matter.key for matter in desk.book.open()] == [step]


def test_not_right_is_not_accepted(desk: RecordDesk) -> None:
    """A step that was looked at and found wrong stays open, with what was wrong."""
    record_all(desk)
    desk.add(desk.entry("accept", "wash-roof", False, "grit at the rear edge"))
    (matter,) = desk.book.open()
    assert matter.what == "not right: grit at the rear edge"


def test_a_reading_outside_needs_a_reason_for_that_very_value(desk: RecordDesk) -> None:
    """The reason covers the value it was given for, not the next one."""
    record_all(desk)
    point = reading_of(desk, "bench-voc")
    keep_reading(desk, point, 19.1)
    assert [matter.key for matter in desk.book.open()] == [point.key]
    assert f"19.1 V is below the limit, {limits(point.reading)}" in desk.book.open()[0].what
    excuse(desk, point, 19.1, "the light was weak")
    assert desk.book.open() == ()
    keep_reading(desk, point, 18.0)
    assert [matter.key for matter in desk.book.open()] == [point.key]


def test_a_changed_value_keeps_the_old_one_on_file_and_on_paper(
    desk: RecordDesk, plan: Plan
) -> None:
    """Nothing is overwritten: both values stand in the file and in the as-built record."""
    point = reading_of(desk, "kit-mass")
    for value in (19.9, 18.6):
        keep_reading(desk, point, value)
    now = desk.book.now("reading", point.key)
    assert now is not None
    assert now.value == 18.6
    assert [one.value for one in desk.book.history("reading", point.key)] == [19.9, 18.6]
    changed = as_built(Built(Facts(plan.facts), desk.book))["changed"]
    what = [(row[1], row[2]) for row in changed.rows]
    assert what == [("reading: Added mass as weighed", "19.9 kg")]


def test_a_signature_is_for_what_the_step_said(desk: RecordDesk, plan: Plan) -> None:
    """After planning anew, only steps that read differently are to be agreed to again."""
    record_all(desk)
    text = plan.texts["drill-pilots"]
    changed = replace(plan, texts={**plan.texts, text.id: replace(text, accept="Otherwise.")})
    assert seal(changed.texts[text.id]) != seal(text)
    (matter,) = Book(points(changed), desk.book.entries).open()
    assert matter.key == "drill-pilots"
    assert "the step reads differently since 17\xa0May\xa02027" in matter.what


def test_an_owner_who_does_the_work_signs_once(plan: Plan) -> None:
    """Owner and fitter are one person in a self-build; a second pair of eyes is another."""
    needed = {point.key: point.names_needed for point in points(plan)}
    assert (needed["sign-layout"], needed["prove-polarity"], needed["check-pilots"]) == (1, 2, 1)
    shop = replace(plan, job={**plan.job, "job.doer": "shop"})
    needed = {point.key: point.names_needed for point in points(shop)}
    assert (needed["sign-layout"], needed["prove-polarity"], needed["check-pilots"]) == (2, 2, 1)


def test_a_step_that_comes_again_is_recorded_each_time(plan: Plan) -> None:
    """The panel goes up more than once: each time has a place of its own."""
    keys = [point.key for point in points(plan)]
    assert len(keys) == len(set(keys))
    assert {"panel-up", "panel-up/2"} <= set(keys)


def test_a_record_of_another_plan_is_said_plainly(
    desk: RecordDesk, job: Path, plan: Plan
) -> None:
    """Other answers or other rules: nothing is handed over until somebody looked."""
    agree(desk, desk.points[0])
    assert read_book(job, plan).entries
    other = replace(plan, job={**plan.job, "revision": "00000000", "job.reference": "Another"})
    with pytest.raises(InputError) as error:
        read_book(job, other)
    for said in ("made for another plan: revision", "of the answers, now 00000000",
                 "the job 'Invented for demonstration", "now 'Another'"):
        assert said in str(error.value)


def test_carried_on_with_a_reason_it_belongs_to_the_new_plan(job: Path, plan: Plan) -> None:
    """The change of plan is itself on file."""
    with RecordDesk(job, plan, Clock()) as old:
        agree(old, old.points[0])
    other = replace(plan, job={**plan.job, "revision": "00000000"})
    with RecordDesk(job, other, Clock()) as new:
        assert new.book.plan == PlanId.of(plan)
        new.carry_on("skin measured")
    whys = [one.why for one in read_book(job, other).history_of("plan")]
    assert whys == ["begun", "skin measured"]


def test_two_people_cannot_write_one_record(desk: RecordDesk, job: Path, plan: Plan) -> None:
    """The second is told, and nothing is changed."""
    second = RecordDesk(job, plan, Clock())
    with pytest.raises(InputError, match=r"open elsewhere: .* process"), second:
        pass
    assert (job.parent / f".{desk.path.name}.holder").exists(), "the first still holds it"
    assert desk.book.entries == ()


def test_no_record_is_said_with_the_way_to_begin(job: Path, plan: Plan) -> None:
    """An empty handover is never written."""
    with pytest.raises(InputError, match="nothing is recorded for this job yet"):
        read_book(job, plan)


def test_a_moment_without_offset_is_our_own_fault(job: Path, plan: Plan) -> None:
    """Two clocks could not be compared."""
    with (
        RecordDesk(job, plan, lambda: START.replace(tzinfo=None)) as desk,
        pytest.raises(ValueError, match="needs its offset"),
    ):
        agree(desk, desk.points[0])


def test_a_name_with_a_full_stop_ends_the_sentence_once(desk: RecordDesk) -> None:
    """'Closed ... by R. A.; new entries' and not 'R. A..'."""
    record_all(desk)
    desk.add(desk.entry("close", "job", "R. A."))
    assert summary(desk.book).endswith("by R. A; new entries open it again.")


def test_a_record_of_thousands_of_changes_is_read_at_once(plan: Plan) -> None:
    """One reading written anew 60,000 times: looked up in well under a second, not in minutes."""
    key = next(one.key for point in points(plan) for one in point.readings)
    entry = Entry("reading", key, 1.0, stamp(Clock()()), "R. Alder")
    begun = time.perf_counter()
    book = Book(points(plan), (entry,) * 60_000)
    assert book.now("reading", key) == entry
    assert time.perf_counter() - begun < 2
