"""Working days: places stretches of work on the clock, broken by brackets where they must be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from planner.errors import OutOfRangeError
from planner.plan.links import START, Started
from planner.plan.model import Move, Slot, Task

DAY_MIN = 1440.0
SLACK_MIN = 1e-6
"""Times are sums of decimal fractions; less than this is no difference."""


class Days(Struct, frozen=True):
    """The working hours of every day, in minutes after midnight.

    ``off`` holds the days without work, each by its number from the first day, modulo seven.
    """

    start: float
    end: float
    off: frozenset[int] = frozenset()

    @property
    def length(self) -> float:
        """Working minutes in a day."""
        return self.end - self.start

    def morning(self, minute: float) -> float:
        """Return the next working morning's start of work.

        Examples:
            >>> Days(480, 960, frozenset({1})).morning(900) / DAY_MIN
            2.3333333333333335
        """
        day = minute // DAY_MIN + 1
        while day % 7 in self.off:
            day += 1
        return day * DAY_MIN + self.start

    def evening(self, minute: float) -> float:
        """Return the end of work on the day of that minute."""
        return minute // DAY_MIN * DAY_MIN + self.end

    def open(self, minute: float) -> float:
        """Return that minute if it lies in working hours, else when work next starts."""
        if minute // DAY_MIN % 7 in self.off or minute > self.evening(minute) + SLACK_MIN:
            return self.morning(minute)
        return max(minute, minute // DAY_MIN * DAY_MIN + self.start)

    def after(self, start: float, minutes: float) -> float:
        """Return when work begun then ends, if it goes on day after day.

        Examples:
            >>> Days(480, 960).after(900, 120)
            1980.0
        """
        left = self.evening(start) - start
        while minutes > left + SLACK_MIN:
            minutes -= left
            start, left = self.morning(start), self.length
        return start + minutes


class Work(Struct, frozen=True):
    """What is to be placed: the moves with their minutes, the clocks, and the brackets.

    ``together`` gives for a move the last one that must follow it without a night between: what
    the move leaves would lapse.
    """

    moves: Sequence[Move]
    minutes: Sequence[float]
    clocks: Mapping[int, Started]
    together: Mapping[int, int]
    days: Days
    brackets: tuple[Task, Task] | None

    @property
    def bracket_min(self) -> tuple[float, float]:
        """Minutes to make safe and to resume."""
        return (self.brackets[0].minutes, self.brackets[1].minutes) if self.brackets else (0.0, 0.0)


class Course(Struct):
    """How far the placing has come: the time, when each move ended, and the slots so far."""

    work: Work
    now: float
    ended: dict[int, float] = field(default_factory=dict)
    slots: list[tuple[int, Slot]] = field(default_factory=list)
    nights_broken: int = 0

    def at(self, minute: float) -> Course:
        """Return a copy that goes on from another time."""
        return replace(self, now=minute, ended=dict(self.ended), slots=list(self.slots))

    def wait_ends(self, place: int) -> float:
        """Return when the clock of a wait has run."""
        clock = self.work.clocks[place]
        return self.ended[clock.by] + clock.hours * 60

    def wait(self, place: int) -> None:
        """Place a wait; work stands still until its clock has run."""
        end = self.wait_ends(place)
        begun = self.ended[self.work.clocks[place].by]
        self.slots.append((place, Slot(self.work.moves[place], begun, end)))
        self.ended[place] = end
        self.now = max(self.now, end)

    def do(self, place: int, end: float, *, more: bool = False) -> None:
        """Place a move, or a part of one, from now to its end."""
        move = replace(self.work.moves[place], more=True) if more else self.work.moves[place]
        self.slots.append((place, Slot(move, self.now, end)))
        self.now = self.ended[place] = end

    def straight(self, stretch: Sequence[int]) -> Course:
        """Place a stretch without a break, however late it gets."""
        for place in stretch:
            if place in self.work.clocks:
                self.wait(place)
            else:
                self.do(place, self.now + self.work.minutes[place])
        return self

    def broken(self, stretch: Sequence[int]) -> Course:
        """Place a stretch that is longer than a day, made safe each evening."""
        for place in stretch:
            spare = 0.0 if place == stretch[-1] else self.work.bracket_min[0]
            if place in self.work.together:
                self._keep_together(place, begun=place != stretch[0])
            if place in self.work.clocks:
                self._wait_broken(place, spare)
            else:
                self._do_broken(place, spare, begun=place != stretch[0])
        return self

    def _wait_broken(self, place: int, spare: float) -> None:
        end = self.wait_ends(place)
        if end > self.now and end + spare > self.work.days.evening(self.now):
            self._night(end)
        self.wait(place)

    def _keep_together(self, place: int, *, begun: bool) -> None:
        """Go home first if what lapses would not be used today, but would in a whole day."""
        make_safe, resume = self.work.bracket_min
        needed = sum(self.work.minutes[place : self.work.together[place] + 1]) + make_safe
        fits_today = self.now + needed <= self.work.days.evening(self.now) + SLACK_MIN
        if not fits_today and needed + resume <= self.work.days.length + SLACK_MIN:
            self._go_home(begun=begun)

    def _do_broken(self, place: int, spare: float, *, begun: bool) -> None:
        days, left = self.work.days, self.work.minutes[place]
        make_safe, resume = self.work.bracket_min
        while self.now + left + spare > days.evening(self.now) + SLACK_MIN:
            fresh = days.evening(self.now) - self.now >= days.length - resume - SLACK_MIN
            if fresh:
                part = days.evening(self.now) - make_safe - self.now
                self.do(place, self.now + part, more=True)
                left -= part
            self._go_home(begun=begun or fresh)
            begun = True
        self.do(place, self.now + left)

    def _go_home(self, *, begun: bool) -> None:
        """Go on next morning; what is begun is made safe first."""
        if begun:
            self._night()
        else:
            self.now = self.work.days.morning(self.now)

    def _night(self, until: float = 0.0) -> None:
        """Make safe, go home, and resume when work may go on."""
        days, evening = self.work.days, self.now
        self._bracket(0)
        self.now = max(days.morning(evening), days.open(until))
        self._bracket(1)
        self.nights_broken += 1

    def _bracket(self, which: int) -> None:
        if self.work.brackets is not None:
            task = self.work.brackets[which]
            end = self.now + task.minutes
            self.slots.append((START, Slot(Move(task.id, "bracket"), self.now, end)))
            self.now = end


def place(course: Course, stretch: Sequence[int], *, safe: bool) -> Course:
    """Return the course with one more stretch placed.

    Args:
        course: What is placed already.
        stretch: The places of its moves.
        safe: True if a night may be spent before and after it.

    Raises:
        OutOfRangeError: If it needs a bracket and a day is too short for one.
    """
    if all(one in course.work.clocks for one in stretch) and safe:
        return course.at(course.now).straight(stretch)
    days = course.work.days
    start = days.open(course.now)
    morning = days.morning(start)
    for begin in (start, morning):
        whole = course.at(begin).straight(stretch)
        if whole.now <= days.evening(begin) + SLACK_MIN:
            return whole
    if safe and len(stretch) == 1:
        through = course.at(start)
        through.do(stretch[0], days.after(start, course.work.minutes[stretch[0]]))
        return through
    if not days.length > sum(course.work.bracket_min):
        what = "more than it takes to make safe in the evening and resume in the morning"
        raise OutOfRangeError("hours_per_day", days.length / 60, what)
    tries = [course.at(begin).broken(stretch) for begin in (start, morning)]
    return min(tries, key=lambda one: (one.nights_broken, one.now))
