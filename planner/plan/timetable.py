"""The timetable: the order of work placed in working days, with nights only where they are safe.

One crew does one move after another. Waits are clocks that run on by themselves, at night too.
A stretch is the shortest run of moves from one state in which a night may be spent to the next.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.errors import OutOfRangeError
from planner.plan.critical import critical, minutes_of
from planner.plan.links import START, Links, clock_of, links, wait_for
from planner.plan.model import Move, Slot, Task, Variable
from planner.plan.natural import strict_readers
from planner.plan.workdays import DAY_MIN, Course, Days, Work, place

SHORT_H = 24.0
"""A value that lapses within a day does not last over a night and the work around it."""


class Summary(Struct, frozen=True):
    """The figures of a timetable.

    Attributes:
        end_min: When the last move ends [min from midnight before the first working day].
        nights: Nights between the first move and the end.
        work_min: Working time of all moves, brackets included [min].
        changes: How often work, not time, changes each state variable.
    """

    end_min: float
    nights: int
    work_min: float
    changes: Mapping[str, int]


def schedule(
    moves: Sequence[Move],
    tasks: Mapping[str, Task],
    variables: Mapping[str, Variable],
    *,
    day_start_min: float = 480,
    hours_per_day: float,
    crew: int,
    brackets: tuple[Task, Task] | None,
    days_off: frozenset[int] = frozenset(),
) -> tuple[Slot, ...]:
    """Place the moves in time; put in brackets where a night must break into a stretch.

    Args:
        moves: The order of work, as ``order.arrange`` gives it.
        tasks: Every task that the moves name.
        variables: Every state variable.
        day_start_min: When work starts each day [min after midnight], 0 or more.
        hours_per_day: Working hours a day [h], more than 0; the day must end by midnight.
        crew: People on the job, 1 or more. They work together on one move at a time, so more
            of them do not shorten it; too few for some move is a finding, not made here.
        brackets: The tasks that make safe and resume, or ``None`` for a job without: then a
            stretch longer than a day runs through the night, and the proof says so.
        days_off: Days without work, each as its number from the first day, 0 to 6; every
            seventh day after it is one too. At least one day of the week is worked.

    Returns:
        A slot for each move and for each bracket put in, in order. A step that a bracket breaks
        off has a slot for each part; all parts but the last are marked ``more``.

    Raises:
        OutOfRangeError: If a day has no length, or is too short to make safe and resume in.

    Notes:
        A stretch starts today if it ends today, else next morning if it fits that day. A longer
        one is broken by brackets: it starts today or next morning, whichever takes fewer
        brackets, then whichever ends sooner; what would lapse overnight is not begun in the
        evening. A step is split over a night only if it is longer
        than a working day.
    """
    _check(day_start_min, hours_per_day, crew)
    if not days_off < frozenset(range(7)):
        raise OutOfRangeError("days_off", sorted(days_off), "days 0 to 6, not all of them")
    found = links(moves, tasks, variables)
    days = Days(day_start_min, day_start_min + hours_per_day * 60, days_off)
    lapsing = list(_lapsing(variables, found))
    minutes, together = minutes_of(moves, tasks), dict(sorted(lapsing))
    work = Work(moves, minutes, found.clocks, together, days, brackets)
    first = days.open(days.start)
    course = Course(work, first, {START: first})
    safe = _safe(moves, tasks, variables, lapsing)
    for stretch in _stretches(safe):
        both = safe[stretch[0]] and safe[stretch[-1] + 1]
        course = place(course, stretch, safe=both)
    flags = critical(found, minutes)
    return tuple(
        replace(slot, critical=True) if where != START and flags[where] else slot
        for where, slot in course.slots
    )


def _check(day_start_min: float, hours_per_day: float, crew: int) -> None:
    if not 0 <= day_start_min < DAY_MIN:
        raise OutOfRangeError("day_start_min", day_start_min, "0 or more and less than 1440")
    longest = (DAY_MIN - day_start_min) / 60
    if not 0 < hours_per_day <= longest:
        allowed = f"more than 0 and at most {longest:g}, so that work ends by midnight"
        raise OutOfRangeError("hours_per_day", hours_per_day, allowed)
    if not crew >= 1:
        raise OutOfRangeError("crew", crew, "1 or more")


def _safe(
    moves: Sequence[Move],
    tasks: Mapping[str, Task],
    variables: Mapping[str, Variable],
    lapsing: Sequence[tuple[int, int]],
) -> list[bool]:
    """Return for the start, and after each move, whether a night may be spent there."""
    rest = {(name, v): _may_rest(one, v) for name, one in variables.items() for v in one.values}
    restless = {name for name, one in variables.items() if not rest[name, one.initial]}
    safe = [not restless]
    for move in moves:
        for name, value in _left(move, tasks).items():
            (restless.discard if rest[name, value] else restless.add)(name)
        safe.append(not restless)
    for begin, end in lapsing:
        safe[begin + 1 : end + 1] = [False] * (end - begin)
    return safe


def _left(move: Move, tasks: Mapping[str, Task]) -> Mapping[str, str]:
    return dict([wait_for(move)]) if move.kind == "wait" else tasks[move.task].leaves


def _may_rest(variable: Variable, value: str) -> bool:
    """True if nights may be spent in a value and in all that time turns it into."""
    seen: set[str] = set()
    while variable.nights is not None and value not in seen:
        if value not in variable.nights:
            return False
        seen.add(value)
        clock = clock_of(variable, value)
        value = clock.becomes if clock is not None else value
    return True


def _lapsing(variables: Mapping[str, Variable], found: Links) -> Iterator[tuple[int, int]]:
    """Yield the spans of moves in which a value must be used before it lapses."""
    for name, runs in found.runs.items():
        for run in runs:
            readers = strict_readers(run, variables[name], found)
            clock = clock_of(variables[name], run.value)
            if readers and clock is not None and clock.hours <= SHORT_H:
                yield max(run.writers, default=START), max(readers)


def _stretches(safe: Sequence[bool]) -> Iterator[range]:
    """Yield the moves from each state in which a night may be spent to the next."""
    begin = 0
    for end in range(1, len(safe)):
        if safe[end] or end == len(safe) - 1:
            yield range(begin, end)
            begin = end


def summary(
    slots: Sequence[Slot], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> Summary:
    """Return the figures of a timetable.

    Args:
        slots: The timetable.
        tasks: Every task that it names, brackets included.
        variables: Every state variable.
    """
    end = max((slot.end_min for slot in slots), default=0.0)
    begin = min((slot.start_min for slot in slots), default=0.0)
    whole = [slot.move for slot in slots if slot.move.kind != "wait" and not slot.move.more]
    return Summary(
        end_min=end,
        nights=int(end // DAY_MIN) - int(begin // DAY_MIN),
        work_min=sum(tasks[move.task].minutes for move in whole),
        changes=_changes([slot.move for slot in slots], tasks, variables),
    )


def _changes(
    moves: Sequence[Move], tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> dict[str, int]:
    state = {name: variable.initial for name, variable in variables.items()}
    changes: Counter[str] = Counter()
    for move in moves:
        if move.kind == "bracket" or move.more:
            continue
        left = _left(move, tasks)
        if move.kind != "wait":
            changes.update(name for name, value in left.items() if state[name] != value)
        state.update(left)
    return dict(changes)
