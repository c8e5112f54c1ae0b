"""Take over what was ticked and written on the work pack's page: the file that it saves."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any

from msgspec import Struct

from planner.errors import Fault, InputError
from planner.folder import ordinary
from planner.pack.plan_json import plan_digest
from planner.pack.text import plain
from planner.plan.model import Plan
from planner.record.book import Book
from planner.record.desk import RecordDesk, plan_of, refuse_another_plan
from planner.record.judge import judge, said, typed, value_text
from planner.record.model import YEARS, Entry, Kind, Plain, stamp
from planner.record.names import names, too_few
from planner.record.points import Point, ReadingPoint
from planner.record.store import MAX_TEXT
from planner.rulebase.base import RuleBase

FORMAT_KEY, FORMAT = "lidwork_record", 1
MAX_BYTES = 5_000_000
#: Nobody mends more in one go.
MOST_FAULTS = 50
BY_PAGE = "page of the work pack"
Say = Callable[[str], None]


class Ticked(Struct, frozen=True):
    """What one saved page holds, by the names that the page uses."""

    where: str
    steps: Mapping[str, Any]
    readings: Mapping[str, Any]


def import_export(
    job_path: Path, export_path: Path, base: RuleBase, *, now: datetime, say: Say
) -> int:
    """Add what a saved page holds to the record; return how many entries were added.

    What is recorded already is not added again; what was recorded later than the page stands.

    Raises:
        InputError: If the file is none of a page of this very plan, or anything in it is wrong;
            nothing is added then.
    """
    plan = plan_of(job_path, base)
    page = read_page(export_path, plan)
    with RecordDesk(job_path, plan, lambda: now) as desk:
        refuse_another_plan(desk.book, plan, desk.path, job_path)
        desk.by = BY_PAGE
        entries, hints = _entries(page, _Desk(plan, desk.book, now.tzinfo))
        if entries:
            desk.add(*entries)
    for hint in hints:
        say(hint)
    return len(entries)


def read_page(path: Path, plan: Plan) -> Ticked:
    """Read the file that a page saved, and see that it belongs to this plan.

    Raises:
        InputError: If it cannot be read, is something else, or belongs to another plan or job.
    """
    found = _json(path)
    if not isinstance(found, dict) or FORMAT_KEY not in found:
        raise InputError.of(
            str(path),
            "this is not a record saved from a work pack's page",
            "On the page, press 'Save the record' and name that file.",
        )
    if found[FORMAT_KEY] != FORMAT:
        raise InputError.of(
            str(path), f"the page's record has format {_short(found[FORMAT_KEY])}, not {FORMAT}",
            "Use the lidwork that made the page.",
        )
    _same_plan(found, plan, str(path))
    parts = [found.get(name, {}) for name in ("steps", "readings")]
    if not all(isinstance(part, dict) for part in parts):
        raise InputError.of(str(path), "the file is damaged", "Save it from the page again.")
    return Ticked(str(path), *parts)


def _json(path: Path) -> Any:
    where = str(path)
    try:
        return json.loads(ordinary(path, MAX_BYTES).decode("utf-8-sig"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError.of(where, f"cannot read: {reason}", "Check the name.") from None
    except (ValueError, RecursionError):
        raise InputError.of(
            where, "this is not the file that a work pack's page saves, or it is damaged",
            "Save it from the page again.",
        ) from None


def _same_plan(found: Mapping[str, Any], plan: Plan, where: str) -> None:
    revision, digest = str(plan.job.get("revision", "")), plan_digest(plan)
    if (found.get("revision"), found.get("plan")) == (revision, digest):
        return
    theirs = f"job '{_short(found.get('job'))}', revision {_short(found.get('revision'))}"
    raise InputError.of(
        where,
        f"this page belongs to another plan: {theirs}, plan {_short(found.get('plan'))}; "
        f"this job has revision {revision}, plan {digest}",
        "Name the job that the page was made from. If its answers or the rules changed since, "
        "write the values down with 'lidwork record'.",
    )


def _short(value: Any) -> str:
    return plain(str(value))[:60]


class _Desk(Struct, frozen=True):
    """What the entries are checked against."""

    plan: Plan
    book: Book
    zone: tzinfo | None


_Taken = tuple[Entry | None, str]


def _entries(page: Ticked, desk: _Desk) -> tuple[list[Entry], list[str]]:
    """Return the entries to add and what is to be said about them."""
    faults: list[Fault] = []
    taken: list[_Taken] = []
    for take, found in ((_reading, page.readings), (_step, page.steps)):
        for name, raw in found.items():
            try:
                taken.append(take(name, raw, desk))
            except ValueError as error:
                what = f"{_short(name)}: {error}"
                faults.append(Fault(page.where, what, "Put it right on the page and save again."))
    if faults:
        raise InputError(*faults[:MOST_FAULTS])
    return [entry for entry, _ in taken if entry], [hint for _, hint in taken if hint]


def _reading(name: str, raw: Any, desk: _Desk) -> _Taken:
    point, step = _reading_point(name, desk)
    text, at = _field(raw, "value", str), _moment(raw, desk.zone)
    old, reading = _last(desk.book, "reading", point.key), point.reading
    if not text.strip():
        return _taken_back(old, at), ""
    value = typed(text, reading)
    if old and old.value == value:
        return None, ""
    if old and old.moment >= at:
        stands = value_text(old.value, reading.unit) or "taken back"
        return None, f"Step {point.number}, {reading.label}: {stands}, recorded later, stands."
    more: dict[str, Plain] = {"unit": reading.unit, "low": reading.low, "high": reading.high}
    entry = Entry("reading", point.key, value, stamp(at), BY_PAGE, "", more)
    outside = judge(value, reading) in ("below", "above")
    hint = f"Step {point.number}, {reading.label}: {said(value, reading, step.accept)}"
    return entry, hint if outside else ""


def _last(book: Book, kind: Kind, key: str) -> Entry | None:
    """Return the last that was written of a thing, also where it takes back what was before."""
    found = book.history(kind, key)
    return found[-1] if found else None


def _taken_back(old: Entry | None, at: datetime) -> Entry | None:
    if old is None or old.value is None or old.moment >= at:
        return None
    return Entry(old.kind, old.key, None, stamp(at), BY_PAGE, "emptied on the page")


def _step(name: str, raw: Any, desk: _Desk) -> _Taken:
    point = _step_point(name, desk)
    done, initials = _field(raw, "done", bool), plain(_field(raw, "initials", str))[:40]
    if point is None or not (point.accept or point.signed):
        return None, ""
    kind: Kind = "sign" if point.signed else "accept"
    old = _last(desk.book, kind, point.key)
    if not done:
        return _taken_back(old, _moment(raw, desk.zone)) if old and "at" in raw else None, ""
    at = _moment(raw, desk.zone)
    value: Plain = ", ".join(names(initials)) if point.signed else True
    same = old is not None and (old.value, old.more.get("seal")) == (value, point.seal)
    if same:
        return None, ""
    if old and old.moment >= at:
        stays = "what is recorded of it stands; change it with lidwork record"
        return None, f"Step {point.number}, {point.title}: {stays}."
    missing = _not_enough(point, initials)
    if missing:
        return None, missing
    return Entry(kind, point.key, value, stamp(at), initials, "", {"seal": point.seal}), ""


def _not_enough(point: Point, initials: str) -> str:
    where = f"Step {point.number}, {point.title}"
    if not point.signed:
        return "" if initials else f"{where}: ticked without initials, not taken over."
    few = too_few(initials, point.signers, point.names_needed)
    return f"{where}: ticked, but not signed. {few}" if few else ""


def _reading_point(name: str, desk: _Desk) -> tuple[ReadingPoint, Point]:
    for step in desk.book.points:
        for number in (step.number, *step.parts):
            for reading in step.readings:
                if name == f"{number}-{reading.reading.id}":
                    return reading, step
    raise ValueError("this plan has no such reading")


def _step_point(name: str, desk: _Desk) -> Point | None:
    """Return the step of a tick; None where nothing of it is recorded."""
    for point in desk.book.points:
        if name == f"{point.number}-{point.key.partition('/')[0]}":
            return point
    number, _, task = name.partition("-")
    if number.isdigit() and task in desk.plan.tasks:
        return None
    raise ValueError("this plan has no such step")


def _field(raw: Any, name: str, kind: type) -> Any:
    value = raw.get(name, kind()) if isinstance(raw, dict) else None
    if not isinstance(value, kind) or (isinstance(value, str) and len(value) > MAX_TEXT):
        raise ValueError(f"its '{name}' is damaged")
    return value


def _moment(raw: Any, zone: tzinfo | None) -> datetime:
    with suppress(KeyError, ValueError, OverflowError):
        moment = datetime.fromisoformat(str(raw["at"]))
        if moment.tzinfo is not None and moment.year in YEARS:
            return moment.astimezone(zone).replace(microsecond=0)
    raise ValueError("its moment is damaged")
