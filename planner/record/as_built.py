"""The as-built record for the shop: plan against built, every reading, every name, every reason."""

from __future__ import annotations

import re
from typing import Any

from markupsafe import Markup

from planner.pack.blocks import Table
from planner.pack.text import capital, plain
from planner.record.book import Book
from planner.record.built import MEASURED, Built
from planner.record.judge import judge, limits, value_text
from planner.record.model import Entry, shown
from planner.record.points import Point, ReadingPoint

_NUMBER = re.compile(r"[-\N{MINUS SIGN}]?\d+(\.\d+)?")
_HARMLESS = re.compile(r"[a-z0-9.-]+")
PIECE = 16
VERDICTS = {"within": "within", "below": "BELOW", "above": "ABOVE", "noted": "no limit"}


def as_built(built: Built) -> dict[str, Any]:
    """Return what the as-built record prints."""
    book = built.book
    return {
        "against": _against(built),
        "readings": _readings(book),
        "holds": _agreed(book, [p for p in book.points if p.signed],
                         "Hold points and other signatures"),
        "accepted": _agreed(book, [p for p in book.points if p.accept and not p.signed],
                            "Acceptances"),
        "deviations": _deviations(book),
        "waivers": _waivers(book),
        "changed": _changed(book),
        "particulars": _particulars(book),
        "photos": _photos(book),
        "strays": _strays(book),
        "plans": _plans(book),
    }


def _against(built: Built) -> Table:
    rows = []
    for fact, reading in MEASURED.items():
        planned = built.facts.pairs(fact)
        point = built.point(reading)
        if not planned or point is None:
            continue
        entry = built.book.now("reading", point.key)
        judged = _judged(point, entry)
        rows.append(
            (planned[0].label, planned[0].text, _found(point, entry),
             _difference(built, fact, point, entry), judged)
        )
    return Table("Plan against built",
                 ("What", "Planned", "Built", "Built less planned", "Against the limit"),
                 tuple(rows))


def _difference(built: Built, fact: str, point: ReadingPoint, entry: Entry | None) -> str:
    planned = _NUMBER.match(built.facts.text(fact))  # as it is printed beside it
    if entry is None or planned is None or not isinstance(entry.value, int | float):
        return ""
    difference = round(entry.value - float(planned[0].replace("\N{MINUS SIGN}", "-")), 2)
    return value_text(difference, point.reading.unit)


def _found(point: ReadingPoint, entry: Entry | None) -> str:
    return value_text(entry.value, point.reading.unit) if entry else "not measured"


def _judged(point: ReadingPoint, entry: Entry | None) -> str:
    return VERDICTS[judge(entry.value, point.reading)] if entry else ""


def _readings(book: Book) -> Table:
    rows = [
        _reading_row(book, reading) for point in book.points for reading in point.readings
    ]
    return Table("Readings", ("Step", "Reading", "Limit", "Found", "Judged", "By, when"),
                 tuple(rows))


def _reading_row(book: Book, point: ReadingPoint) -> tuple[str, ...]:
    reading = point.reading
    entry = book.now("reading", point.key)
    waived = book.waived(point.key) or book.waived(point.step)
    excuse = book.excused(point)
    judged = _judged(point, entry)
    if excuse:
        judged += f", may stay: {plain(excuse.why)}"
    missing = f"waived: {plain(waived.why)}" if waived else "MISSING"
    return (
        str(point.number),
        plain(reading.label),
        limits(reading),
        _found(point, entry) if entry else missing,
        judged,
        _by(entry),
    )


def _by(entry: Entry | None) -> str:
    return f"{plain(entry.by)}, {shown(entry.at)}" if entry else ""


def _agreed(book: Book, points: list[Point], caption: str) -> Table:
    rows = [
        (str(point.number), ("HOLD: " if point.hold else "") + point.title, *_who(book, point))
        for point in points
    ]
    return Table(caption, ("Step", "What", "By", "When"), tuple(rows))


def _who(book: Book, point: Point) -> tuple[str, str]:
    entry = book.agreed(point)
    if entry:
        names = plain(str(entry.value)) if point.signed else plain(entry.by)
        return names, shown(entry.at)
    waived = book.waived(point.key)
    if waived:
        return f"waived by {plain(waived.by)}: {plain(waived.why)}", shown(waived.at)
    matters = [m.what for m in book.open_at(point) if m.key == point.key]
    return f"OPEN: {plain(matters[0])}" if matters else "OPEN", ""


def _deviations(book: Book) -> Table:
    rows = [
        (_at(book, entry), plain(str(entry.value)), plain(entry.why), _by(entry))
        for entry in book.standing("deviation")
    ]
    return Table("Deviations from the plan", ("Step", "What", "Why", "By, when"), tuple(rows))


def _at(book: Book, entry: Entry) -> str:
    return _number(book, str(entry.more.get("step", "")))


def _number(book: Book, key: str) -> str:
    step = key.partition(":")[0]
    return next((str(point.number) for point in book.points if point.key == step), "")


def _waivers(book: Book) -> Table:
    rows = [
        (_number(book, entry.key), _name(book, entry.key), plain(entry.why), _by(entry))
        for entry in book.standing("waive")
    ]
    return Table("Waived", ("Step", "What", "Why", "By, when"), tuple(rows))


def _name(book: Book, key: str) -> str:
    for point in book.points:
        if point.key == key:
            return point.title
        for reading in point.readings:
            if reading.key == key:
                return f"reading: {plain(reading.reading.label)}"
    return plain(key)


def _changed(book: Book) -> Table:
    """Everything that was changed or taken back: the old values stay on file."""
    rows = [
        (_number(book, entry.key), _name(book, entry.key), _old(entry), _by(entry),
         _by(follower))
        for entry, follower in _followed(book)
    ]
    return Table("Changed or taken back",
                 ("Step", "What", "Old value", "Written by, when", "Changed by, when"),
                 tuple(rows))


def _followed(book: Book) -> list[tuple[Entry, Entry]]:
    last: dict[tuple[str, str], Entry] = {}
    found = []
    for entry in book.entries:
        before = last.get((entry.kind, entry.key))
        if before is not None and before.value is not None and entry.kind not in ("plan", "close"):
            found.append((before, entry))
        last[entry.kind, entry.key] = entry
    return found


def _old(entry: Entry) -> str:
    if isinstance(entry.value, bool):
        return ("yes" if entry.value else f"not right: {plain(entry.why)}")
    return value_text(entry.value, str(entry.more.get("unit", "")))


def _particulars(book: Book) -> Table:
    rows = [
        (plain(entry.key), plain(str(entry.value)), _by(entry)) for entry in book.standing("note")
    ]
    return Table("Particulars", ("What", "Written down", "By, when"), tuple(rows))


def _photos(book: Book) -> Table:
    rows = [
        (_at(book, entry), copied(str(entry.more.get("file", ""))), plain(str(entry.value)),
         copied(str(entry.more.get("sha256", ""))), _by(entry))
        for entry in book.standing("photo")
    ]
    return Table("Photographs, with their SHA-256 checksum",
                 ("Step", "File", "What it shows", "Checksum", "By, when"), tuple(rows))


def copied(text: str) -> str:
    """Return a name or checksum that breaks over lines, yet is whole when somebody copies it."""
    if not _HARMLESS.fullmatch(text):
        return plain(text)
    pieces = (text[at : at + PIECE] for at in range(0, len(text), PIECE))
    return Markup("<wbr>".join(pieces))  # noqa: S704  - small letters, digits, dot and hyphen alone


def _strays(book: Book) -> Table:
    rows = [
        (capital(entry.kind), plain(entry.key), _old(entry), _by(entry)) for entry in book.strays()
    ]
    return Table("Recorded under an earlier plan, for steps that the present one does not have",
                 ("Kind", "What", "Value", "By, when"), tuple(rows))


def _plans(book: Book) -> Table:
    rows = [
        (plain(str(entry.more.get("revision", ""))), plain(str(entry.more.get("rules", ""))),
         plain(entry.why), _by(entry))
        for entry in book.history_of("plan")
    ]
    return Table("Plans that this record was kept for",
                 ("Revision", "Rules", "Why", "By, when"), tuple(rows))
