"""The measure-up sheet: what is to be measured at the van, on one or two pages to write on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup
from msgspec import Struct

from planner import paths
from planner.errors import InputError
from planner.folder import put
from planner.job.file import read_job
from planner.pack.fonts import font_css
from planner.pack.pdf import pdf
from planner.pack.render import PAPER_SIZES, environment
from planner.pack.text import capital, plain, short
from planner.rulebase.base import RuleBase
from planner.rulebase.model import Question
from planner.rulebase.values import UNKNOWN, shown
from planner.survey import flow
from planner.survey.columns import Line, Page, rows_of, share_out
from planner.survey.sketches import letters, sketches

FILES = ("measure-up.html", "measure-up.pdf")
#: With no more than this many fields there is room to say how each is measured.
ROOM_FOR_HOW = 16
#: Lines of a list to fill in; the shorter paper has fewer.
LIST_LINES = {"a4": 5, "letter": 3}
#: Heights on paper [mm], as the style sheet sets them, and the width of a column.
PAGE_MM = {"a4": 266.0, "letter": 248.0}
HEAD_MM, SKETCH_MM, LEAST_MM = 24.0, 60.0, 30.0
FORM_MM, FORM_LINE_MM = 10.5, 6.0
TITLE_MM, ROW_MM, SMALL_MM, COLUMN_MM = 6.7, 3.4, 2.8, 86.0
#: Height of a line and the space in it above the words [mm]: as roomy as two pages allow.
FIELDS_MM = ((4.85, 0.7), (4.55, 0.45), (4.3, 0.3))
MOST_PAGES = 2
#: Options of so few letters stand beside their label.
BESIDE = 62
Answers = Mapping[str, Any]


class Form(Struct, frozen=True):
    """A list to be filled in: one line for each thing."""

    label: str
    head: tuple[str, ...]
    lines: int


def write_sheet(
    job_path: Path | None, out: Path, base: RuleBase, *, paper: str = "a4"
) -> tuple[Path, ...]:
    """Write the measure-up sheet as HTML and PDF into a folder.

    Args:
        job_path: A job, for what is open in it; None for a blank sheet.
        out: The folder.
        base: The rules, which say what is asked.
        paper: ``a4`` or ``letter`` for a blank sheet; a job says its own.

    Raises:
        InputError: If the job is faulty, or the folder holds other things or cannot be written.
    """
    if paper not in PAPER_SIZES:
        raise InputError.of("--paper", f"no paper is named {shown(paper)}", "Choose a4 or letter.")
    answers = read_job(job_path, base).answers if job_path else {}
    known = answers.get("job.paper")
    size = str(known) if known in PAPER_SIZES else paper
    html = sheet(base, answers, blank=job_path is None, paper=size)
    files = {
        FILES[0]: html.encode(),
        FILES[1]: pdf(html, title="Measure-up sheet", paper=size),
    }
    return put(out, files, FILES.__contains__)


def sheet(base: RuleBase, answers: Answers, *, blank: bool, paper: str) -> str:
    """Return the sheet as HTML."""
    questions = _questions(base, answers, blank=blank)
    wanted = [question.fact for question in questions]
    named = letters(wanted)
    drawn = sketches(wanted, str(answers.get("lift.hinge", "")))
    forms = tuple(_form(question, paper) for question in questions if _is_form(question))
    first_mm = _left_on_first(len(drawn), len(forms), paper)
    pages, field_mm, pad_mm = _fitted(base, questions, named, first_mm, PAGE_MM[paper])
    folder = paths.shipped("templates")
    style = "\n".join(
        (folder / name).read_text(encoding="utf-8")
        for name in ("pack.css", "record/record.css", "record/sheet.css")
    )
    return environment(escapes_html=True).get_template("record/sheet.html.j2").render(
        short_title=short(_told(answers, "job.reference"), 60),
        vehicle=short(_told(answers, "job.vehicle"), 110),
        blank=blank,
        count=len(questions),
        sketches=drawn,
        pages=pages,
        field_mm=field_mm,
        pad_mm=pad_mm,
        forms=forms,
        fonts=Markup(font_css()),  # noqa: S704  - made here from the font files
        style=Markup(style),  # noqa: S704  - shipped with the templates
        page_size=PAPER_SIZES[paper],
    )


def _fitted(
    base: RuleBase,
    questions: tuple[Question, ...],
    named: Mapping[str, str],
    first_mm: float,
    page_mm: float,
) -> tuple[tuple[Page, ...], float, float]:
    """Return the pages with the roomiest lines that fit, and the height and space of a line."""
    how = len(questions) <= ROOM_FOR_HOW
    tried = [
        (
            share_out(
                tuple(_lines(base, questions, named, field_mm, how=how)),
                first_mm=first_mm,
                page_mm=page_mm,
            ),
            field_mm,
            pad_mm,
        )
        for field_mm, pad_mm in FIELDS_MM
    ]
    return next((one for one in tried if len(one[0]) <= MOST_PAGES), tried[-1])


def _told(answers: Answers, fact: str) -> str:
    value = answers.get(fact, UNKNOWN)
    return "" if value == UNKNOWN else str(value)


def _questions(base: RuleBase, answers: Answers, *, blank: bool) -> tuple[Question, ...]:
    """A blank sheet asks for what has to be measured; a job for what it does not know yet."""
    if not blank:
        waiting = flow.to_ask(base, answers, first_pass=False)
        return tuple(
            one for one in waiting if one.check_before or one.unknown.suppose is not None
        )
    order = {name: rank for rank, name in enumerate(base.sections)}
    found = [one for one in base.questions.values() if one.check_before and one.measure]
    return tuple(sorted(found, key=lambda question: order[question.section]))


def _is_form(question: Question) -> bool:
    return question.kind == "list" and bool(question.fields)


def _left_on_first(drawn: int, forms: int, paper: str) -> float:
    """Height that the columns have on the first page [mm]; none where it is too little."""
    form = FORM_MM + LIST_LINES[paper] * FORM_LINE_MM
    left = PAGE_MM[paper] - HEAD_MM - -(-drawn // 2) * SKETCH_MM - forms * form
    return left if left >= LEAST_MM else 0.0


def _lines(
    base: RuleBase,
    questions: tuple[Question, ...],
    named: Mapping[str, str],
    field_mm: float,
    *,
    how: bool,
) -> Iterator[Line]:
    for section, rule in base.sections.items():
        fields = [one for one in questions if one.section == section and not _is_form(one)]
        if fields:
            yield Line(TITLE_MM, title=rule.title)
        for question in fields:
            yield _line(question, named.get(question.fact, ""), field_mm, how=how)


def _line(question: Question, letter: str, field_mm: float, *, how: bool) -> Line:
    options = ("yes", "no") if question.kind == "yes_no" else tuple(question.options.values())
    label = capital(plain(question.label))
    beside = len(options) <= 2 and sum(map(len, options)) + len(label) < BESIDE
    under = () if beside else options
    measure = plain(question.measure) if how else ""
    rows = rows_of(under, width_mm=COLUMN_MM, size_mm=SMALL_MM, gap_mm=7.0) if under else 0
    rows += rows_of(measure.split(), width_mm=COLUMN_MM, size_mm=SMALL_MM, gap_mm=0.9) if how else 0
    return Line(
        height_mm=field_mm + rows * ROW_MM,
        letter=letter,
        label=label,
        unit=question.unit,
        options=under,
        inline=options if beside else (),
        how=measure,
    )


def _form(question: Question, paper: str) -> Form:
    head = tuple(
        f"{field.label} [{field.unit}]" if field.unit else field.label for field in question.fields
    )
    return Form(capital(plain(question.label)), head, LIST_LINES[paper])
