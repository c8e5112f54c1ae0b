"""What no step asks for but the next person needs: particulars, photographs, deviations."""

from __future__ import annotations

import os
from pathlib import Path

from questionary import Choice

from planner.errors import InputError
from planner.pack.text import short
from planner.record import photos
from planner.record.asking import STOP, Say, choose, write
from planner.record.desk import RecordDesk
from planner.record.model import Plain

OTHER, NOWHERE = "other", ""
MAX_LABEL = 80

#: Particulars that the handover sheet has a place for.
ASK = "Who to ask"
FUSE_PLACE = "Place of the battery fuse"
ISOLATOR_PLACE = "Place of the isolator"
CONTROLLER_PLACE = "Place of the controller"
PARTICULARS = (
    ASK,
    FUSE_PLACE,
    ISOLATOR_PLACE,
    CONTROLLER_PLACE,
    "Spare fuse: where and which",
    "Serial number of the panel",
    "Serial number of the controller",
    "Sealant: product, batch, use-by date",
    "Bonding adhesive or primer: product, batch, use-by date",
    "Instruments used, with number or age",
    "Torque of each bolt",
    "Force to open and shut, before and after",
)


def note(desk: RecordDesk, say: Say) -> None:
    """Write one particular down; an earlier one under the same name stays in the history."""
    known = [entry.key for entry in desk.book.standing("note")]
    labels = [*PARTICULARS, *(key for key in known if key not in PARTICULARS)]
    choices = [Choice(f"{label}{_present(desk, label)}", value=label) for label in labels]
    chosen = choose(
        "Write down what?",
        [*choices, Choice("something else", value=OTHER), Choice("go back", value=STOP)],
    )
    if chosen == STOP:
        return
    if chosen == OTHER:
        chosen = write("Name of it:", needed=True, check=_too_long)
    old = desk.book.now("note", chosen)
    text = write(f"{chosen}:", needed=True, default=str(old.value) if old else "")
    desk.add(desk.entry("note", chosen, text))
    say("Written down.")


def _present(desk: RecordDesk, label: str) -> str:
    old = desk.book.now("note", label)
    return f": {short(str(old.value), 40)}" if old else ""


def _too_long(said: str) -> str:
    return f"At most {MAX_LABEL} characters." if len(said) > MAX_LABEL else ""


def photo(desk: RecordDesk, say: Say) -> None:
    """Copy a photograph beside the job and write it down with its checksum."""
    typed = write("Which file? (empty goes back)").strip("'\"")
    if not typed:
        return
    source = Path(os.path.expanduser(typed))  # noqa: PTH111  - the other one fails on '~nobody'
    try:
        photos.look(source)  # before anything more is asked about it
    except InputError as error:
        say(str(error))
        return
    step = _which_step(desk, "Of which step?")
    caption = write("What does it show?", needed=True)
    number = len(desk.book.history_of("photo")) + 1
    about = step.partition("/")[0] or "job"
    try:
        kept = photos.keep(desk.job, source, number, about)
    except InputError as error:
        say(str(error))
        return
    more: dict[str, Plain] = {"file": kept.file, "sha256": kept.sha256, "bytes": kept.size}
    desk.add(desk.entry("photo", kept.file, caption, more={**more, "step": step}))
    say(f"Kept as {photos.folder_of(desk.job).name}/{kept.file}, every byte: the place, time and "
        "device that a camera writes into it go along when the papers are handed over.")


def deviation(desk: RecordDesk, say: Say) -> None:
    """Write down what was done otherwise than planned, and why."""
    step = _which_step(desk, "At which step?")
    what = write("What was done otherwise than planned? (empty goes back)")
    if not what:
        return
    why = write("Why? Who agreed?", needed=True)
    key = f"deviation-{len(desk.book.history_of('deviation')) + 1}"
    desk.add(desk.entry("deviation", key, what, why, {"step": step}))
    say("Written down.")


def _which_step(desk: RecordDesk, question: str) -> str:
    """Return the key of a step, by its number as the pack prints it."""
    by_number = {str(number): p.key for p in desk.points for number in (p.number, *p.parts)}

    def check(said: str) -> str:
        known = said.strip() in by_number or not said.strip()
        return "" if known else "Write the step's number as the pack prints it, or nothing."

    said = write(f"{question} Its number (empty: of none)", check=check)
    return by_number.get(said, NOWHERE)
