"""What a record is made of: entries, each with who and when, and the plan that they belong to."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Literal, get_args

from msgspec import Struct, field

from planner.plan.calendar import MONTHS
from planner.plan.model import Plan

Kind = Literal["plan", "reading", "accept", "sign", "waive", "note", "deviation", "photo", "close"]
KINDS: tuple[str, ...] = get_args(Kind)
#: Years in which a job can have been done: a clock that is wrong beyond them is damage.
YEARS = range(2000, 2200)
Plain = str | int | float | bool | None


class Entry(Struct, frozen=True):
    """One thing written down; nothing is ever changed, a later entry only stands before it.

    Attributes:
        kind: What sort of thing.
        key: What it is about: a step, a reading of a step, or a name of its own.
        value: What was found. ``None`` takes back what was written before.
        at: When it was seen, ISO 8601 with the offset of the local clock.
        by: Who wrote it.
        why: The reason, where one is asked for.
        more: What else belongs to it: the band of a reading, the file of a photograph.
    """

    kind: Kind
    key: str
    value: Plain
    at: str
    by: str
    why: str = ""
    more: Mapping[str, Plain] = field(default_factory=dict)

    @property
    def moment(self) -> datetime:
        """The moment as a date with its offset."""
        return datetime.fromisoformat(self.at)


class PlanId(Struct, frozen=True):
    """Which plan a record belongs to.

    Attributes:
        job: The job's reference.
        revision: Revision of the job's answers.
        rules: The layers of rules with their versions and digests.
    """

    job: str
    revision: str
    rules: str

    @classmethod
    def of(cls, plan: Plan) -> PlanId:
        """Return the identity of a plan."""
        layers = (f"{one.name} {one.version} ({one.digest})" for one in plan.layers)
        return cls(
            str(plan.job.get("job.reference", "")),
            str(plan.job.get("revision", "")),
            ", ".join(layers),
        )

    @classmethod
    def read(cls, entry: Entry) -> PlanId:
        """Return the identity that an entry of kind ``plan`` holds."""
        more = entry.more
        return cls(str(more.get("job", "")), str(more.get("revision", "")), str(more.get("rules")))

    def entry(self, *, at: str, by: str, why: str) -> Entry:
        """Return the entry that binds a record to this plan from here on."""
        more: dict[str, Plain] = {"job": self.job, "revision": self.revision, "rules": self.rules}
        return Entry("plan", self.revision, True, at, by, why, more)

    def same(self, other: PlanId) -> bool:
        """Whether both are the same plan; a job may be given another name."""
        return (self.revision, self.rules) == (other.revision, other.rules)

    def differs(self, now: PlanId) -> str:
        """Return in words how this plan, of a record, differs from the present one."""
        said = []
        if self.revision != now.revision:
            said.append(f"revision {self.revision} of the answers, now {now.revision}")
        if self.rules != now.rules:
            said.append(f"rules {self.rules}, now {now.rules}")
        if self.job != now.job:
            said.append(f"the job '{self.job}', now '{now.job}'")
        return "; ".join(said)


def stamp(now: datetime) -> str:
    """Return a moment as records hold it.

    Raises:
        ValueError: If the moment has no offset: two clocks could not be compared.
    """
    if now.tzinfo is None:
        raise ValueError("a moment of a record needs its offset: use datetime.now().astimezone()")
    return now.isoformat(timespec="seconds")


def shown(at: str) -> str:
    r"""Return a moment as documents print it, never broken over two lines.

    Examples:
        >>> shown("2027-05-17T08:30:00+01:00")
        '17\xa0May\xa02027\xa008:30'
    """
    when = datetime.fromisoformat(at)
    words = (str(when.day), MONTHS[when.month - 1], str(when.year), when.strftime("%H:%M"))
    return "\N{NO-BREAK SPACE}".join(words)
