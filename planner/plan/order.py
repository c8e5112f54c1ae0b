"""The order of work: every step once, and the cheapest changes of state that let each be done."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence

from planner.errors import CycleError, Fault, InputError, nearest
from planner.plan import blocked
from planner.plan.encode import encode
from planner.plan.model import Move, Task, Variable
from planner.plan.natural import natural
from planner.plan.search import find

Moves = tuple[Move, ...]


def _afresh(_: Hashable, work: Callable[[], Moves]) -> Moves:
    return work()


def arrange(
    tasks: Mapping[str, Task],
    variables: Mapping[str, Variable],
    once: Callable[[Hashable, Callable[[], Moves]], Moves] = _afresh,
) -> Moves:
    """Return the order of work.

    Every task comes once, except enabling tasks: those are put in where a need asks for them, as
    often as needs ask. A wait stands where the order first relies on what time has done.

    Args:
        tasks: The selected steps and the enabling tasks, by id.
        variables: The state variables that they speak of, by id.
        once: Returns what was worked out under a key already, or works it out: the search does
            not look at minutes, so that one serves jobs that differ in nothing else.

    Raises:
        CycleError: If steps come after one another in a ring; it names the ring.
        InputError: If a task names what does not exist, or if no order meets every need; it
            says which steps need what nothing can leave, or wait for each other.

    Notes:
        The order has the least cost that any order has: ``Variable.cost`` for each value that an
        enabling task changes, and a little for each hour of waiting. Waits serve needs only: none
        is made so that a change becomes unnecessary. Among the cheapest the same
        job always gives the same one, whatever the order of ``tasks`` and ``variables``.
    """
    in_order = sorted(tasks.values(), key=lambda task: (task.phase, task.rank, task.id))
    known = [variables[name] for name in sorted(variables)]
    moves = once(_key(in_order, known), lambda: _cheapest(tasks, variables, in_order, known))
    return natural(moves, tasks, {variable.id: variable for variable in known})


def _key(in_order: Sequence[Task], known: Sequence[Variable]) -> Hashable:
    """Return all that the search reads, as a key; what a rule never changes goes by its id."""
    tasks = tuple(
        (task.id, task.after, tuple(task.needs.items()), tuple(task.leaves.items()))
        for task in in_order
    )
    return "cheapest", tasks, tuple((v.id, v.initial, v.clocks) for v in known)


def _cheapest(
    tasks: Mapping[str, Task],
    variables: Mapping[str, Variable],
    in_order: Sequence[Task],
    known: Sequence[Variable],
) -> Moves:
    faults = [fault for task in in_order for fault in _unknown(task, tasks, variables)]
    if faults:
        raise InputError(*faults)
    _refuse_ring(in_order, tasks)
    blocked.refuse_unreachable(in_order, variables)
    found = find(encode(in_order, known))
    if not found.complete:
        raise blocked.explain(found, in_order, variables)
    return found.moves


def _unknown(
    task: Task, tasks: Mapping[str, Task], variables: Mapping[str, Variable]
) -> Iterator[Fault]:
    for name in sorted(task.after):
        if name not in tasks:
            yield Fault(task.id, f"comes after '{name}', which is no task.", nearest(name, tasks))
        elif tasks[name].enabling:
            cure = "Put in `needs` what it leaves: it is done only where a need asks for it."
            yield Fault(task.id, f"comes after '{name}', which is an enabling task.", cure)
    for name in sorted({*task.needs, *task.leaves} - set(variables)):
        yield Fault(task.id, f"speaks of the state '{name}'.", nearest(name, variables))
    for name, value in sorted(task.leaves.items()):
        if name in variables and value not in variables[name].values:
            cure = f"It can be: {', '.join(variables[name].values)}."
            yield Fault(task.id, f"leaves {name} '{value}', which it cannot be.", cure)


def _refuse_ring(in_order: Sequence[Task], tasks: Mapping[str, Task]) -> None:
    """Raise CycleError if following ``after`` leads back to where it began."""
    cleared: set[str] = set()
    for task in in_order:
        path: list[str] = []
        trail = [iter((task.id,))]
        while trail:
            name = next(trail[-1], None)
            if name is None:
                trail.pop()
                cleared.update(path[-1:])
                del path[-1:]
            elif name in path:
                ring = [*path[path.index(name) :], name]
                raise CycleError(ring, "Each of these steps must come after the next")
            elif name not in cleared:
                path.append(name)
                trail.append(iter(sorted(tasks[name].after)))
