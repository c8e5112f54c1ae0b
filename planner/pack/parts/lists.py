"""Materials, tools, test sheet, hold points, basis of the figures, and the layers of rules."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from planner.pack.blocks import Pair, Table
from planner.pack.facts import Facts
from planner.pack.parts import bench
from planner.pack.parts.energy import DAYS, days_off_grid
from planner.pack.parts.method import Measure, measure
from planner.pack.parts.reasons import Chain, chains
from planner.pack.sequence import Entry, cited
from planner.pack.text import capital, figure, plain
from planner.plan.model import FactResult, Item, Plan
from planner.rulebase.base import SLOT
from planner.words import of

Numbers = dict[str, tuple[int, ...]]
#: Units that say no more than the number.
PIECES = frozenset({"pcs", "pieces"})
#: How an answer is known where it was not simply given.
MARKS = {"answered": "", "assumed": "assumed", "supposed": "supposed, not known"}
#: Stands for a figure of a step that is not part of the job.
UNKNOWN = "…"
SIGNED = (
    "Open points measured, plan made again where they differed",
    "Makers' instructions read: roof, panel, mount, adhesive, battery, controller, vehicle",
    "Risk assessment gone through with everybody on the job",
    "Every hold point signed",
    "Every reading written down and within its limit",
    "Water test passed and looked at from inside",
    "Released for driving, with the speed that the cure allows",
    "Owner shown how to isolate, what to look at and when to look again",
)
#: What the owner can answer for; how the work was done is signed by those who did it.
SIGNED_BY_OWNER = (
    "Place of panels, holes and cable way agreed before the first hole",
    "Answers of roof maker and insurer seen, or their absence accepted",
    "Told: the new height, the added mass, and the speed that the cure allows",
    "Shown how to isolate, what to look at and when to look again",
    "Papers of the work received",
)


class Supplies(Struct, frozen=True):
    """Materials as a table, and tools as a list of name, note and steps."""

    materials: Table
    tools: tuple[tuple[str, str, str], ...]


def supplies(plan: Plan, numbered: Numbers, *, customer: bool = False) -> Supplies:
    """Return materials and tools; a customer's copy holds no prices, part numbers and notes."""
    return Supplies(
        materials=_materials(plan, numbered, customer=customer),
        tools=tuple(
            (capital(plain(item.label)), "" if customer else plain(item.note),
             cited(item.steps, numbered))
            for item in plan.tools
        ),
    )


def _materials(plan: Plan, numbered: Numbers, *, customer: bool) -> Table:
    """Return the materials as a table; columns that hold nothing are left out."""
    money = f" [{plain(plan.house.currency)}]" if plan.house.currency else ""
    head = ("What", "What it must be", "Quantity", "Part number", f"Price each{money}",
            f"Cost{money}", "Mass [kg]", "Steps")
    rows = [_material(item, numbered, customer=customer) for item in plan.materials]
    used = [i for i in range(len(head)) if i == 0 or any(row[i] for row in rows)]
    return Table(
        "Materials by class",
        tuple(head[i] for i in used),
        tuple(tuple(row[i] for i in used) for row in rows),
    )


def _material(item: Item, numbered: Numbers, *, customer: bool) -> tuple[str, ...]:
    spec, note = plain(item.spec), plain(item.note)
    bought = ("", "", "") if customer else (
        plain(item.part_number), _money(item.price), _money(item.cost)
    )
    return (
        capital(plain(item.label)),
        spec if customer or not note else f"{spec}. {note}".removeprefix(". "),
        quantity(item),
        *bought,
        figure(item.mass_kg) if item.mass_kg is not None else "",
        cited(item.steps, numbered),
    )


def _money(amount: float | None) -> str:
    return "" if amount is None else f"{amount:.2f}"


def quantity(item: Item) -> str:
    """Return a quantity with its unit, empty where none is planned; pieces need no unit."""
    if item.quantity is None:
        return ""
    unit = "" if item.unit in PIECES else plain(of(item.quantity, item.unit))
    return f"{figure(item.quantity)} {unit}".strip()


class TestSheet(Struct, frozen=True):
    """What is read and signed: the meter's range, expected figures, readings, hold points."""

    __test__ = False  # a sheet of the pack, not a test of ours

    meter: str
    bench: tuple[Table, ...]
    readings: tuple[tuple[int, str, Measure], ...]
    holds: tuple[tuple[int, str, str, str], ...]


def test_sheet(facts: Facts, steps: tuple[Entry, ...]) -> TestSheet:
    """Return the test sheet of the job."""
    return TestSheet(bench.meter(facts), bench.tables(facts), readings(steps), holds(steps))


def sign_off(plan: Plan, *, owner: bool = False) -> tuple[str, ...]:
    """Return what is signed when the job is done; a shop may word its own lines.

    Args:
        plan: The finished plan.
        owner: For the customer's copy, which holds no risk assessment, readings or hold points.
    """
    ours = SIGNED_BY_OWNER if owner else SIGNED
    return tuple(plain(line) for line in plan.house.sign_off) or ours


def readings(steps: tuple[Entry, ...]) -> tuple[tuple[int, str, Measure], ...]:
    """Return every reading of the job: step number, step title, what to measure."""
    return tuple(
        (entry.number, entry.title, measure(reading, entry.number))
        for entry in steps
        if entry.text
        for reading in entry.text.readings
    )


def holds(steps: tuple[Entry, ...]) -> tuple[tuple[int, str, str, str], ...]:
    """Return every hold point: number, title, acceptance, who signs."""
    return tuple(
        (
            entry.number,
            entry.title,
            plain(entry.text.accept) if entry.text else "",
            plain(entry.text.sign) if entry.text else "",
        )
        for entry in steps
        if entry.task.hold
    )


#: A source with at least so many values has a heading of its own.
MANY = 5


class Basis(Struct, frozen=True):
    """What the figures rest on: answers, values with their sources, and what was worked out.

    ``chains`` tells for each decision which figures led to it.
    """

    answers: tuple[Pair, ...]
    sourced: tuple[Table, ...]
    grouped: tuple[tuple[str, tuple[Pair, ...]], ...]
    figures: tuple[Pair, ...]
    chains: tuple[Chain, ...]


def basis(plan: Plan) -> Basis:
    """Return what the figures rest on."""
    known = tuple(_with_text(plan))
    values: dict[str, list[Pair]] = {}
    used = _reads(plan)
    for fact in known:
        if fact.source and fact.name in used:
            values.setdefault(capital(plain(fact.source)), []).append(_pair(fact))
    few = [(pair.label, pair.text, source) for source, pairs in sorted(values.items())
           for pair in pairs if len(pairs) < MANY]
    return Basis(
        answers=tuple(_pair(fact) for fact in known if fact.origin in MARKS),
        sourced=(Table("Values from publications", ("What", "Value", "Source"), tuple(few)),)
        if few else (),
        grouped=tuple((source, tuple(pairs)) for source, pairs in sorted(values.items())
                      if len(pairs) >= MANY),
        figures=tuple(_figure(fact, plan) for fact in known if fact.origin == "calculated"),
        chains=chains(plan),
    )


def _with_text(plan: Plan) -> Iterator[FactResult]:
    for _, fact in sorted(plan.facts.items()):
        table = isinstance(fact.value, list | tuple)
        if fact.value is not None and fact.text not in {"", "—"} and not table:
            yield fact


def _reads(plan: Plan) -> frozenset[str]:
    """Every fact that some figure of this job was worked out from."""
    return frozenset(
        name for fact in plan.facts.values() if fact.value is not None for name in fact.reads
    )


def _figure(fact: FactResult, plan: Plan) -> Pair:
    """Return a figure as the sheet that it belongs to prints it."""
    pair = _pair(fact)
    if fact.name in DAYS:
        return replace(pair, text=days_off_grid(Facts(plan.facts), fact.name))
    return pair


def _pair(fact: FactResult) -> Pair:
    return Pair(capital(plain(fact.label)), plain(fact.text), MARKS.get(fact.origin, ""))


def layers(plan: Plan) -> Table:
    """Return the layers of rules that made the plan."""
    rows = tuple(
        (plain(one.name), plain(one.version), plain(one.date), plain(one.approved_by), one.digest)
        for one in plan.layers
    )
    return Table("Rules that made this plan, the lowest layer first",
                 ("Layer", "Version", "Date", "Approved by", "Digest"), rows)


def not_needed(plan: Plan) -> tuple[tuple[str, str], ...]:
    """Return the steps left out, each with its reason.

    A title may name a figure that this job does not have; it is left open.
    """
    return tuple((plain(SLOT.sub(UNKNOWN, what)), plain(why)) for what, why in plan.not_needed)
