"""Says why no order of work exists: what nothing can leave, and which steps wait for each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from planner.errors import Fault, InputError
from planner.plan.links import wait_for
from planner.plan.model import Task, Variable
from planner.plan.search import Found

WHERE = "order of work"


class _Lack(Struct, frozen=True):
    """What a task waits for, in words, and the tasks that could give it."""

    what: str
    givers: tuple[str, ...]


def refuse_unreachable(tasks: Sequence[Task], variables: Mapping[str, Variable]) -> None:
    """Raise InputError if some step could not be done even if nothing ever spoilt a state.

    Args:
        tasks: All tasks in their natural order.
        variables: All variables.
    """
    had, done = _spread(tasks, variables)
    lacks = {task.id: _lack(task, tasks, had, done) for task in tasks if task.id not in done}
    steps = [task.id for task in tasks if task.id in lacks and not task.enabling]
    if steps:
        raise InputError(*_faults(steps, lacks))


def _spread(
    tasks: Sequence[Task], variables: Mapping[str, Variable]
) -> tuple[dict[str, set[str]], set[str]]:
    """Return the values that can be had and the tasks that can be done, forgetting conflicts."""
    had = {name: {variable.initial} for name, variable in variables.items()}
    done: set[str] = set()
    grown = True
    while grown:
        before = len(done), sum(map(len, had.values()))
        for task in [task for task in tasks if task.id not in done]:
            if task.after <= done and all(ok & had[name] for name, ok in task.needs.items()):
                done.add(task.id)
                for name, value in task.leaves.items():
                    had[name].add(value)
        for name, variable in variables.items():
            for clock in variable.clocks:
                if clock.waits and clock.value in had[name]:
                    had[name].add(clock.becomes)
        grown = before != (len(done), sum(map(len, had.values())))
    return had, done


def _lack(
    task: Task, tasks: Sequence[Task], had: Mapping[str, set[str]], done: set[str]
) -> _Lack:
    """Return the first thing that a task waits for and cannot have."""
    for name in sorted(task.after - done):
        return _Lack(f"'{task.id}' comes after '{name}'", (name,))
    name = min(name for name, allowed in task.needs.items() if not allowed & had[name])
    return _unmet(task, name, tasks)


def _unmet(task: Task, name: str, tasks: Sequence[Task]) -> _Lack:
    allowed = task.needs[name]
    givers = tuple(giver.id for giver in tasks if giver.leaves.get(name) in allowed)
    left_by = f"which {_either(givers)} leaves" if givers else "and nothing leaves that"
    return _Lack(f"'{task.id}' needs {name} to be {_either(allowed)}, {left_by}", givers)


def _either(names: Iterable[str]) -> str:
    return " or ".join(f"'{name}'" for name in sorted(names))


def _faults(steps: Sequence[str], lacks: Mapping[str, _Lack]) -> Iterator[Fault]:
    """Yield one fault for each root of the trouble: a need without giver, or a ring."""
    told: set[str] = set()
    for step in steps:
        path: list[str] = []
        name = step
        while name not in path and name not in told and lacks[name].givers:
            path.append(name)
            name = lacks[name].givers[0]
        if name in path:
            yield _ring([lacks[one] for one in path[path.index(name) :]])
        elif name not in told:
            yield _wanting(lacks[name])
        told.update(path, (name,))


def _ring(lacks: Sequence[_Lack]) -> Fault:
    cure = "Let one of them need less, or add a task that leaves what it needs."
    whats = "; ".join(lack.what for lack in lacks)
    return Fault(WHERE, f"These tasks wait for each other: {whats}.", cure)


def _wanting(lack: _Lack) -> Fault:
    cure = "Add a task that leaves it, or correct the need."
    return Fault(WHERE, f"{lack.what}.", cure)


def explain(found: Found, tasks: Sequence[Task], variables: Mapping[str, Variable]) -> InputError:
    """Return the error for a job whose every step can be done, but not all of them in one order.

    Args:
        found: The longest beginning of an order.
        tasks: All tasks in their natural order.
        variables: All variables.
    """
    state, done = _after(found, tasks, variables)
    steps = [task for task in tasks if not task.enabling]
    stuck = [task for task in steps if task.id not in done and task.after <= done]
    faults = [
        Fault(WHERE, f"{_unmet(task, name, tasks).what}; but then {name} is '{state[name]}'.")
        for task in stuck
        for name, allowed in sorted(task.needs.items())
        if state[name] not in allowed
    ]
    how = "No order exists" if found.exhausted else "No order was found"
    head = f"{how}: {len(done)} of {len(steps)} steps can be done, and then these are stuck."
    cure = "Look for a need that another step spoils for good, or for a task that cannot go back."
    return InputError(Fault(WHERE, head, cure), *faults)


def _after(
    found: Found, tasks: Sequence[Task], variables: Mapping[str, Variable]
) -> tuple[dict[str, str], set[str]]:
    """Return the state after the moves, and the steps done."""
    state = {name: variable.initial for name, variable in variables.items()}
    by_id = {task.id: task for task in tasks}
    for move in found.moves:
        left = dict([wait_for(move)]) if move.kind == "wait" else by_id[move.task].leaves
        state.update(left)
    return state, {move.task for move in found.moves if move.kind == "step"}
