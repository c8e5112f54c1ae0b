"""Look at the record, change or take back what stands, see what is open, and close the job."""

from __future__ import annotations

from questionary import Choice

from planner.folder import as_typed
from planner.pack.text import capital, short
from planner.record.asking import STOP, Say, choose, write
from planner.record.book import Book, closed_words
from planner.record.desk import RecordDesk
from planner.record.judge import value_text
from planner.record.model import Entry, shown
from planner.record.names import names
from planner.record.walk import ask_reading, ask_step
from planner.words import counted

KINDS = {
    "reading": "reading",
    "accept": "accepted",
    "sign": "signed",
    "waive": "waived",
    "note": "note",
    "deviation": "deviation",
    "photo": "photograph",
}
SHOWN_OPEN = 60


def summary(book: Book) -> str:
    """Return in one line where the record stands."""
    if book.closed:
        return f"{closed_words(book.closed)}; new entries open it again."
    left = book.open()
    holds = sum(point.hold for point in book.points)
    signed = sum(point.hold and book.agreed(point) is not None for point in book.points)
    readings = [reading for point in book.points for reading in point.readings]
    read = sum(book.now("reading", reading.key) is not None for reading in readings)
    return (
        f"{signed} of {holds} hold points signed, {read} of {len(readings)} readings taken, "
        f"{counted(len(left), 'thing')} open."
    )


def show_open(desk: RecordDesk, say: Say) -> None:
    """Show all that keeps the job from being closed."""
    matters = desk.book.open()
    for matter in matters[:SHOWN_OPEN]:
        say(f"  {matter.number:>3}  {short(matter.title, 44)}: {matter.what}")
    if len(matters) > SHOWN_OPEN:
        say(f"  … and {len(matters) - SHOWN_OPEN} more.")


def change(desk: RecordDesk, say: Say) -> None:
    """Choose something recorded, see its history, and change it or take it back."""
    standing = [entry for kind in KINDS for entry in desk.book.standing(kind)]  # type: ignore[arg-type]
    if not standing:
        say("Nothing is recorded yet.")
        return
    choices = [Choice(_line(desk.book, entry), value=i) for i, entry in enumerate(standing)]
    chosen = choose("Choose one:", [Choice("go back", value=STOP), *choices])
    if chosen != STOP:
        _one(desk, standing[chosen], say)


def _line(book: Book, entry: Entry) -> str:
    return f"{KINDS[entry.kind]}: {short(subject(book, entry), 50)}: {short(_value(entry), 50)}"


def subject(book: Book, entry: Entry) -> str:
    """Return in words what an entry is about."""
    for point in book.points:
        if point.key == entry.key:
            return f"{point.number} {point.title}"
        for reading in point.readings:
            if reading.key == entry.key:
                return f"{point.number} {reading.reading.label}"
    return entry.key


def _value(entry: Entry) -> str:
    if entry.value is None:
        return "taken back"
    if isinstance(entry.value, bool):
        said = "yes" if entry.value else "no"
        return f"{said}: {entry.why}" if entry.why else said
    return value_text(entry.value, str(entry.more.get("unit", "")))


def _one(desk: RecordDesk, entry: Entry, say: Say) -> None:
    say("")
    say(f"{capital(KINDS[entry.kind])}: {subject(desk.book, entry)}")
    for old in desk.book.history(entry.kind, entry.key):
        say(f"  {shown(old.at)} {old.by}: {_value(old)}")
    choices = [Choice("leave it", value=STOP), Choice("take it back, and say why", value="back")]
    if entry.kind in ("reading", "accept", "sign"):
        choices.insert(1, Choice("write it anew; the old value stays on file", value="anew"))
    chosen = choose("What now?", choices)
    if chosen == "back":
        why = write("Why is it taken back?", needed=True)
        desk.add(desk.entry(entry.kind, entry.key, None, why))
    elif chosen == "anew":
        _anew(desk, entry, say)


def _anew(desk: RecordDesk, entry: Entry, say: Say) -> None:
    for point in desk.points:
        for reading in point.readings:
            if reading.key == entry.key:
                ask_reading(desk, reading, say)
                return
        if point.key == entry.key:
            why = write("Why is it written anew?", needed=True)
            desk.add(desk.entry(entry.kind, entry.key, None, why))
            ask_step(desk, point, say)
            return
    say("The present plan does not have this step; it can only be taken back.")


def close(desk: RecordDesk, say: Say) -> None:
    """Close the job, which only a record without anything open allows."""
    if desk.book.open():
        show_open(desk, say)
        return
    who = write("Closed by (name):", needed=True, default=desk.by)
    desk.add(desk.entry("close", "job", ", ".join(names(who))))
    say(f"Closed. Write the papers with: lidwork handover {as_typed(desk.job)}")
