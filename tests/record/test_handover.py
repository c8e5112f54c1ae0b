"""The papers of a finished job: complete, inert, the same each time, all of them or none."""

from __future__ import annotations

import io
import shutil
from calendar import monthrange
from collections.abc import Mapping
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from planner import folder, paths
from planner.errors import InputError
from planner.pack.facts import Facts
from planner.plan.model import Plan
from planner.record import extras, photos
from planner.record.as_built import as_built
from planner.record.book import Book
from planner.record.built import MEASURED, Built, height_words, months_after
from planner.record.desk import RecordDesk, plan_of
from planner.record.handover import FILES, documents, write_handover
from planner.record.model import Kind, Plain
from planner.record.points import points
from planner.record.walk import keep_reading
from planner.rulebase.base import RuleBase

from .conftest import JPEG, Clock, reading_of, record_all

HOSTILE = '<script>alert(1)</script>"><img src=x onerror=alert(1)>{{7*7}}\u202e</style></td>'


def contents(path: Path) -> dict[str, bytes]:
    """Return every file below a folder."""
    return {str(p.relative_to(path)): p.read_bytes() for p in path.rglob("*") if p.is_file()}


def words(pdf: bytes) -> str:
    """Return the text of a PDF, its white space made even."""
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def closed(desk: RecordDesk) -> None:
    """Record everything and close the job."""
    record_all(desk)
    keep_reading(desk, reading_of(desk, "height-after"), 2006)
    desk.add(desk.entry("note", extras.ASK, "the workshop at Fennmoor Sidings"))
    desk.add(desk.entry("note", extras.FUSE_PLACE, "behind the step"))
    desk.add(desk.entry("deviation", "deviation-1", "box moved 40 mm", "a stiffener"))
    desk.add(desk.entry("close", "job", "R. Alder"))


def test_no_word_of_the_owners_figures_is_broken(desk: RecordDesk, plan: Plan) -> None:
    """Two narrow columns in half a page broke "14.2 V planned" into "planne" and "d"."""
    text = words(documents(plan, desk.book)["handover.pdf"])
    assert text.count(" V planned") == 2


def test_a_closed_job_gives_all_papers_and_the_same_bytes_again(
    desk: RecordDesk, job: Path, base: RuleBase, tmp_path: Path
) -> None:
    """No clock and no chance inside; an earlier handover is replaced."""
    (tmp_path / "bead.jpg").write_bytes(JPEG)
    kept = photos.keep(job, tmp_path / "bead.jpg", 1, "fit-entry")
    more = {"file": kept.file, "sha256": kept.sha256, "step": "fit-entry"}
    desk.add(desk.entry("photo", kept.file, "the bead", more=more))
    closed(desk)
    said: list[str] = []
    done = write_handover(job, tmp_path / "papers", base, progress=said.append)
    assert (done.open, done.closed) == ((), True)
    assert [path.name for path in done.files] == [*FILES, kept.file]
    first = contents(tmp_path / "papers")
    named = first["as-built.html"].decode().replace("<wbr>", "")
    assert kept.sha256 in named
    assert kept.file in named
    assert first[kept.file] == JPEG
    write_handover(job, tmp_path / "papers", base)
    assert contents(tmp_path / "papers") == first
    assert said


def test_the_owner_reads_what_was_built_and_when_to_look(desk: RecordDesk, plan: Plan) -> None:
    """Measured height, fuse and its place, order of switching, days of the checks, whom to ask."""
    closed(desk)
    text = words(documents(plan, desk.book)["handover.pdf"])
    for said in (
        "Closed on 17 May 2027",
        "2.01 m · 6 ft 7 in",
        "Off: panel first, battery last",
        f"Solar fuse at the battery {plan.facts['fuse.rating_a'].text.replace(chr(160), ' ')}",
        "behind the step",
        "17 Aug 2027",
        "17 May 2028",
        "Every month on the road",
        "Every year, better before winter",
        "the workshop at Fennmoor Sidings",
        "box moved 40 mm",
        "never an approval",
    ):
        assert said in text, said


def test_only_an_owner_of_a_lifting_roof_reads_of_props_and_struts(
    desk: RecordDesk, plan: Plan, base: RuleBase, tmp_path: Path
) -> None:
    """What is not on the van is not on its sheet: common practice, no source."""
    job = Path(shutil.copy(paths.DEMOS / "high-roof-steel.yaml", tmp_path / "fixed.yaml"))
    steel = plan_of(job, base)
    with RecordDesk(job, steel, Clock()) as other:
        fixed = words(documents(steel, other.book)["handover.pdf"])
    lifting = words(documents(plan, desk.book)["handover.pdf"])
    for said in ("raised roof", "does not latch", "struts"):
        assert said in lifting
        assert said not in fixed


def test_the_shop_reads_plan_against_built(desk: RecordDesk, plan: Plan) -> None:
    """Planned, built, difference; every name; every old value."""
    keep_reading(desk, reading_of(desk, "height-after"), 2100)
    closed(desk)
    text = words(documents(plan, desk.book)["as-built.pdf"])
    for said in ("2006 mm", "11 mm", "HOLD: Sign the layout", "R. Alder, J. Birch", "2100 mm"):
        assert said in text, said


def test_the_difference_is_that_of_the_figures_as_printed(desk: RecordDesk, plan: Plan) -> None:
    """By hand: 19.1 kg planned and 19.1 kg built differ by nothing, whatever was rounded off."""
    point = reading_of(desk, "kit-mass")
    built = Built(Facts(plan.facts), desk.book)
    planned = float(built.facts.text("mass.added_kg").split("\N{NO-BREAK SPACE}")[0])
    assert planned != built.planned("mass.added_kg"), "no longer rounded: choose another figure"
    keep_reading(desk, point, planned)
    rows = as_built(Built(Facts(plan.facts), desk.book))["against"].rows
    row = next(row for row in rows if row[0].startswith("Mass added"))
    assert row[3] == "0 kg"


def test_labels_carry_height_fuse_and_both_ends_of_each_cable(
    desk: RecordDesk, plan: Plan
) -> None:
    """An unmeasured height says so; both cables have both poles at each end."""
    text = words(documents(plan, desk.book)["labels.pdf"])
    assert "Planned, not measured" in text
    for name in ("SOLAR", "BATTERY"):
        for pole in ("+", "\N{MINUS SIGN}"):
            assert f"{name} {pole}" in text
    closed(desk)
    assert "Planned, not measured" not in words(documents(plan, desk.book)["labels.pdf"])


@pytest.mark.parametrize("slip_mm", [10, 205, 20060, "tall"])
def test_a_slip_of_the_pen_does_not_come_onto_the_height_label(
    slip_mm: float | str, desk: RecordDesk, plan: Plan
) -> None:
    """A height written down in other units, or a nought short, is no height to drive by."""
    point = reading_of(desk, "height-after")
    desk.add(desk.entry("reading", point.key, slip_mm, more={"unit": "mm"}))
    text = words(documents(plan, desk.book)["labels.pdf"])
    assert "Planned, not measured" in text
    assert height_words(plan.facts["height.new_mm"].value, "both").partition(" · ")[0] in text


def test_an_open_job_says_so_first_and_names_what_is_open(
    desk: RecordDesk, job: Path, base: RuleBase, tmp_path: Path
) -> None:
    """Papers can be printed to be signed, but nobody can take them for finished."""
    record_all(desk, leave_out=lambda key: key == "hand-over")
    done = write_handover(job, tmp_path / "papers", base)
    assert [matter.key for matter in done.open] == ["hand-over"]
    assert not done.closed
    html = (tmp_path / "papers" / "handover.html").read_text(encoding="utf-8")
    assert "only the hand-over itself is still to be signed" in html
    desk.add(desk.entry("accept", "wash-roof", None, "looked again"))
    write_handover(job, tmp_path / "papers", base)
    html = (tmp_path / "papers" / "handover.html").read_text(encoding="utf-8")
    assert "NOT CLOSED: 2 things are open" in html


def test_a_close_that_something_open_belies_does_not_count(desk: RecordDesk) -> None:
    """A record changed by hand cannot close a job."""
    desk.add(desk.entry("close", "job", "R. Alder"))
    assert desk.book.closed is None


class Tags(HTMLParser):
    """Collects the tags and attributes that a browser would see."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Remember every tag and attribute."""
        self.found.append(tag)
        self.found += [name for name, _ in attrs]


def acting(files: Mapping[str, bytes]) -> set[str]:
    """Return the tags and attributes of all HTML files that could load or run anything."""
    tags = Tags()
    for name, content in files.items():
        if name.endswith(".html"):
            tags.feed(content.decode())
    loads = {"script", "img", "iframe", "object", "link", "form", "src", "href"}
    return {one for one in tags.found if one in loads or one.startswith("on")}


def test_hostile_texts_stay_texts(desk: RecordDesk, plan: Plan) -> None:
    """Whatever is typed in job, rules or record is shown as it is and does nothing."""
    texts = {
        name: replace(text, title=HOSTILE, accept=HOSTILE)
        for name, text in plan.texts.items()
    }
    job = {**plan.job, "job.reference": HOSTILE, "job.vehicle": HOSTILE}
    hostile = replace(plan, texts=texts, job=job)
    record_all(desk)
    kinds: tuple[Kind, ...] = ("note", "deviation", "photo", "waive")
    for kind in kinds:
        more: dict[str, Plain] = {"file": HOSTILE, "sha256": HOSTILE, "step": HOSTILE}
        desk.add(desk.entry(kind, HOSTILE, HOSTILE, HOSTILE, more))
    desk.by = HOSTILE
    desk.add(desk.entry("reading", desk.points[5].readings[0].key, HOSTILE))
    files = documents(hostile, Book(points(hostile), desk.book.entries))
    assert acting(files) == set()
    shown = files["as-built.html"].decode().replace("\u200b", "")  # where long words may break
    assert "&lt;script&gt;alert(1)" in shown
    assert "{{7*7}}" in shown
    assert "\u202e" not in shown


def test_a_folder_with_other_things_is_left_alone(
    desk: RecordDesk, job: Path, base: RuleBase, tmp_path: Path
) -> None:
    """Nothing of anybody else's is touched."""
    record_all(desk)
    out = tmp_path / "mine"
    out.mkdir()
    (out / "tax.pdf").write_text("mine")
    with pytest.raises(InputError, match=r"holds other things, such as 'tax\.pdf'"):
        write_handover(job, out, base)
    assert contents(out) == {"tax.pdf": b"mine"}
    (tmp_path / "link").symlink_to(out)
    with pytest.raises(InputError, match="a link stands where"):
        write_handover(job, tmp_path / "link", base)


def test_a_failure_on_the_way_leaves_the_old_papers_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All or nothing, and nothing left behind."""
    folder.put(tmp_path / "out", {"a": b"1", "b": b"2"}, {"a", "b"}.__contains__)
    before = contents(tmp_path)

    def full(_path: Path, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(InputError, match="No space left on device; nothing was written"):
        folder.put(tmp_path / "out", {"a": b"3", "b": b"4"}, {"a", "b"}.__contains__)
    monkeypatch.undo()
    assert contents(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_missing_photograph_writes_nothing(
    desk: RecordDesk, job: Path, base: RuleBase, tmp_path: Path
) -> None:
    """The papers are whole or they are not written."""
    more = {"file": "001-bead.jpg", "sha256": "0" * 64}
    desk.add(desk.entry("photo", "001-bead.jpg", "bead", more=more))
    with pytest.raises(InputError, match="no such photograph"):
        write_handover(job, tmp_path / "papers", base)
    assert not (tmp_path / "papers").exists()


def test_the_readings_that_papers_name_are_in_the_rules(base: RuleBase) -> None:
    """A reading that is renamed in the rules must not silently vanish from the papers."""
    known = {reading.id for step in base.steps.values() for reading in step.readings}
    assert set(MEASURED.values()) <= known
    assert {"force-open-before", "force-open-after"} <= known
    assert "hand-over" in base.steps


@given(st.floats(1500, 4500))
def test_the_label_is_never_below_the_height_and_little_above(height_mm: float) -> None:
    """A height notice may not show less than the height, nor more than 150 mm above it.

    Source: Road Vehicles (Construction and Use) Regulations 1986 (GB), regulation 10, height
    notices in feet and inches or metres: from memory, confirm before use.
    """
    metres, _, imperial = height_words(height_mm, "both").partition(" · ")
    feet, inches = imperial.split()[0], imperial.split()[2]
    for shown_mm in (float(metres.split()[0]) * 1000, (int(feet) * 12 + int(inches)) * 25.4):
        assert height_mm - 1e-3 <= shown_mm <= height_mm + 150


@given(st.dates(date(2000, 1, 1), date(2199, 12, 31)), st.integers(1, 60))
def test_the_day_some_months_later_agrees_with_the_calendar(day: date, months: int) -> None:
    """Same day of the month, or its last; month lengths by Python's calendar module."""
    later = months_after(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == min(day.day, monthrange(later.year, later.month)[1])
