"""What ``why`` says of the finished timetable: where a step stands in it, and its whole course."""

from __future__ import annotations

from collections.abc import Iterator

from planner.plan.calendar import clock
from planner.plan.model import Plan, Slot
from planner.rulebase.base import RuleBase
from planner.shop.tree import Node

#: Facts that only the finished timetable gives, and the facts that it is made by beside the steps.
LATE = "plan."
PLANNED_BY = ("job.start", "job.drive_by", "job.hours_per_day", "job.rest_days", "job.crew",
              "work.pace")  # fmt: skip


def in_order(plan: Plan | None, base: RuleBase, name: str) -> Iterator[Node]:
    """Yield where a step stands in the order of work, and for which other step it was put in."""
    if plan is None:
        return
    found = [(number, slot) for number, slot in enumerate(works_of(plan), 1)
             if slot.move.task == name]  # fmt: skip
    for number, slot in found:
        put_in = f", put in because '{slot.move.why}' needs it" if slot.move.why else ""
        yield Node(f"number {number}, {clock(slot.start_min, plan.start)}{put_in}")
    if not found and base.steps[name].enabling:
        yield Node("not in the order of work: no step needs what it leaves")


def course(plan: Plan) -> Node:
    """Return the course of the whole work: how many pieces, from the first to the last."""
    works = works_of(plan)
    if not works:
        return Node("from the timetable: there is no work")
    first, last = works[0], works[-1]
    ends = (f"{plan.texts[one.move.task].title}, {clock(minute, plan.start)}"
            for one, minute in ((first, first.start_min), (last, last.end_min)))  # fmt: skip
    return Node(f"from the timetable of {len(works)} pieces of work: {' … '.join(ends)}")


def works_of(plan: Plan) -> list[Slot]:
    """Return the pieces of work as they are numbered; waits have no number."""
    return [slot for slot in plan.timetable if slot.move.kind != "wait"]
