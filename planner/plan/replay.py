"""Replays an order of work move by move, and writes down every rule that it breaks."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from planner.plan.model import Clock, Invariant, Move, Slot, Task, Variable, Violation

DAY_MIN = 1440
SLACK_MIN = 1e-6
"""Times are sums of decimal fractions; less than this is no difference."""


class _Value(Struct, frozen=True):
    """The value of a variable, since when it is there [min], and what time made it from."""

    value: str
    since: float
    was: tuple[str, ...] = ()


class Replay:
    """Replays moves one by one and writes down what is wrong."""

    def __init__(
        self,
        tasks: Mapping[str, Task],
        variables: Mapping[str, Variable],
        invariants: Mapping[str, Invariant],
        now: float,
    ) -> None:
        self.tasks, self.variables, self.invariants = tasks, variables, invariants
        self.now = now
        self.found: list[Violation] = []
        self.clocks = {name: _clocks(v) for name, v in self.variables.items() if v.clocks}
        self.combined = [i for i in self.invariants.values() if i.states and not i.does]
        self.state = {v.id: _Value(v.initial, self.now) for v in self.variables.values()}
        self.done: set[str] = set()
        self.worked: dict[str, float] = {}
        self.broken_off = ""
        self.safe: tuple[str, dict[str, _Value]] | None = None

    def say(self, index: int, task: str, rule: str, what: str) -> None:
        """Write down one violation."""
        self.found.append(Violation(index, task, rule, what))

    def make(self, index: int, move: Move, slot: Slot | None) -> None:
        """Replay one move; in real time if its slot is given."""
        if slot is not None and move.kind != "wait":
            self._start(index, slot)
        if move.kind == "wait":
            self._wait(index, move, slot)
        elif move.task not in self.tasks:
            self.say(index, move.task, "unknown", "There is no such task.")
        elif move.kind == "bracket":
            self._bracket(index, self.tasks[move.task])
            self._run_to(self.now if slot is None else slot.end_min)
        else:
            self._do(index, move, self.tasks[move.task], slot)
        self._combinations(index, move.task)

    def _start(self, index: int, slot: Slot) -> None:
        """Let time run to the start of a slot; a night before it must be in a safe state."""
        if slot.start_min < self.now - SLACK_MIN:
            self.say(index, slot.move.task, "time", "It starts before the last move has ended.")
        if _nights(self.now, slot.start_min):
            self._night(index, slot.move.task)
        self._run_to(slot.start_min)

    def _run_to(self, minute: float) -> None:
        """Let every clock run that has run out by then."""
        self.now = minute
        for name, clocks in self.clocks.items():
            while (clock := clocks.get(self.state[name].value)) is not None:
                now = self.state[name]
                end = now.since + clock.hours * 60
                if end > minute + SLACK_MIN / 2:
                    break
                self.state[name] = _Value(clock.becomes, end, (*now.was, now.value))

    def _night(self, index: int, task: str) -> None:
        if self.safe is not None:
            return
        for name, now in self.state.items():
            nights = self.variables[name].nights
            if nights is not None and now.value not in nights:
                what = f"A night passes with {name} '{now.value}'."
                self.say(index, task, "night", what)

    def _wait(self, index: int, move: Move, slot: Slot | None) -> None:
        name, _, value = move.task.rpartition(":")
        if name not in self.variables:
            self.say(index, move.task, "unknown", "There is no such state to wait for.")
            return
        clocks, before = self.clocks.get(name, {}), self.state[name].value
        if slot is not None:
            if _nights(self.now, slot.end_min):
                self._night(index, move.task)
            self._run_to(max(self.now, slot.end_min))
            # By then time may have turned it further.
            in_time = self.state[name].value in _becomes(clocks, value)
        else:
            in_time = any(
                clock.waits and clock.value == before and clock.becomes == value
                for clock in self.variables[name].clocks
            )
            self.state[name] = _Value(value, self.now)
        if not in_time:
            what = f"When the wait ends, {name} '{before}' has not become '{value}'."
            self.say(index, move.task, "wait", what)

    def _bracket(self, index: int, task: Task) -> None:
        """Make safe, or resume: which brings every state back as it was found."""
        self._allowed(index, task)
        if self.safe is None:
            self.safe = task.id, dict(self.state)
            self._leave(task)
            return
        if self.safe[0] == task.id:
            self.say(index, task.id, "bracket", "Work is made safe twice and never resumed.")
        self.state, self.safe = self.safe[1], None

    def _do(self, index: int, move: Move, task: Task, slot: Slot | None) -> None:
        if self.safe is not None:
            self.say(index, task.id, "bracket", "Work goes on that was made safe and not resumed.")
        if self.broken_off not in ("", task.id):
            what = f"'{self.broken_off}' was broken off and is not taken up again."
            self.say(index, task.id, "bracket", what)
        self._allowed(index, task)
        if slot is not None:
            self._work(index, task, slot, move)
            self._needs(index, task, "when it ends")
        self.broken_off = task.id if move.more else ""
        if not move.more:
            self._leave(task)
            self._finished(index, task)

    def _allowed(self, index: int, task: Task) -> None:
        missing = task.after - self.done
        if missing:
            what = f"It comes before {', '.join(sorted(missing))}."
            self.say(index, task.id, "after", what)
        self._needs(index, task, "when it starts")
        acts = {act.does for act in task.acts}
        for invariant in self.invariants.values():
            if invariant.does not in acts or not speaks_of(invariant, task):
                continue
            if self._is(invariant.states):
                what = f"It {invariant.does} while {words(invariant.states)}."
                self.say(index, task.id, "invariant", f"{invariant.id}: {what}")

    def _needs(self, index: int, task: Task, when: str) -> None:
        for name, allowed in task.needs.items():
            now = self.state[name]
            if now.value not in allowed:
                rule = "lapse" if allowed.intersection(now.was) else "need"
                what = f"{name} is '{now.value}' {when}; it needs {_either(allowed)}."
                self.say(index, task.id, rule, what)

    def _work(self, index: int, task: Task, slot: Slot, move: Move) -> None:
        """Let the task's time pass; at its very end what runs out then is still there."""
        if _nights(slot.start_min, slot.end_min):
            self._night(index, task.id)
        self._run_to(slot.end_min - SLACK_MIN)
        self.now = slot.end_min
        self.worked[task.id] = self.worked.get(task.id, 0.0) + slot.end_min - slot.start_min
        if not move.more:
            worked = self.worked.pop(task.id)
            if worked < task.minutes - SLACK_MIN:
                what = f"It is given {worked:g} min and takes {task.minutes:g}."
                self.say(index, task.id, "time", what)

    def _leave(self, task: Task) -> None:
        for name, value in task.leaves.items():
            self.state[name] = _Value(value, self.now)

    def _finished(self, index: int, task: Task) -> None:
        if task.enabling:
            return
        if task.id in self.done:
            self.say(index, task.id, "once", "It is done twice.")
        self.done.add(task.id)

    def _is(self, states: Mapping[str, frozenset[str]]) -> bool:
        return all(
            name in self.state and self.state[name].value in values
            for name, values in states.items()
        )

    def _combinations(self, index: int, task: str) -> None:
        for invariant in self.combined:
            if self._is(invariant.states):
                what = f"{invariant.id}: after it, {words(invariant.states)}."
                self.say(index, task, "invariant", what)

    def finish(self, index: int) -> None:
        """Write down what is still wanting after the last move."""
        steps = (task for task in self.tasks.values() if not task.enabling)
        for task in steps:
            if task.id not in self.done:
                self.say(index, task.id, "once", "It is never done.")
        if self.safe is not None:
            self.say(index, self.safe[0], "bracket", "The work ends made safe, not resumed.")


def _clocks(variable: Variable) -> Mapping[str, Clock]:
    """Return for each value the clock that runs out first while it is there."""
    found: dict[str, Clock] = {}
    for clock in sorted(variable.clocks, key=lambda clock: clock.hours):
        found.setdefault(clock.value, clock)
    return found


def _becomes(clocks: Mapping[str, Clock], value: str) -> set[str]:
    """Return a value and everything that time turns it into."""
    values: set[str] = set()
    while value not in values:
        values.add(value)
        value = clocks[value].becomes if value in clocks else value
    return values


def _nights(start_min: float, end_min: float) -> bool:
    return int(end_min // DAY_MIN) > int(start_min // DAY_MIN)


def speaks_of(invariant: Invariant, task: Task) -> bool:
    """Return True if the task does what the invariant speaks of."""
    return any(act.does == invariant.does and invariant.of in ("", act.of) for act in task.acts)


def _either(values: frozenset[str]) -> str:
    return " or ".join(f"'{value}'" for value in sorted(values))


def words(states: Mapping[str, frozenset[str]]) -> str:
    """Return states in words: ``roof is 'shut'``."""
    return " and ".join(f"{name} is {_either(values)}" for name, values in sorted(states.items()))
