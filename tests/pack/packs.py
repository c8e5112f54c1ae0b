"""What the tests of the pack share: a finished pack of each demo, and of a hostile job."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, cached_property
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from planner import paths
from planner.job.file import Job, read_job
from planner.pack.documents import Documents, documents
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.load import built_in

DEMOS = ("lifting-grp", "high-roof-steel", "aluminium-lift-flex")
#: Names as somebody might type them: markup, script, template syntax, long words, other scripts.
HOSTILE = (
    '<script>alert(1)</script>"><img src=x onerror=alert(2)>',
    "{{ 7 * 7 }} {% for x in y %} ${7*7} #{7*7}",
    "Donaudampfschifffahrt" * 24,
    "\u0634\u0627\u062d\u0646\u0629 \u05e8\u05db\u05d1 \u202egnihton",
    "van \U0001f690\u200d\U0001f527 & <b>co</b> | *bold* _x_ [a](http://example.invalid)",
    "a long story " * 385,
    "=HYPERLINK(\"http://example.invalid\")",
)


class Pack(Struct, frozen=True, dict=True):
    """A plan and its documents, each made once."""

    plan: Plan

    @cached_property
    def documents(self) -> Documents:
        """The whole pack."""
        return documents(self.plan)

    @cached_property
    def pdf(self) -> bytes:
        """The whole pack on paper."""
        return self.documents.paper_pdf()


@cache
def demo(name: str) -> Pack:
    """Return the pack of a demo."""
    return Pack(_plan(demo_job(name)))


def demo_job(name: str) -> Job:
    """Return the job of a demo."""
    return read_job(paths.DEMOS / f"{name}.yaml", built_in())


def varied(name: str, answers: Mapping[str, Any]) -> Pack:
    """Return the pack of a demo with some other answers."""
    job = demo_job(name)
    return Pack(_plan(replace(job, answers={**job.answers, **answers})))


def _plan(job: Job) -> Plan:
    return make_plan(job, built_in(), every_fact=True)


@cache
def hostile(index: int) -> Pack:
    """Return a pack in which one hostile text stands wherever a person may type one."""
    text = HOSTILE[index]
    job = demo_job("lifting-grp")
    lists = {
        name: tuple({**row, "name": text} for row in job.answers[name])
        for name in ("roof.obstacles", "use.loads", "candidates")
        if name in job.answers
    }
    typed = dict.fromkeys(("job.reference", "job.vehicle", "job.place_of_work"), text)
    return varied("lifting-grp", {**typed, **lists})
