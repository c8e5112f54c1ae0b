"""The pack on paper: all text there on a machine without fonts, every section, every page numbered."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pdfplumber
import pytest

from planner.pack.compose import compose
from planner.pack.documents import ONLY, documents
from planner.pack.outline import SHORT, TITLES
from planner.pack.pdf import FetchRefusedError, pdf, section_pages
from .packs import DEMOS, HOSTILE, demo, hostile

#: Sizes that a reader over forty reads without a lamp: common practice, no source.
LEAST_BODY_PT, LEAST_TABLE_PT = 9.0, 8.0


def pages(content: bytes) -> list[str]:
    """Return the text of each page."""
    with pdfplumber.open(io.BytesIO(content)) as book:
        return [page.extract_text(x_tolerance=1.5) for page in book.pages]


def squeezed(text: str) -> str:
    """Return the text without spaces, which a PDF does not keep reliably."""
    return re.sub(r"\s", "", text)


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
        assert squeezed(f"{section.title}{starts[section.id]}") in squeezed(found[0]).replace(
            "\N{ZERO WIDTH SPACE}", ""
        )


@pytest.mark.parametrize("name", DEMOS)
def test_the_front_page_is_one_page_and_answers_the_four_questions(name: str) -> None:
    """May I start, what will I have, when does it end, what must I watch: on the first page."""
    front, second = pages(demo(name).pdf)[:2]
    for question in ("May I start?", "What will I have?", "When does it end?", "What must I watch"):
        assert question in front
    assert "Contents" in front
    assert second.split("\n")[1].startswith("1 ")


@pytest.mark.parametrize("name", DEMOS)
def test_print_is_large_enough_and_stays_inside_the_margins(name: str) -> None:
    """Nothing is shrunk to make a wide table fit, and nothing runs off the paper."""
    sizes: dict[float, int] = {}
    with pdfplumber.open(io.BytesIO(demo(name).pdf)) as book:
        for page in book.pages:
            for char in page.chars:
                size = round(float(char["size"]), 1)
                sizes[size] = sizes.get(size, 0) + 1
                assert 30 < char["x0"]
                assert char["x1"] < float(page.width) - 30
    # The drawings' smallest label is 2.4 mm high, 6.8 pt.
    assert min(sizes) >= 6.5
    large = sum(count for size, count in sizes.items() if size >= LEAST_TABLE_PT)
    body = sum(count for size, count in sizes.items() if size >= LEAST_BODY_PT)
    assert large > 0.95 * sum(sizes.values())
    assert body > 0.4 * sum(sizes.values())


@pytest.mark.parametrize("name", DEMOS)
def test_no_heading_is_left_alone_at_the_foot_of_a_page(name: str) -> None:
    """Below each heading of a section or phase there is something on the same page."""
    with pdfplumber.open(io.BytesIO(demo(name).pdf)) as book:
        for page in book.pages:
            lines = page.extract_text_lines(return_chars=True)
            body = [line for line in lines if line["top"] < float(page.height) - 60]
            assert body[-1]["chars"][0]["size"] < 11, body[-1]["text"]


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
    done = subprocess.run(  # noqa: S603  - our own interpreter on our own code
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
    content = hostile(index).pdf
    with pdfplumber.open(io.BytesIO(content)) as book:
        edges = [(c["x1"], float(page.width)) for page in book.pages for c in page.chars]
    assert all(right < width - 25 for right, width in edges)
    text = "".join(pages(content))
    if index == 1:
        assert "{{7*7}}" in squeezed(text)
    assert f"of {len(pages(content))}" in text


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


