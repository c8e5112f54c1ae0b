"""Plan files as plain data: read one made earlier, and look up what comparing needs of it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from planner.errors import InputError

PlanFile = Mapping[str, Any]
GIVEN = ("answered", "assumed", "supposed")
#: What every plan file holds.
PARTS = ("job", "verdict", "facts", "decisions", "findings", "steps", "materials", "rules")
#: Far more than any plan file has.
MOST_BYTES = 10_000_000


def read_plan(path: Path) -> PlanFile:
    """Read a plan file.

    Raises:
        InputError: If it cannot be read or is no plan file.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError.of(str(path), "the file is too large for a plan file", "Name another.")
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError.of(str(path), f"cannot read: {reason}", "Check the path.") from None
    except (ValueError, RecursionError):
        raise InputError.of(
            str(path), "this is no plan file", "Name the plan.json of a work pack."
        ) from None
    if not isinstance(data, dict) or not all(part in data for part in PARTS):
        what = "this is no plan file, or one of an older lidwork"
        raise InputError.of(str(path), what, "Name the plan.json of a work pack.")
    return data


def layers_of(plan: PlanFile) -> str:
    """Return the layers that made a plan, as one text."""
    return " + ".join(f"{one['layer']} {one['version']} ({one['digest']})" for one in plan["rules"])


def words(state: str) -> str:
    """Return a verdict in words."""
    return state.replace("_", " ")


def standing(fact: Mapping[str, Any] | None) -> Any:
    """Return what makes a fact differ; documents need not hold the same facts that do not apply."""
    if fact is None or fact["origin"] == "inapplicable":
        return None
    return fact["value"], fact["origin"] if fact["origin"] in GIVEN else ""


def chosen(decision: Mapping[str, Any] | None) -> str | None:
    """Return the chosen option; empty if none is left, None where nothing is decided."""
    return None if decision is None else decision["chosen"] or ""


def said(item: Mapping[str, Any] | None, field: str) -> str:
    """Return what the plan says of a finding, hazard or material."""
    if item is None:
        return ""
    count = item.get("quantity")
    amount = f"{count:g} {item.get('unit', '')}: " if isinstance(count, int | float) else ""
    severity = f"{item['severity']}: " if "severity" in item else ""
    return f"{severity}{amount}{item[field]}"


def _works(plan: PlanFile) -> Iterator[Mapping[str, Any]]:
    return (step for step in plan["steps"] if step["kind"] != "wait")


def titles(plan: PlanFile) -> dict[str, str]:
    """Return the titles of the steps by id."""
    return {step["id"]: step["title"] for step in _works(plan)}


def places(plan: PlanFile) -> dict[str, int]:
    """Return the first place of each step in the order of work, counted from 1."""
    found: dict[str, int] = {}
    for number, step in enumerate(_works(plan), 1):
        found.setdefault(step["id"], number)
    return found


def place(number: int | None) -> str:
    """Return a place in the order of work in words."""
    return "" if number is None else f"number {number}"


def moved(before: list[str], after: list[str]) -> list[str]:
    """Return the steps outside the longest run that both orders have in common."""
    matcher = SequenceMatcher(a=before, b=after, autojunk=False)
    kept = {
        name for block in matcher.get_matching_blocks() for name in before[block.a :][: block.size]
    }
    return [name for name in before if name not in kept]
