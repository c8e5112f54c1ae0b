"""Plan files as plain data: read one made earlier, and look up what comparing needs of it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from pydantic import BaseModel, Field, ValidationError

from planner.errors import InputError
from planner.folder import ordinary
from planner.yamltext import COMMANDING

PlanFile = Mapping[str, Any]
GIVEN = ("answered", "assumed", "supposed")
#: Far more than any plan file has: its size, its steps, and how large its numbers are.
MOST_BYTES = 5_000_000
MOST_STEPS = 2000
LARGEST = 1e15


class _Fact(BaseModel):
    value: Any
    origin: str
    reads: list[str]


class _Decision(BaseModel):
    chosen: str | None


class _Finding(BaseModel):
    id: str
    severity: str
    text: str


class _Hazard(BaseModel):
    id: str
    title: str


class _Material(BaseModel):
    id: str
    label: str
    spec: str
    quantity: float | None = None
    unit: str = ""


class _Step(BaseModel):
    id: str
    title: str
    kind: str


class _Verdict(BaseModel):
    state: str


class _Layer(BaseModel):
    layer: str
    version: str
    digest: str


class _Shape(BaseModel):
    """What comparing reads of a plan file; what else stands in it is not looked at."""

    job: dict[str, Any]
    verdict: _Verdict
    facts: dict[str, _Fact]
    decisions: dict[str, _Decision]
    findings: list[_Finding]
    hazards: list[_Hazard] = []
    steps: list[_Step] = Field(max_length=MOST_STEPS)
    materials: list[_Material]
    rules: list[_Layer]


def read_plan(path: Path) -> PlanFile:
    """Read a plan file.

    Raises:
        InputError: If it cannot be read or is no plan file.
    """
    try:
        data: dict[str, Any] = json.loads(ordinary(path, MOST_BYTES))
        _Shape.model_validate(data, strict=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputError.of(str(path), f"cannot read: {reason}", "Check the path.") from None
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(one)[:40] for one in first["loc"])
        what = f"this is no plan file, or one of another lidwork: at '{where}'"
        raise InputError.of(str(path), what, CURE) from None
    except (ValueError, RecursionError):
        raise InputError.of(str(path), "this is no plan file", CURE) from None
    what = next(filter(None, map(_wrong, _scalars(data))), "")
    if what:
        raise InputError.of(str(path), what, CURE)
    return data


CURE = "Name the plan.json of a work pack, as it was written."


def _scalars(data: Any) -> Iterator[Any]:
    """Yield every text and number in plain data, names included."""
    waiting = [data]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            waiting.extend((*one.keys(), *one.values()))
        elif isinstance(one, list):
            waiting.extend(one)
        else:
            yield one


def _wrong(one: Any) -> str:
    """Return what keeps a text or number from being printed; empty where nothing does."""
    if isinstance(one, str) and COMMANDING.search(one):
        return "it holds characters that are not text and could command a terminal"
    if isinstance(one, int | float) and not abs(one) <= LARGEST:
        return "it holds a number that is out of all range"
    return ""


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
