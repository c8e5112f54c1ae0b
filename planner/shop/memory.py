"""Remember what a job was planned with, in a small file beside it, and say what has moved since."""

from __future__ import annotations

import contextlib
import json
import os
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from msgspec import Struct

from planner.errors import InputError
from planner.folder import as_typed, native, ordinary, portable, write_whole
from planner.pack.write import PLAN
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.shop.compare import Difference, compare
from planner.shop.planfile import PlanFile, read_plan
from planner.shop.report import change
from planner.words import counted
from planner.yamltext import COMMANDING

SUFFIX = ".planned.json"
#: So many changes are told on the way; 'compare' tells all.
MOST_TOLD = 12
#: What is told on the way; figures move with every answer.
TOLD = ("verdict", "answer", "decision", "step", "finding")
MOST_BYTES = 100_000


class Memory(Struct, frozen=True):
    """What a job was last packed with.

    Attributes:
        revision: The revision of its answers.
        rules: Name, version and digest of each layer.
        plan: Where the plan file of that pack lies.
    """

    revision: str
    rules: tuple[tuple[str, str, str], ...]
    plan: Path


def _file(job: Path) -> Path:
    return job.with_name(f"{job.stem}{SUFFIX}")


def _rules(plan: Plan) -> tuple[tuple[str, str, str], ...]:
    return tuple((layer.name, layer.version, layer.digest) for layer in plan.layers)


def remember(job: Path, plan: Plan, pack: Path) -> None:
    """Keep what the job was packed with; a folder that cannot be written is no fault."""
    where = os.path.relpath(pack / "plan.json", job.parent)
    data = {
        "revision": plan.job["revision"],
        "rules": [list(layer) for layer in _rules(plan)],
        "plan": portable(Path(where).as_posix()),
    }
    with contextlib.suppress(OSError, ValueError):
        write_whole(_file(job), (json.dumps(data, ensure_ascii=False, indent=1) + "\n").encode())


def recall(job: Path) -> Memory | None:
    """Return what a job was last packed with; None if that is not known."""
    try:
        data: Any = json.loads(ordinary(_file(job), MOST_BYTES))
        rules = tuple((str(a), str(b), str(c)) for a, b, c in data["rules"])
        plan = job.parent / native(str(data["plan"]))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None
    # The file may have come with the job: it can name the plan of a pack and nothing else.
    if plan.name != PLAN or COMMANDING.search(f"{plan}{rules}"):
        return None
    return Memory(str(data["revision"]), rules, plan)


def moved_on(
    job: Path, plan: Plan, base: RuleBase, plain: PlanFile, rules: Sequence[Path] = ()
) -> Iterator[str]:
    """Yield what has changed since the job was packed: answers, rules, and what that changes.

    Args:
        job: The job file.
        plan: The plan made now.
        base: The rules of now.
        plain: The plan made now, as the plan file holds it.
        rules: Folders of rules that were named beside the job.
    """
    memory = recall(job)
    if memory is None or (memory.rules == _rules(plan) and memory.revision == plan.job["revision"]):
        return
    folder = os.path.normpath(memory.plan.parent)
    if memory.rules != _rules(plan):
        was, now = (_said(layers) for layers in (memory.rules, _rules(plan)))
        yield f"The rules have moved on since the pack in {folder}: {was} -> {now}"
    if memory.revision != plan.job["revision"]:
        yield f"The answers have changed since the pack in {folder}."
    try:
        before = read_plan(memory.plan)
    except InputError:
        yield "That pack is no longer there, so what this changes cannot be told."
        return
    found = [one for one in compare(before, plain, base, base) if one.what != "rules"]
    first = [one for one in found if one.what in TOLD][:MOST_TOLD]
    yield from (f"  {told(one)}" for one in first)
    if len(found) > len(first):
        kinds = Counter(one.what for one in found if one not in first)
        more = ", ".join(counted(number, kind) for kind, number in kinds.items())
        named = "".join(f" --rules {as_typed(folder)}" for folder in rules)
        see = f"see: lidwork compare {as_typed(memory.plan)} {as_typed(job)}{named}"
        yield f"  and {more}; {see}" if first else f"  That changes {more}; {see}"
    elif not found:
        unlike = _unlike(before, plain)
        only = f"That changes wording or times only, in: {unlike}." if unlike else "The plan stays."
        yield f"  {only}"


def _unlike(before: PlanFile, plain: PlanFile) -> str:
    """Name the parts of two plans that differ, apart from what rules made them."""
    parts = sorted({*before, *plain} - {"lidwork", "rules", "job"})
    return ", ".join(part for part in parts if before.get(part) != plain.get(part))


def told(one: Difference) -> str:
    """Return a difference as one line."""
    return f"{one.what} {one.label}: {change(one)}"


def _said(layers: tuple[tuple[str, str, str], ...]) -> str:
    return " + ".join(f"{name} {version} ({digest[:8]})" for name, version, digest in layers)


def refuse_to_differ(planned: Path, plain: PlanFile, base: RuleBase) -> None:
    """Refuse if the plan made now is not the plan of an earlier pack, and say what differs.

    Raises:
        InputError: With what differs.
    """
    before = read_plan(planned)
    parts = sorted({*before, *plain} - {"lidwork"})
    if all(before.get(part) == plain.get(part) for part in parts):
        return
    found = compare(before, plain, base, base)
    said = [told(one) for one in found[:MOST_TOLD]]
    if len(found) > MOST_TOLD:
        said.append(f"and {len(found) - MOST_TOLD} more")
    if not said:
        unlike = [part for part in parts if before.get(part) != plain.get(part)]
        said = [f"wording or times in: {', '.join(unlike)}"]
    what = "the plan made now is not the one planned then:\n    " + "\n    ".join(said)
    raise InputError.of(str(planned), what, "Plan without --as-planned to take the new one.")
