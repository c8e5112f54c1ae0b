"""The record in the terminal: what is found at the van is written down, judged and kept at once."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import questionary
from questionary import Choice

from planner.errors import InputError
from planner.folder import as_typed
from planner.record import asking, changes, extras
from planner.record.asking import STOP, Say, choose, write
from planner.record.desk import Clock, RecordDesk, plan_of
from planner.record.model import PlanId
from planner.record.walk import tick_phase, walk
from planner.rulebase.base import RuleBase
from planner.survey.screen import indented, told

Deed = Callable[[RecordDesk, Say], None]


def record(job_path: Path, base: RuleBase, say: Say, *, clock: Clock) -> None:
    """Ask what was found and done, and keep it beside the job.

    Args:
        job_path: The job file.
        base: The rules.
        say: Prints a line.
        clock: Gives the moment, with its offset, whenever something is written down.

    Raises:
        InputError: If there is no terminal, or job or record are faulty, held or not writable.
        KeyboardInterrupt: When the fitter presses Ctrl-C; all that was said is on disk.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise InputError.of(
            str(job_path),
            "the record needs a terminal to ask in",
            "Run it in a terminal, or import the file that the work pack's page saves.",
        )
    plan = plan_of(job_path, base)
    with RecordDesk(job_path, plan, clock) as desk:
        if _greet(desk, say):
            _menu(desk, say)
    say(f"Kept in {desk.path}. Go on with: lidwork record {as_typed(job_path)}")


def _greet(desk: RecordDesk, say: Say) -> bool:
    """Say where the record stands and who writes; return False where nothing may be added."""
    say(told("What you write is on disk at once, with your name and the time. "
             "Nothing is overwritten."))
    if desk.torn:
        say(told("The last line was cut off while it was written; nothing of it had been "
                 "confirmed."))
    last = desk.book.entries[-1].by if desk.book.entries else ""
    desk.by = asking.name_of_writer(last)
    bound, now = desk.book.plan, PlanId.of(desk.plan)
    if bound is None or bound.same(now):
        return True
    return _carry_on(desk, bound, now, say)


def _carry_on(desk: RecordDesk, bound: PlanId, now: PlanId, say: Say) -> bool:
    """The record was made for another plan: say so plainly, and ask."""
    say("")
    say(told(f"THIS RECORD WAS MADE FOR ANOTHER PLAN: {bound.differs(now)}."))
    again = sum(1 for p in desk.points if _was_agreed(desk, p.key) and not desk.book.agreed(p))
    say(indented(f"Readings stay and are judged by the present limits. {again} steps that read "
                 f"differently now must be accepted or signed again. "
                 f"Entries of steps that this plan no longer has: {len(desk.book.strays())}."))
    chosen = choose(
        "Is it the same van?",
        [Choice("leave the record as it is", value=STOP),
         Choice("yes: carry the record on with the present plan", value="on")],
    )
    why = write("Why did the plan change?", needed=True) if chosen == "on" else None
    if why:
        desk.carry_on(why)
    return bool(why)


def _was_agreed(desk: RecordDesk, key: str) -> bool:
    return bool(desk.book.now("accept", key) or desk.book.now("sign", key))


def _menu(desk: RecordDesk, say: Say) -> None:
    deeds: dict[str, Deed] = {
        "go": walk,
        "tick": tick_phase,
        "note": extras.note,
        "photo": extras.photo,
        "deviation": extras.deviation,
        "change": changes.change,
        "open": changes.show_open,
        "close": changes.close,
    }
    while True:
        say("")
        say(changes.summary(desk.book))
        chosen = choose("What now?", _choices(desk))
        if chosen == STOP:
            return
        deeds[chosen](desk, say)


def _choices(desk: RecordDesk) -> list[questionary.Choice]:
    matters = desk.book.open()
    choices = [
        Choice("tick several steps of a phase at once", value="tick"),
        Choice("write down a batch, serial number, place of a fuse, torque …", value="note"),
        Choice("add a photograph", value="photo"),
        Choice("note a deviation from the plan", value="deviation"),
        Choice("look at what is recorded, change or take back", value="change"),
        Choice("stop here", value=STOP),
    ]
    if matters:
        first = matters[0]
        choices.insert(0, Choice(f"go on at step {first.number}: {first.title}", value="go"))
        choices.insert(-1, Choice("show all that is open", value="open"))
    elif desk.book.closed is None:
        choices.insert(0, Choice("close the job", value="close"))
    return choices
