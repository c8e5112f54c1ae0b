"""Write the papers of a finished job: the owner's sheet, the as-built record, the labels."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any

from markupsafe import Markup
from msgspec import Struct

from planner import paths
from planner.folder import put
from planner.pack.facts import Facts
from planner.pack.fonts import font_css
from planner.pack.pdf import pdf
from planner.pack.plan_json import plan_digest
from planner.pack.render import PAPER_SIZES, environment
from planner.pack.text import plain, short
from planner.plan.model import Plan
from planner.record import photos
from planner.record.as_built import as_built
from planner.record.book import Book, Matter, closed_words
from planner.record.built import Built
from planner.record.desk import plan_of, read_book
from planner.record.labels import labels
from planner.record.owner import owner
from planner.rulebase.base import RuleBase
from planner.rulebase.values import UNKNOWN

DOCUMENTS = ("handover", "as-built", "labels")
TEMPLATES = {name: f"record/{name.replace('-', '_')}.html.j2" for name in DOCUMENTS}
FILES = tuple(f"{name}.{ending}" for name in DOCUMENTS for ending in ("html", "pdf"))
Progress = Callable[[str], None]


class HandedOver(Struct, frozen=True):
    """What was written, and what is still open: a job with open matters is not closed."""

    files: tuple[Path, ...]
    open: tuple[Matter, ...]
    closed: bool


def write_handover(
    job_path: Path, out: Path, base: RuleBase, *, progress: Progress = lambda _what: None
) -> HandedOver:
    """Write the papers of a job into a folder, with its photographs.

    Raises:
        InputError: If there is no record, it belongs to another plan, a photograph is missing or
            changed, or the folder holds other things; nothing is written then.
    """
    plan = plan_of(job_path, base)
    book = read_book(job_path, plan)
    pictures = dict(photos.content(job_path, entry) for entry in book.standing("photo"))
    files = {**documents(plan, book, progress), **pictures}
    progress("files")
    written = put(out, files, _is_ours)
    return HandedOver(written, book.open(), book.closed is not None)


def _is_ours(name: str) -> bool:
    return name in FILES or photos.NAME.fullmatch(name) is not None


def documents(
    plan: Plan, book: Book, progress: Progress = lambda _what: None
) -> dict[str, bytes]:
    """Return every document as HTML and PDF; the same plan and record give the same bytes."""
    built = Built(Facts(plan.facts), book)
    shop = as_built(built)
    told = {name: shop[name] for name in ("deviations", "waivers", "photos")}
    parts = {"handover": {**owner(built), **told}, "as-built": shop, "labels": labels(built)}
    meta = _meta(plan, built.facts)
    both = built.facts.value("job.units") == "both"
    found: dict[str, bytes] = {}
    for name in DOCUMENTS:
        progress(name.replace("-", " "))
        context = {"meta": meta, "state": _state(book), **parts[name]}
        text = rendered(TEMPLATES[name], context, both_units=both and name != "as-built")
        found[f"{name}.html"] = text.encode()
        found[f"{name}.pdf"] = pdf(text, title=f"{meta['title']}: {name}", paper=meta["paper"])
    return found


def rendered(template: str, context: Mapping[str, Any], *, both_units: bool) -> str:
    """Return a document that needs nothing from outside.

    The as-built record keeps the units in which its readings were taken.
    """
    folder = paths.shipped("templates")
    style = "\n".join(
        (folder / name).read_text(encoding="utf-8") for name in ("pack.css", "record/record.css")
    )
    return environment(escapes_html=True, both_units=both_units).get_template(template).render(
        **context,
        fonts=Markup(font_css()),  # noqa: S704  - made here from the font files
        style=Markup(style),  # noqa: S704  - shipped with the templates
        page_size=PAPER_SIZES[context["meta"]["paper"]],
    )


def _meta(plan: Plan, facts: Facts) -> dict[str, str]:
    title = _told(plan, "job.reference") or "no reference"
    paper = str(facts.value("job.paper") or "a4")
    return {
        "title": title,
        "short_title": short(title, 48),
        "vehicle": _told(plan, "job.vehicle"),
        "revision": short(str(plan.job.get("revision", "")), 16),
        "digest": plan_digest(plan),
        "rules": ", ".join(f"{one.name} {one.version} ({one.digest})" for one in plan.layers),
        "version": version("lidwork"),
        "paper": paper if paper in PAPER_SIZES else "a4",
    }


def _by_step(matters: tuple[Matter, ...]) -> tuple[tuple[str, str, str], ...]:
    """Number, title and all that is open, step by step."""
    steps: dict[tuple[int, str], list[str]] = {}
    for matter in matters:
        steps.setdefault((matter.number, matter.title), []).append(matter.what)
    return tuple(
        (str(number), plain(title), plain("; ".join(what)))
        for (number, title), what in steps.items()
    )


def _told(plan: Plan, name: str) -> str:
    value = plan.job.get(name, UNKNOWN)
    return "" if value == UNKNOWN else plain(str(value))


def _state(book: Book) -> dict[str, Any]:
    """Whether the job is closed, by whom, and what is open."""
    matters = book.open()
    closed = book.closed
    return {
        "closed": closed_words(closed) if closed else "",
        "count": len(matters),
        "open": _by_step(matters),
        "only_handover": {m.key for m in matters} == {"hand-over"},
    }
