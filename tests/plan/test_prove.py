"""The proof: it passes what works, and finds every way in which an order is broken on purpose."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from msgspec.structs import replace

from planner.plan.links import links
from planner.plan.model import Act, Clock, Invariant, Move, Slot, Task, Variable, Violation
from planner.plan.order import arrange
from planner.plan.prove import prove

from .randomjobs import cost_of, dice, walk_job
from .roofjob import Scenario, roof_job

JOBS = ("BRL", "FRLNT", "XL", "DR")


def _rules(found: Sequence[Violation]) -> set[str]:
    return {violation.rule for violation in found}


def _proof(moves: Sequence[Move], job: Scenario) -> tuple[Violation, ...]:
    return prove(moves, job.tasks, job.variables, job.invariants)


@pytest.mark.parametrize("flags", JOBS)
def test_each_dropped_move_is_found(flags: str) -> None:
    """A step, an enabling move or a wait left out: no order survives the loss of any of them."""
    job = roof_job(flags)
    moves = arrange(job.tasks, job.variables)
    for place, move in enumerate(moves):
        found = _proof([*moves[:place], *moves[place + 1 :]], job)
        assert found, f"dropping {move.task} went unnoticed"
        assert move.kind != "step" or "once" in _rules(found)


@pytest.mark.parametrize("flags", JOBS)
def test_each_repeated_step_is_found(flags: str) -> None:
    """A step done twice is found where it is done again."""
    job = roof_job(flags)
    moves = arrange(job.tasks, job.variables)
    for place, move in enumerate(moves):
        if move.kind == "step":
            found = _proof([*moves[: place + 1], move, *moves[place + 1 :]], job)
            assert (place + 1, "once") in {(v.index, v.rule) for v in found}


@pytest.mark.parametrize("flags", JOBS)
def test_each_swap_against_after_is_found(flags: str) -> None:
    """Two steps that follow each other by ``after``, changed over."""
    job = roof_job(flags)
    moves = list(arrange(job.tasks, job.variables))
    place = {move.task: index for index, move in enumerate(moves) if move.kind == "step"}
    swaps = [(b, t.id) for t in job.tasks.values() for b in t.after]
    assert len(swaps) > 50
    for before, after in swaps:
        swapped = list(moves)
        one, two = place[before], place[after]
        swapped[one], swapped[two] = swapped[two], swapped[one]
        assert (one, after, "after") in {(v.index, v.task, v.rule) for v in _proof(swapped, job)}


def test_random_swaps_are_found_when_they_cost_a_state() -> None:
    """Neighbours that a state links, changed over in 500 random jobs.

    One of them makes what the other needs, or spoils it: either way a need is unmet.
    """
    swapped = 0
    for seed in range(500):
        tasks, variables = walk_job(dice(seed), steps=8, states=4, enabling=4)
        moves = list(arrange(tasks, variables))
        before = links(moves, tasks, variables).before
        for place in range(1, len(moves)):
            one, two = moves[place - 1], moves[place]
            if not before[place] >> (place - 1) & 1 or "wait" in (one.kind, two.kind):
                continue
            if _writes_alike(tasks[one.task], tasks[two.task]):
                continue
            swapped += 1
            changed = [*moves[: place - 1], two, one, *moves[place + 1 :]]
            if prove(changed, tasks, variables, {}) == ():
                # Then all that is lost is money: a change that had come for nothing.
                assert cost_of(changed, tasks, variables) > cost_of(moves, tasks, variables)
    assert swapped > 500


def _writes_alike(one: Task, two: Task) -> bool:
    # Both set one variable: changed over, they may still meet every need by chance.
    return bool(set(one.leaves) & set(two.leaves))


SHUT, UP = frozenset({"shut"}), frozenset({"propped"})
ROOF = Variable("roof", ("shut", "propped"), "shut", 8, nights=SHUT)
BED = Variable("bed", ("none", "wet", "cured"), "none", clocks=(Clock("wet", "cured", 24),))
FOOT = Variable("foot", ("bare", "primed"), "bare", clocks=(Clock("primed", "bare", 4, False),))
VARIABLES = {v.id: v for v in (ROOF, BED, FOOT)}
RAISE = Task("raise", needs={"roof": SHUT}, leaves={"roof": "propped"}, minutes=10, enabling=True)
LOWER = Task("lower", needs={"roof": UP}, leaves={"roof": "shut"}, minutes=10, enabling=True)
BEAD = Task("bead", leaves={"bed": "wet"}, minutes=10)
HOSE = Task("hose", needs={"bed": frozenset({"none", "cured"})}, minutes=30)
PRIME = Task("prime", leaves={"foot": "primed"}, minutes=20)
BOND = Task("bond", needs={"foot": frozenset({"primed"})}, minutes=30)
TASKS = {task.id: task for task in (RAISE, LOWER, BEAD, HOSE, PRIME, BOND)}
SAFE = Task("safe", minutes=10, enabling=True)
AGAIN = Task("again", minutes=10, enabling=True)


def _slot(task: str, start: float, end: float, kind: str = "step", *, more: bool = False) -> Slot:
    move = Move(task, kind, more=more)  # type: ignore[arg-type]
    return Slot(move, start, end)


def _timed(*slots: Slot) -> list[tuple[int, str, str]]:
    tasks = {**TASKS, SAFE.id: SAFE, AGAIN.id: AGAIN}
    named = {slot.move.task for slot in slots}
    tasks = {name: task for name, task in tasks.items() if task.enabling or name in named}
    found = prove([slot.move for slot in slots], tasks, VARIABLES, {}, slots)
    return [(violation.index, violation.task, violation.rule) for violation in found]


def test_a_wait_that_ends_too_soon_is_found() -> None:
    """A cure of 24 h begun at 08:10 has not run at 08:00 next day, but has at 08:10."""
    bead = _slot("bead", 480, 490)
    wait = _slot("bed:cured", 490, 1930, "wait")
    assert _timed(bead, wait, _slot("hose", 1930, 1960)) == []
    assert _timed(bead, wait, _slot("hose", 1920, 1950)) == [(2, "hose", "time")]
    short = _slot("bed:cured", 490, 1920, "wait")
    assert (1, "bed:cured", "wait") in _timed(bead, short, _slot("hose", 1920, 1950))


def test_a_wait_that_is_missing_is_found_even_if_time_has_passed() -> None:
    """Without times the wait must stand in the order; in real time the clock itself counts."""
    tasks = {"bead": BEAD, "hose": HOSE}
    order = [Move("bead", "step"), Move("hose", "step")]
    assert _rules(prove(order, tasks, VARIABLES, {})) == {"need"}
    assert _timed(_slot("bead", 480, 490), _slot("hose", 1930, 1960)) == []


def test_a_value_that_lapses_is_gone() -> None:
    """A primer laid by 08:20 lasts until 12:20; the bond must be made by then, not only begun."""
    prime = _slot("prime", 480, 500)
    assert _timed(prime, _slot("bond", 710, 740)) == []
    assert _timed(prime, _slot("bond", 711, 741)) == [(1, "bond", "lapse")]
    assert _timed(prime, _slot("bond", 800, 830)) == [(1, "bond", "lapse")] * 2


def test_a_night_with_the_roof_up_is_found_unless_work_is_made_safe() -> None:
    """Propped overnight: found; between two brackets: allowed; and a bracket must be closed."""
    up, down = _slot("raise", 480, 490, "enabling"), _slot("lower", 1930, 1940, "enabling")
    safe = _slot("safe", 940, 950, "bracket")
    again = _slot("again", 1920, 1930, "bracket")
    assert _timed(up, down) == [(1, "lower", "night")]
    assert _timed(up, safe, again, down) == []
    assert (2, "lower", "bracket") in _timed(up, safe, down)
    assert (2, "safe", "bracket") in _timed(up, safe, safe)
    assert (2, "safe", "bracket") in _timed(up, safe)


def test_a_step_broken_off_must_be_taken_up_and_given_its_time() -> None:
    """The parts of a step add up to its minutes, and nothing else comes between but brackets."""
    part = _slot("hose", 480, 500, more=True)
    rest = _slot("hose", 500, 510)
    assert _timed(part, rest) == []
    assert _timed(part, _slot("hose", 500, 505)) == [(1, "hose", "time")]
    assert (1, "prime", "bracket") in _timed(part, _slot("prime", 500, 520), rest)
    assert (1, "hose", "once") in _timed(part)


def test_two_moves_at_once_are_found() -> None:
    """One crew does one thing at a time, in no less than its time."""
    assert (1, "prime", "time") in _timed(_slot("bead", 480, 490), _slot("prime", 485, 505))
    safe, again = _slot("safe", 480, 490, "bracket"), _slot("again", 485, 495, "bracket")
    assert _timed(safe, again) == [(1, "again", "time")]
    assert _timed(_slot("bead", 480, 485)) == [(0, "bead", "time")]


def test_slots_must_be_the_moves() -> None:
    """A timetable of another order proves nothing."""
    found = prove([Move("bead", "step")], {"bead": BEAD}, VARIABLES, {}, [_slot("hose", 0, 30)])
    assert _rules(found) == {"time"}


def test_unknown_moves_are_found() -> None:
    """A move must be of a task, and a wait of a state."""
    found = prove([Move("fly", "step"), Move("sky:blue", "wait")], {}, VARIABLES, {})
    assert [(v.index, v.rule) for v in found] == [(0, "unknown"), (1, "unknown")]


NEVER_DRILL_SHUT = Invariant("drill-up", "drills", "shell", {"roof": SHUT})


def test_an_act_in_a_forbidden_state_is_found() -> None:
    """Drilling the shell with the roof shut; drilling something else is another matter."""
    drill = Task("drill", acts=(Act("drills", "shell"),))
    found = prove([Move("drill", "step")], {"drill": drill}, VARIABLES, {"x": NEVER_DRILL_SHUT})
    assert [(v.index, v.task, v.rule) for v in found] == [(0, "drill", "invariant")]
    assert found[0].what == "drill-up: It drills while roof is 'shut'."
    locker = {"drill": replace(drill, acts=(Act("drills", "locker"),))}
    assert prove([Move("drill", "step")], locker, VARIABLES, {"x": NEVER_DRILL_SHUT}) == ()


def test_a_forbidden_combination_is_found_after_the_move_that_makes_it() -> None:
    """Never a wet bead under a raised roof."""
    never = Invariant("dry-up", states={"roof": UP, "bed": frozenset({"wet"})})
    tasks = {"raise": RAISE, "bead": BEAD}
    order = [Move("raise", "enabling"), Move("bead", "step")]
    found = prove(order, tasks, VARIABLES, {"dry-up": never})
    assert [(v.index, v.task, v.rule) for v in found] == [(1, "bead", "invariant")]


def test_what_must_never_be_done_at_all_is_found() -> None:
    """An invariant without states forbids the act itself."""
    rules = {"x": Invariant("x", "grinds")}
    grind = {"grind": Task("grind", acts=(Act("grinds"),))}
    assert _rules(prove([Move("grind", "step")], grind, VARIABLES, rules)) == {"invariant"}
