"""Check units: what a name promises, what is compared, and what calculations are handed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from planner.errors import Fault
from planner.ledger import Binding
from planner.rulebase import walk
from planner.rulebase.base import RuleBase
from planner.rulebase.conditions import COMPARISONS, Test, tests

#: Ending of a name -> how the unit that it promises may be written; the longest ending counts.
ENDINGS: dict[str, tuple[str, ...]] = {
    "mm": ("mm",), "mm2": ("mm²",), "mm_per_m": ("mm/m",), "m": ("m",), "m2": ("m²",),
    "kg": ("kg",), "kg_m": ("kg/m",), "n": ("N",), "nm": ("Nm", "N·m"), "v": ("V",), "a": ("A",),
    "w": ("W",), "w_m2": ("W/m²",), "wh": ("Wh",), "kwh_m2": ("kWh/m²",), "ah": ("Ah",),
    "h": ("h",), "min": ("min",), "c": ("°C",), "k": ("K",), "pct": ("%",), "percent": ("%",),
    "pct_per_c": ("%/°C", "%/K"), "percent_per_c": ("%/°C", "%/K"), "percent_k": ("%", "%/K"),
    "mv_per_c": ("mV/°C", "mV/K"), "deg": ("°",), "kmh": ("km/h",), "ms": ("m/s",),
    "ml": ("ml",), "n_mm2": ("N/mm²",), "n_per_mm2": ("N/mm²",),
}  # fmt: skip


def wrong_units(base: RuleBase, bindings: Iterable[Binding]) -> Iterator[Fault]:
    """Yield a fault for each name, comparison or argument whose units do not agree."""
    yield from _names(base)
    for kind in ("questions", "flags", "decisions", "findings", "steps", "hazards", "materials"):
        for name, rule in getattr(base, kind).items():
            for _, when in walk.whens(rule):
                for test in tests(when.condition):
                    yield from _compared(test, base.place(kind, name), base)
    yield from _clocks_and_bands(base)
    for binding in bindings:
        yield from _handed(binding, base)


def promised(name: str) -> tuple[str, ...]:
    """Return how the unit that a name's ending promises may be written; nothing if it does not.

    Examples:
        >>> promised("panel.mass_kg"), promised("roof.crown_mm_per_m"), promised("job.crew")
        (('kg',), ('mm/m',), ())
    """
    words = name.rpartition(".")[2].split("_")
    endings = ("_".join(words[start:]) for start in range(1, len(words)))
    return next((ENDINGS[ending] for ending in endings if ending in ENDINGS), ())


def _names(base: RuleBase) -> Iterator[Fault]:
    for kind in ("questions", "facts", "values"):
        for name, rule in getattr(base, kind).items():
            units = promised(name)
            if units and rule.kind in ("number", "integer") and rule.unit not in units:
                has = f"its unit is '{rule.unit}'" if rule.unit else "it has no unit"
                what = f"the name promises {units[0]}, but {has}"
                yield Fault(base.place(kind, name), what, "Correct the unit, or the name.")


def _unit(name: str, base: RuleBase) -> str | None:
    """Return the unit of a declared number; None for anything else."""
    shape = base.shapes.get(name)
    return shape.unit if shape and shape.kind in ("number", "integer") else None


def _compared(test: Test, where: str, base: RuleBase) -> Iterator[Fault]:
    if test.op not in COMPARISONS or not isinstance(test.operand, str):
        return
    one, other = _unit(test.fact, base), _unit(test.operand, base)
    if one is not None and other is not None and one != other:
        what = f"compares '{test.fact}' in '{one}' with '{test.operand}' in '{other}'"
        yield Fault(where, what, "Compare like with like.")


def _clocks_and_bands(base: RuleBase) -> Iterator[Fault]:
    for name, state in base.states.items():
        for change in state.changes:
            yield from _must_be(change.after_h, "h", base.place("states", name), base)
    for name, step in base.steps.items():
        where = base.place("steps", name)
        for reading in step.readings:
            for end in (reading.low, reading.high):
                yield from _must_be(end, reading.unit, f"{where}: reading {reading.id}", base)
    for name, material in base.materials.items():
        yield from _must_be(material.mass_kg, "kg", base.place("materials", name), base)


def _must_be(named: Any, unit: str, where: str, base: RuleBase) -> Iterator[Fault]:
    has = _unit(named, base) if isinstance(named, str) else None
    if has is not None and has != unit:
        yield Fault(where, f"'{named}' is in '{has}', but '{unit}' is wanted here", "")


def _handed(binding: Binding, base: RuleBase) -> Iterator[Fault]:
    where = f"bindings: {getattr(binding.call, '__name__', binding.call)}"
    for argument, taken in binding.takes.items():
        wanted, has = promised(f"x_{argument}"), _unit(taken.removesuffix("?"), base)
        if wanted and has is not None and has.partition("/")[0] not in wanted and has not in wanted:
            what = f"argument '{argument}' promises {wanted[0]}, but '{taken}' is in '{has}'"
            yield Fault(where, what, "Hand it the right fact, or name it right.")
