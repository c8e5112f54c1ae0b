"""The measure-up sheet: at most two pages, every line whole, only what is asked."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree as ET

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner import paths
from planner.errors import InputError
from planner.pack.pdf import pdf
from planner.pack.text import capital
from planner.rulebase.base import RuleBase
from planner.survey.columns import Line, share_out
from planner.survey.sheet import FILES, sheet, write_sheet
from planner.survey.sketches import DIMENSIONS, letters, sketches

HINGES = ("front", "rear", "left", "right", "parallel", "")


def pages(content: bytes) -> list[str]:
    """Return the text of each page."""
    found = pypdf.PdfReader(io.BytesIO(content)).pages
    return [" ".join(page.extract_text().split()) for page in found]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_blank_sheet_has_two_pages_with_every_measurement(base: RuleBase, paper: str) -> None:
    """Everything that has to be measured at some van is on it, once."""
    html = sheet(base, {}, blank=True, paper=paper)
    printed = pages(pdf(html, title="x", paper=paper))
    assert len(printed) <= 2
    text = " ".join(printed)
    asked = [one for one in base.questions.values() if one.check_before and one.measure]
    assert len(asked) > 80
    for question in asked:
        assert capital(question.label) in text, question.fact


def test_a_job_asks_only_for_what_is_open(base: RuleBase, tmp_path: Path) -> None:
    """What is answered is not asked again; few things leave room to say how."""
    job = Path(shutil.copy(paths.DEMOS / "lifting-grp.yaml", tmp_path / "van.yaml"))
    text = job.read_text(encoding="utf-8")
    job.write_text(re.sub(r" +(thickness_mm|cable_open_mm): .*\n", "", text), encoding="utf-8")
    files = write_sheet(job, tmp_path / "out", base)
    assert [path.name for path in files] == list(FILES)
    (printed,) = pages(files[1].read_bytes())
    for said in ("A Thickness of the outer skin", "B Largest distance between cable clamps",
                 base.questions["lift.cable_open_mm"].measure):
        assert said in printed
    assert "Wheelbase" not in printed


def test_a_job_without_open_points_says_so(base: RuleBase, tmp_path: Path) -> None:
    """One line instead of an empty form."""
    files = write_sheet(paths.DEMOS / "lifting-grp.yaml", tmp_path / "out", base)
    assert "Nothing is open" in pages(files[1].read_bytes())[0]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_new_lifting_roof_fits_two_pages(base: RuleBase, paper: str) -> None:
    """The longest list of open points: a first visit to a lifting roof."""
    answers = {"roof.moves": True, "lift.hinge": "rear", "job.reference": "First visit"}
    html = sheet(base, answers, blank=False, paper=paper)
    assert len(pages(pdf(html, title="x", paper=paper))) <= 2


def test_answers_that_are_unknown_are_not_printed(base: RuleBase, tmp_path: Path) -> None:
    """Neither a van called "unknown" nor a paper of that size."""
    job = tmp_path / "van.yaml"
    job.write_text(
        "job_format: 1\njob: {reference: unknown, vehicle: unknown, paper: unknown}\n",
        encoding="utf-8",
    )
    files = write_sheet(job, tmp_path / "out", base, paper="letter")
    head, _, _ = files[0].read_text(encoding="utf-8").partition("<main>")
    assert "unknown" not in head.partition("</style>")[2]


def test_the_same_sheet_twice_has_the_same_bytes(base: RuleBase, tmp_path: Path) -> None:
    """No clock and no chance inside."""
    first = [path.read_bytes() for path in write_sheet(None, tmp_path / "a", base)]
    assert [path.read_bytes() for path in write_sheet(None, tmp_path / "b", base)] == first


def test_hostile_answers_stay_texts(base: RuleBase) -> None:
    """A job's name cannot put anything into the page."""
    hostile = "<script>alert(1)</script>"
    answers = {"job.reference": hostile, "job.vehicle": hostile, "lift.hinge": hostile}
    html = sheet(base, answers, blank=False, paper="a4")
    assert "<script" not in html
    assert "&lt;script&gt;" in html


def test_a_faulty_job_or_folder_writes_nothing(base: RuleBase, tmp_path: Path) -> None:
    """One message; nothing half-written."""
    with pytest.raises(InputError, match="no such file"):
        write_sheet(tmp_path / "none.yaml", tmp_path / "out", base)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("mine")
    with pytest.raises(InputError, match="holds other things"):
        write_sheet(None, tmp_path / "mine", base)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("hinge", HINGES)
def test_every_dimension_has_a_letter_on_a_sketch_that_is_sound(
    base: RuleBase, hinge: str
) -> None:
    """Each letter is drawn once, inside the sheet, on well-formed drawings, and is a question."""
    drawn = sketches(DIMENSIONS, hinge)
    texts = [text for one in drawn for text in written(one.svg)]
    named = letters(DIMENSIONS)
    assert set(DIMENSIONS) <= set(base.questions)
    hidden = {"lift.opening_angle_deg", "lift.balance_mm", "lift.lift_point_mm"}
    for fact, letter in named.items():
        count = 0 if hinge == "parallel" and fact in hidden else 1
        assert texts.count(letter) == count, fact


def written(svg: str) -> list[str]:
    """Return the texts of a drawing, and see that they stand inside it."""
    root = ET.fromstring(svg)  # noqa: S314  - our own drawing
    width, height = (float(value) for value in root.attrib["viewBox"].split()[2:])
    found = list(root.iter("{http://www.w3.org/2000/svg}text"))
    for text in found:
        assert 0 <= float(text.attrib["x"]) <= width
        assert 2 <= float(text.attrib["y"]) <= height
    return [text.text or "" for text in found]


@st.composite
def forms(draw: st.DrawFn) -> Sequence[Line]:
    """Draw the lines of a form: headings, each with some fields of several heights."""
    lines: list[Line] = []
    for part in range(draw(st.integers(0, 8))):
        lines.append(Line(7.0, title=f"part {part}"))
        heights = draw(st.lists(st.floats(4.0, 30.0), min_size=1, max_size=25))
        lines += [Line(height, label=f"{part}.{n}") for n, height in enumerate(heights)]
    return lines


@given(forms(), st.floats(0, 250), st.floats(60, 270))
def test_columns_keep_order_and_never_overflow(
    lines: Sequence[Line], first_mm: float, page_mm: float
) -> None:
    """Every line once and in order, no column too full, no heading at the foot of a column."""
    made = share_out(lines, first_mm=first_mm, page_mm=page_mm)
    columns = [column for page in made for column in page]
    assert [line for column in columns for line in column] == list(lines)
    for number, page in enumerate(made):
        room = first_mm if number == 0 else page_mm
        for column in page:
            assert sum(line.height_mm for line in column) <= room
    for column in columns[:-1]:
        assert not column or not column[-1].title or column is columns[-1]
