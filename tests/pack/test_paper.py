"""The pack on paper: every section and page number, whatever the fonts of the machine."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from msgspec import Struct

from planner.pack.compose import compose
from planner.pack.documents import ONLY, documents
from planner.pack.outline import SHORT, TITLES
from planner.pack.pdf import FetchRefusedError, pdf, section_pages

from .packs import DEMOS, HOSTILE, demo, hostile, varied

#: Sizes that a reader over forty reads without a lamp: common practice, no source.
LEAST_BODY_PT, LEAST_TABLE_PT = 9.0, 8.0
#: Below this height stands the page's number.
FOOTER_PT = 50.0


#: Height of a line of our typeface over its size: ascender 984, descender 273 of 1000 (its hhea).
LINE_HEIGHT = 1.257


Rect = tuple[float, float, float, float]


class Sheet(Struct, frozen=True):
    """One page [pt]: its text, width, left and right end of each run, size of its last line.

    ``boxes`` are the runs whole: left, foot, right and top.
    """

    text: str
    width: float
    runs: tuple[tuple[float, float], ...]
    last_size: float
    boxes: tuple[Rect, ...]


@lru_cache(maxsize=8)
def sheets(content: bytes) -> tuple[Sheet, ...]:
    """Return the pages of a PDF, read by an engine that is not ours."""
    return tuple(_sheet(page) for page in pypdfium2.PdfDocument(content))


def _sheet(page: Any) -> Sheet:
    text = page.get_textpage()
    boxes = [text.get_rect(index) for index in range(text.count_rects())]
    left, foot, right, top = min((b for b in boxes if b[1] > FOOTER_PT), key=lambda box: box[1])
    across = (left + (right - left) * part / 40 for part in range(41))
    touched = (text.get_index(x, (foot + top) / 2, 6, 6) for x in across)
    box = text.get_charbox(next(index for index in touched if index is not None), loose=True)
    return Sheet(
        text.get_text_range().replace("\r\n", "\n"),
        float(page.get_width()),
        tuple((float(box[0]), float(box[2])) for box in boxes),
        float(box[3] - box[1]) / LINE_HEIGHT,
        tuple(sorted(boxes)),
    )


def pages(content: bytes) -> list[str]:
    """Return the text of each page."""
    return [sheet.text for sheet in sheets(content)]


def squeezed(text: str) -> str:
    """Return the text without spaces, which a PDF does not keep reliably."""
    return re.sub(r"\s", "", text)


def overlaps(sheet: Sheet) -> Iterator[tuple[Rect, Rect]]:
    """Yield the runs of text that cover more than a third of one another."""
    for number, one in enumerate(sheet.boxes):
        for other in sheet.boxes[number + 1 :]:
            if other[0] >= one[2]:
                break
            width = min(one[2], other[2]) - other[0]
            height = min(one[3], other[3]) - max(one[1], other[1])
            small = min((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other))
            if width > 0 and height > 0 and width * height > small / 3:
                yield one, other


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", DEMOS)
def test_nothing_is_printed_over_anything(name: str, paper: str) -> None:
    """A head of a table left alone at the foot of a page was printed twice, one over the other."""
    pack = demo(name) if paper == "a4" else varied(name, {"job.paper": paper})
    found = sheets(pack.pdf)
    assert not [number for number, sheet in enumerate(found, 1) if any(overlaps(sheet))]


@pytest.mark.parametrize("name", DEMOS)
def test_every_section_is_there_and_every_page_says_which_of_how_many(name: str) -> None:
    """The headings of the HTML are on paper, and the contents name the page where they stand."""
    found = pages(demo(name).pdf)
    for number, text in enumerate(found, 1):
        assert f"Page {number} of {len(found)}" in text
        assert "Planning aid, never an approval" in text
    sections = compose(demo(name).plan)["sections"]
    starts = section_pages(demo(name).pdf)
    assert len(sections) > 15
    for section in sections:
        heading = squeezed(f"{section.number}{section.title}")
        assert heading in squeezed(found[starts[section.id] - 1])
        listed = squeezed(found[0].partition("Contents")[2])
        assert re.search(rf"{re.escape(heading)}{starts[section.id]}(?!\d{{3}})", listed)


@pytest.mark.parametrize("name", DEMOS)
def test_the_front_page_is_one_page_and_answers_the_four_questions(name: str) -> None:
    """May I start, what will I have, when does it end, what must I watch: on the first page."""
    front, second = pages(demo(name).pdf)[:2]
    for question in ("May I start?", "What will I have?", "When does it end?", "What must I watch"):
        assert question in front
    assert "Contents" in front
    assert second.startswith("1 ")


@pytest.mark.parametrize("name", DEMOS)
def test_print_stays_inside_the_margins(name: str) -> None:
    """Nothing runs off the paper."""
    for sheet in sheets(demo(name).pdf):
        assert all(left > 30 and right < sheet.width - 30 for left, right in sheet.runs)


def test_print_is_large_enough() -> None:
    """Nothing is shrunk to make a wide table fit: the style sheet's sizes are those on paper."""
    sizes: list[float] = []
    with pdfplumber.open(io.BytesIO(demo(DEMOS[0]).pdf)) as book:
        for page in book.pages[:20]:
            sizes += [float(char["size"]) for char in page.chars]
    # The drawings' smallest label is 2.4 mm high, 6.8 pt.
    assert min(sizes) >= 6.5
    assert sum(size >= LEAST_TABLE_PT for size in sizes) > 0.95 * len(sizes)
    assert sum(size >= LEAST_BODY_PT for size in sizes) > 0.4 * len(sizes)


@pytest.mark.parametrize("name", DEMOS)
def test_no_heading_is_left_alone_at_the_foot_of_a_page(name: str) -> None:
    """Below each heading of a section or phase there is something on the same page."""
    for sheet in sheets(demo(name).pdf):
        assert sheet.last_size < 10.6, sheet.text[-300:]


def test_a_machine_without_fonts_prints_the_same(tmp_path: Path) -> None:
    """The typeface comes with our own dependencies: an empty font configuration changes nothing."""
    config = tmp_path / "fonts.conf"
    config.write_text('<?xml version="1.0"?><fontconfig></fontconfig>')
    source, target = tmp_path / "pack.html", tmp_path / "pack.pdf"
    source.write_text(demo(DEMOS[0]).documents.html, encoding="utf-8")
    code = (
        "import sys, pathlib; from planner.pack.pdf import pdf; a, b = sys.argv[1:];"
        "pathlib.Path(b).write_bytes(pdf(pathlib.Path(a).read_text(encoding='utf-8'),"
        " title='x', paper='a4'))"
    )
    env = {**os.environ, "FONTCONFIG_FILE": str(config), "XDG_CACHE_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code, str(source), str(target)],
        env=env, capture_output=True, text=True, check=True,
    )
    assert done.stdout == done.stderr == ""
    assert pages(target.read_bytes()) == pages(demo(DEMOS[0]).pdf)


def test_the_same_plan_gives_the_same_bytes() -> None:
    """No clock and no chance in the paper."""
    again = documents(demo(DEMOS[0]).plan)
    assert again == demo(DEMOS[0]).documents
    assert again.paper_pdf() == demo(DEMOS[0]).pdf


def test_nothing_is_printed_to_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    """The PDF engine has nothing to complain of."""
    demo(DEMOS[1]).documents.paper_pdf()
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("url", ["http://example.invalid/x.png", "file:///etc/hostname", "x.png"])
def test_a_document_that_names_something_outside_is_refused(url: str) -> None:
    """Neither the network nor the disk is read, whatever a template says."""
    with pytest.raises(FetchRefusedError, match="the document asked for"):
        pdf(f'<img src="{url}">', title="x", paper="a4")


@pytest.mark.parametrize("index", range(len(HOSTILE)))
def test_hostile_names_print_as_text_inside_the_page(index: int) -> None:
    """Long words break, nothing runs off the paper, and no page is shrunk."""
    found = sheets(hostile(index).pdf)
    for sheet in found:
        assert all(right < sheet.width - 25 for _, right in sheet.runs)
    assert f"of {len(found)}" in found[-1].text
    if index == 1:
        assert "{{7*7}}" in squeezed(found[0].text)


@pytest.mark.parametrize("only", [name for name in ONLY if name != "all"])
def test_short_forms_hold_their_sections_and_the_caution(only: str) -> None:
    """A part of the pack stands alone: it says what job it is for and that it approves nothing."""
    found = pages(documents(demo(DEMOS[0]).plan, only=only).paper_pdf())
    text = squeezed("".join(found))
    assert squeezed("planning aid, never an approval").lower() in text.lower()
    for id_ in SHORT[only]:
        assert squeezed(TITLES[id_]) in text
    if only == "summary":
        assert len(found) == 1




@pytest.mark.parametrize("name", DEMOS)
def test_letter_paper_is_letter_and_its_front_page_is_one_page(name: str) -> None:
    """US Letter is 8.5 × 11 in, 612 × 792 pt: ANSI/ASME Y14.1, size A."""
    book = pypdfium2.PdfDocument(varied(name, {"job.paper": "letter"}).pdf)
    assert {tuple(round(side) for side in page.get_size()) for page in book} == {(612, 792)}
    assert book[1].get_textpage().get_text_range().startswith("1 ")
