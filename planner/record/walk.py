"""Go through what is open in the order of work: readings first, then whether the step is right."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from questionary import Choice

from planner.pack.text import short
from planner.record.asking import SKIP, STOP, Say, choose, tick, write
from planner.record.desk import RecordDesk
from planner.record.judge import is_free, judge, limits, said, typed
from planner.record.model import Plain
from planner.record.names import names, too_few
from planner.record.points import Point, ReadingPoint
from planner.survey.screen import indented, width
from planner.words import counted

WAIVE = "waive"
WORDS = (SKIP, WAIVE, STOP)


def walk(desk: RecordDesk, say: Say) -> None:
    """Ask for everything that is open, step after step, until all is said or the fitter stops."""
    say("At a reading you may also type: skip, waive, stop.")
    for point in desk.points:
        if any(desk.book.open_at(point)) and not ask_step(desk, point, say):
            return


def ask_step(desk: RecordDesk, point: Point, say: Say) -> bool:
    """Ask for one step; return False when the fitter stops."""
    say("")
    hold = " · HOLD POINT" if point.hold else ""
    say(f"Step {point.number} · {point.phase}{hold}")
    say(indented(point.title))
    for matter in desk.book.open_at(point):
        if matter.key != point.key and not ask_reading(desk, _reading(point, matter.key), say):
            return False
    return ask_right(desk, point, say)


def _reading(point: Point, key: str) -> ReadingPoint:
    return next(reading for reading in point.readings if reading.key == key)


def ask_reading(desk: RecordDesk, point: ReadingPoint, say: Say) -> bool:
    """Ask for one reading, keep and judge it; return False when the fitter stops."""
    reading = point.reading
    unit = "" if is_free(reading) or not reading.unit else f" [{reading.unit}]"
    band = f", {limits(reading)}" if limits(reading) else ""
    text = write(
        f"{reading.label}{unit}{band}:", needed=True, check=lambda said: _wrong(said, point)
    )
    if text in (STOP, SKIP):
        return text != STOP
    if text == WAIVE:
        waive(desk, point.key, f"the reading '{reading.label}'")
        return True
    value = typed(text, reading)
    keep_reading(desk, point, value)
    say(indented(said(value, reading, _accept(desk, point))))
    if judge(value, reading) in ("below", "above"):
        return _outside(desk, point, value, say)
    return True


def _wrong(text: str, point: ReadingPoint) -> str:
    if text.strip() in WORDS:
        return ""
    try:
        typed(text, point.reading)
    except ValueError as error:
        return f"{error}. Or: skip, waive, stop"
    return ""


def keep_reading(desk: RecordDesk, point: ReadingPoint, value: Plain) -> None:
    """Write a reading down with the band that it was judged by."""
    reading = point.reading
    more: dict[str, Plain] = {"unit": reading.unit, "low": reading.low, "high": reading.high}
    desk.add(desk.entry("reading", point.key, value, more=more))


def _accept(desk: RecordDesk, point: ReadingPoint) -> str:
    return next(step.accept for step in desk.points if step.key == point.step)


def _outside(desk: RecordDesk, point: ReadingPoint, value: Plain, say: Say) -> bool:
    chosen = choose(
        "It is outside its limit. What now?",
        [
            Choice("measure again and write the new value", value="again"),
            Choice("leave it open and go on", value=SKIP),
            Choice("it may stay, for a reason that I write down", value="stay"),
            Choice("stop here", value=STOP),
        ],
    )
    if chosen == "again":
        return ask_reading(desk, point, say)
    if chosen == "stay":
        excuse(desk, point, value, write("Why may it stay? Who agreed?", needed=True))
    return bool(chosen != STOP)


def excuse(desk: RecordDesk, point: ReadingPoint, value: Plain, why: str) -> None:
    """Write down why this very value may stay outside its band."""
    more: dict[str, Plain] = {"value": value, "step": point.step}
    what = f"{point.reading.label} outside its limit, {limits(point.reading)}"
    desk.add(desk.entry("deviation", point.key, what, why, more))


def ask_right(desk: RecordDesk, point: Point, say: Say) -> bool:
    """Ask whether a step is right, and for the names where it is signed."""
    if not any(matter.key == point.key for matter in desk.book.open_at(point)):
        return True
    if point.accept:
        say(indented(f"Right when: {point.accept}"))
    chosen = choose(
        "Is it so?" if point.accept else "Is it done?",
        [
            Choice(f"yes, signed by: {point.signers}" if point.signed else "yes", value="yes"),
            Choice("not done or not looked at yet, next step", value=SKIP),
            Choice("no, something is wrong", value="no"),
            Choice("waive it, for a reason that I write down", value=WAIVE),
            Choice("stop here", value=STOP),
        ],
    )
    if chosen == "yes":
        _agree(desk, point, say)
    elif chosen == "no":
        wrong = write("What is wrong?", needed=True)
        desk.add(desk.entry("sign" if point.signed else "accept", point.key, False, wrong))
    elif chosen == WAIVE:
        waive(desk, point.key, f"step {point.number}")
    return bool(chosen != STOP)


def _agree(desk: RecordDesk, point: Point, say: Say) -> None:
    seal: dict[str, Plain] = {"seal": point.seal}
    if not point.signed:
        desk.add(desk.entry("accept", point.key, True, more=seal))
        return
    open_readings = [m.what for m in desk.book.open_at(point) if m.key != point.key]
    if open_readings and point.hold:
        say(indented(f"This hold point cannot be signed yet: {'; '.join(open_readings)}."))
        return
    signed = write(
        f"Signed by ({point.signers}):",
        needed=True,
        check=lambda said: too_few(said, point.signers, point.names_needed),
        default=desk.by if point.names_needed == 1 else "",
    )
    desk.add(desk.entry("sign", point.key, ", ".join(names(signed)), more=seal))


def waive(desk: RecordDesk, key: str, what: str) -> None:
    """Write down that something is not done, with the reason."""
    why = write(f"Why is {what} waived? Who agreed?", needed=True)
    desk.add(desk.entry("waive", key, True, why))


def tick_phase(desk: RecordDesk, say: Say) -> None:
    """Accept several steps of one phase at once; those with names or readings come one by one."""
    phases = _phases(desk)
    if not phases:
        say("No step is left that a tick alone would do; go on step by step.")
        return
    chosen = choose(
        "Which phase?",
        [*(Choice(f"{name}: {len(steps)} open", value=name) for name, steps in phases.items()),
         Choice("none, go back", value=STOP)],
    )
    if chosen == STOP:
        return
    ticked = tick("Tick what was right when you looked:", _ticks(phases[chosen]))
    by_key = {point.key: point for point in desk.points}
    made = [desk.entry("accept", key, True, more={"seal": by_key[key].seal}) for key in ticked]
    if made:
        desk.add(*made)
    say(f"{counted(len(made), 'step')} accepted.")


def _ticks(steps: Sequence[Point]) -> list[Choice]:
    room = max(60, width() - 8)
    return [
        Choice(short(f"{step.number} {short(step.title, 40)}: {step.accept}", room), value=step.key)
        for step in steps
    ]


def _phases(desk: RecordDesk) -> dict[str, list[Point]]:
    book, found = desk.book, dict[str, list[Any]]()
    for point in desk.points:
        plain_step = point.accept and not point.signed and not point.readings
        if plain_step and any(book.open_at(point)):
            found.setdefault(point.phase, []).append(point)
    return found
