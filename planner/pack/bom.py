"""The list of materials as CSV for a spreadsheet, with cells that cannot turn into formulas."""

from __future__ import annotations

import csv
import io

from planner.pack.sequence import cited, entries, numbers
from planner.pack.text import plain
from planner.plan.model import Item, Plan

HEAD = ("kind", "id", "item", "specification", "quantity", "unit", "mass_kg", "note", "steps")
#: A spreadsheet reads a cell that begins so as a formula.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def bom_csv(plan: Plan) -> str:
    """Return materials, then tools, one a line, as CSV after RFC 4180."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    numbered = numbers(entries(plan))
    for kind, items in (("material", plan.materials), ("tool", plan.tools)):
        writer.writerows(_row(kind, item, cited(item.steps, numbered)) for item in items)
    return out.getvalue()


def _row(kind: str, item: Item, steps: str) -> list[str]:
    amounts = ["" if n is None else f"{n:g}" for n in (item.quantity, item.mass_kg)]
    texts = [safe(text) for text in (item.id, item.label, item.spec, item.unit, item.note, steps)]
    id_, label, spec, unit, note, cited_steps = texts
    return [kind, id_, label, spec, amounts[0], unit, amounts[1], note, cited_steps]


def safe(text: str) -> str:
    """Return text that a spreadsheet shows and never runs.

    Examples:
        >>> safe("=1+1"), safe("M6 bolt")
        ("'=1+1", 'M6 bolt')
    """
    cleaned = plain(text)
    risky = text.startswith(FORMULA_STARTS) or cleaned.startswith(FORMULA_STARTS)
    return "'" + cleaned if risky else cleaned
