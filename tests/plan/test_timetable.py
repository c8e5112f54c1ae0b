"""The timetable: real times, safe nights and brackets.

Times are worked out by hand beside each case: minutes after midnight, work from 480 (08:00).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from msgspec.structs import replace

from planner.errors import OutOfRangeError
from planner.plan.model import Clock, Slot, Task, Variable
from planner.plan.order import arrange
from planner.plan.prove import prove
from planner.plan.timetable import schedule, summary

from .randomjobs import dice
from .roofjob import roof_job, some_flags

SAFE = Task("safe", minutes=15, enabling=True)
AGAIN = Task("again", minutes=10, enabling=True)
BRACKETS = (SAFE, AGAIN)


def _proved(slots: Sequence[Slot], job: tuple[Mapping[str, Task], Mapping[str, Variable]]) -> bool:
    tasks, variables = job
    every = {**tasks, SAFE.id: SAFE, AGAIN.id: AGAIN}
    found = prove([slot.move for slot in slots], every, variables, {}, slots)
    assert found == ()
    return True


def test_roof_jobs_are_timed_and_proved() -> None:
    """Whole jobs at 3 to 10 h a day, work slow or quick: needs, clocks and nights all hold."""
    broken = 0
    for seed in range(24):
        rng = dice(seed)
        job = roof_job(some_flags(rng), pace=rng.choice((1.0, 1.5)), factor=rng.choice((1.0, 2.0)))
        moves = arrange(job.tasks, job.variables)
        for hours in (5.0, 7.0, 10.0):
            slots = schedule(
                moves, job.tasks, job.variables, hours_per_day=hours, crew=2, brackets=BRACKETS
            )
            assert _proved(slots, (job.tasks, job.variables)), f"seed {seed}, {hours} h"
            broken += any(slot.move.kind == "bracket" for slot in slots)
            _keeps_working_hours(slots, 480 + hours * 60, job.tasks)
    assert 8 < broken < 64


def _keeps_working_hours(slots: Sequence[Slot], evening: float, tasks: Mapping[str, Task]) -> None:
    """Work starts and ends between 08:00 and the evening, and lasts as long as it takes."""
    for slot in slots:
        if slot.move.kind != "wait":
            assert 480 <= slot.start_min % 1440 <= evening
            assert 480 <= slot.end_min % 1440 <= evening + 1e-6
            if slot.start_min // 1440 == slot.end_min // 1440 and slot.move.task in tasks:
                minutes = tasks[slot.move.task].minutes
                whole = slot.end_min - slot.start_min == pytest.approx(minutes)
                assert whole or any(other.move.more for other in slots)


UP, DOWN = frozenset({"propped"}), frozenset({"shut"})
ROOF = Variable("roof", ("shut", "propped"), "shut", 8, nights=DOWN)
BED = Variable("bed", ("none", "wet", "cured"), "none", clocks=(Clock("wet", "cured", 2),))
VARIABLES = {"roof": ROOF, "bed": BED}
RAISE = Task("raise", needs={"roof": DOWN}, leaves={"roof": "propped"}, minutes=10, enabling=True)
LOWER = Task("lower", needs={"roof": UP}, leaves={"roof": "shut"}, minutes=10, enabling=True)
Times = list[tuple[str, float, float]]


def _times(
    tasks: Sequence[Task],
    hours: float,
    brackets: tuple[Task, Task] | None = BRACKETS,
    variables: Mapping[str, Variable] = VARIABLES,
    days_off: frozenset[int] = frozenset(),
) -> Times:
    by_id = {task.id: task for task in tasks}
    moves = arrange(by_id, variables)
    slots = schedule(
        moves, by_id, variables, hours_per_day=hours, crew=1, brackets=brackets, days_off=days_off
    )
    if brackets is not None:
        assert _proved(slots, (by_id, variables))
    return [
        (slot.move.task + ("…" if slot.move.more else ""), slot.start_min, slot.end_min)
        for slot in slots
    ]


def test_work_that_does_not_fit_the_day_starts_next_morning() -> None:
    """8 h a day: 300 min, then 200 min do not fit the 180 left."""
    tasks = [Task("a", 1, minutes=300), Task("b", 2, minutes=200), Task("c", 3, minutes=280)]
    assert _times(tasks, 8) == [("a", 480, 780), ("b", 1920, 2120), ("c", 2120, 2400)]


def test_a_step_longer_than_a_day_goes_on_next_day() -> None:
    """8 h a day: 600 min begun at 12:00 take 240 today and 360 tomorrow."""
    tasks = [Task("a", 1, minutes=240), Task("b", 2, minutes=600)]
    assert _times(tasks, 8) == [("a", 480, 720), ("b", 720, 2280)]


def test_no_work_on_days_off() -> None:
    """Days 2 and 3 of each week off: what would be done on day 2 is done on day 4 (4320 min)."""
    tasks = [Task("a", 1, minutes=300), Task("b", 2, minutes=200), Task("c", 3, minutes=600)]
    assert _times(tasks, 8, days_off=frozenset({1, 2})) == [
        ("a", 480, 780), ("b", 4800, 5000), ("c", 5000, 6560)]  # fmt: skip
    assert _times(tasks[:1], 8, days_off=frozenset({0}))[0] == ("a", 1920, 2220)


def test_a_broken_spell_rests_on_a_day_off() -> None:
    """A raised spell of more than a day, day 2 off: made safe on day 1, resumed on day 3."""
    times = _times(_spell(700), 8, days_off=frozenset({1}))
    days = [int(start // 1440) for _, start, _ in times]
    assert (days[0], 1 in days, 2 in days) == (0, False, True)


def test_a_wait_is_filled_and_runs_overnight() -> None:
    """A bead laid by 08:10 is cured at 10:10; other work goes on; what needs it comes after."""
    tasks = [
        Task("bead", 1, leaves={"bed": "wet"}, minutes=10),
        Task("hose", 2, after=frozenset({"bead"}), needs={"bed": frozenset({"cured"})}, minutes=30),
        Task("wire", 3, minutes=60),
    ]
    assert _times(tasks, 8) == [
        ("bead", 480, 490),
        ("wire", 490, 550),
        ("bed:cured", 490, 610),
        ("hose", 610, 640),
    ]
    assert _times(tasks, 2) == [
        ("bead", 480, 490),
        ("wire", 490, 550),
        ("bed:cured", 490, 610),
        ("hose", 1920, 1950),
    ]


def _spell(minutes: float) -> list[Task]:
    """An hour and a half on the ground, then a step under the raised roof, then shut again."""
    return [
        RAISE,
        LOWER,
        Task("wash", 1, needs={"roof": DOWN}, minutes=90),
        Task("drill", 2, after=frozenset({"wash"}), needs={"roof": UP}, minutes=minutes),
        Task("drive", 3, after=frozenset({"drill"}), needs={"roof": DOWN}, minutes=30),
    ]


def test_a_raised_roof_spell_that_does_not_fit_waits_for_the_morning() -> None:
    """4 h a day: the spell of 10 + 200 + 10 min fits a day, but not the 150 min left."""
    assert _times(_spell(200), 4) == [
        ("wash", 480, 570),
        ("raise", 1920, 1930),
        ("drill", 1930, 2130),
        ("lower", 2130, 2140),
        ("drive", 3360, 3390),
    ]


def test_a_spell_longer_than_a_day_gets_a_bracket() -> None:
    """Two steps of 120 and 140 min, 4 h a day: 10 + 120 + 140 + 10 = 280 > 240.

    Begun today: 10 + 120 = 130 of the 150 min left, and 15 to make safe come to 145. Next
    morning 10 to resume, 140 and 10. One bracket, and sooner than from next morning.
    """
    first, *rest = _spell(120)[:0:-1], Task("deburr", 2, 1, needs={"roof": UP}, minutes=140)
    tasks = [RAISE, *first, *(replace(t, after=frozenset({"drill"})) for t in rest)]
    drive = next(task for task in tasks if task.id == "drive")
    tasks[tasks.index(drive)] = replace(drive, after=frozenset({"deburr"}))
    assert _times(tasks, 4) == [
        ("wash", 480, 570),
        ("raise", 570, 580),
        ("drill", 580, 700),
        ("safe", 700, 715),
        ("again", 1920, 1930),
        ("deburr", 1930, 2070),
        ("lower", 2070, 2080),
        ("drive", 2080, 2110),
    ]


def test_a_step_under_a_raised_roof_longer_than_a_day_is_broken_off() -> None:
    """4 h a day, 300 min under the roof: neither today nor tomorrow is it done in one go.

    Today, 570: raise to 580, then 300 do not fit; 130 min to the evening are not a fresh day, so
    work is made safe at once and resumed at 1930; 240 - 10 - 15 = 215 min are done by 2145, made
    safe by 2160; then 85 from 3370: two brackets. Next morning, 1920: raise to 1930, no fresh day
    would give it more, 215 min by 2145; resume at 3370, 85 min: one bracket, so this is taken.
    """
    assert _times(_spell(300), 4) == [
        ("wash", 480, 570),
        ("raise", 1920, 1930),
        ("drill…", 1930, 2145),
        ("safe", 2145, 2160),
        ("again", 3360, 3370),
        ("drill", 3370, 3455),
        ("lower", 3455, 3465),
        ("drive", 3465, 3495),
    ]


def test_without_brackets_the_proof_finds_the_night() -> None:
    """Nothing is hidden: a long spell of a job that has no brackets is a violation."""
    tasks = {task.id: task for task in _spell(300)}
    moves = arrange(tasks, VARIABLES)
    slots = schedule(moves, tasks, VARIABLES, hours_per_day=4, crew=1, brackets=None)
    found = prove([slot.move for slot in slots], tasks, VARIABLES, {}, slots)
    assert {violation.rule for violation in found} == {"night"}


def test_a_wait_under_a_raised_roof_belongs_to_the_spell() -> None:
    """4 h a day: raise 10, bead 60, wait 120, lower 10 make 200, more than the 150 left today."""
    cured, bead = frozenset({"none", "cured"}), Task("bead", 2, after=frozenset({"wash"}))
    tasks = [
        RAISE,
        replace(LOWER, needs={"roof": UP, "bed": cured}),
        Task("wash", 1, needs={"roof": DOWN}, minutes=90),
        replace(bead, needs={"roof": UP}, leaves={"bed": "wet"}, minutes=60),
        Task("drive", 3, after=frozenset({"bead"}), needs={"roof": DOWN}, minutes=30),
    ]
    assert _times(tasks, 4) == [
        ("wash", 480, 570),
        ("raise", 1920, 1930),
        ("bead", 1930, 1990),
        ("bed:cured", 1990, 2110),
        ("lower", 2110, 2120),
        ("drive", 2120, 2150),
    ]


def test_what_lapses_is_not_left_overnight() -> None:
    """A primer that lasts 4 h is not laid at 15:30 for a bond that only fits tomorrow."""
    lapse = Clock("primed", "bare", 4, waits=False)
    variables = {"foot": Variable("foot", ("bare", "primed"), "bare", clocks=(lapse,))}
    primed = frozenset({"primed"})
    tasks = [
        Task("mark", 1, minutes=450),
        Task("prime", 2, after=frozenset({"mark"}), leaves={"foot": "primed"}, minutes=20),
        Task("bond", 3, after=frozenset({"prime"}), needs={"foot": primed}, minutes=30),
    ]
    assert _times(tasks, 8, variables=variables) == [
        ("mark", 480, 930),
        ("prime", 1920, 1940),
        ("bond", 1940, 1970),
    ]


def test_summary_counts_what_the_timetable_holds() -> None:
    """The broken-off spell above: 2 nights, 90 + 10 + 300 + 15 + 10 + 10 + 30 min, 2 roof moves."""
    tasks = {task.id: task for task in [*_spell(300), SAFE, AGAIN]}
    moves = arrange({k: t for k, t in tasks.items() if t not in BRACKETS}, VARIABLES)
    slots = schedule(moves, tasks, VARIABLES, hours_per_day=4, crew=1, brackets=BRACKETS)
    figures = summary(slots, tasks, VARIABLES)
    assert (figures.end_min, figures.nights, figures.work_min) == (3495, 2, 465)
    assert figures.changes == {"roof": 2}


@pytest.mark.parametrize(
    ("wrong", "argument"),
    [
        ({"hours_per_day": 0.0}, "hours_per_day"),
        ({"hours_per_day": 16.1}, "hours_per_day"),
        ({"hours_per_day": float("nan")}, "hours_per_day"),
        ({"day_start_min": -1.0}, "day_start_min"),
        ({"day_start_min": float("nan")}, "day_start_min"),
        ({"crew": 0}, "crew"),
        ({"hours_per_day": 0.4}, "hours_per_day"),
        ({"days_off": frozenset(range(7))}, "days_off"),
        ({"days_off": frozenset({7})}, "days_off"),
    ],
)
def test_impossible_days_are_refused(wrong: dict[str, Any], argument: str) -> None:
    """Outside its range each argument is refused by name; 0.4 h cannot hold 25 min of brackets."""
    tasks = {task.id: task for task in _spell(300)}
    moves = arrange(tasks, VARIABLES)
    given = {"hours_per_day": 8.0, "crew": 1, "day_start_min": 480.0, **wrong}
    with pytest.raises(OutOfRangeError) as caught:
        schedule(moves, tasks, VARIABLES, brackets=BRACKETS, **given)
    assert caught.value.argument == argument


def test_an_empty_order_has_an_empty_timetable() -> None:
    """Nothing to do takes no time."""
    assert schedule((), {}, {}, hours_per_day=8, crew=1, brackets=None) == ()
    assert summary((), {}, {}).nights == 0
