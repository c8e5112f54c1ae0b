"""Facts about figures on the panels' labels that cannot be right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.bindings.electrics_array import LABEL, module_of
from planner.engineering.datasheet import datasheet_faults
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]


def label_faults(
    *,
    isc_pct_per_c: float,
    length_mm: float | None,
    width_mm: float | None,
    panels: float,
    controller_kind: str,
    nominal_v: float,
    others: Rows | None,
    **label: Any,
) -> dict[str, Any]:
    """Return what cannot be right on any panel's label, in words, and how much of it."""
    faults = datasheet_faults(
        module=module_of(label),
        isc_pct_per_c=isc_pct_per_c,
        area_m2=_area_m2(length_mm, width_mm),
        count=int(panels),
        controller_kind=controller_kind,
        battery_nominal_v=nominal_v,
    )
    rows = [{"answer": field, "fault": message} for field, message in faults]
    for other in others or ():
        name, area_m2 = other["name"], _area_m2(other.get("length_mm"), other.get("width_mm"))
        rows += [
            {
                "answer": f"panel.others: {name}: {field.partition('.')[2]}",
                "fault": f"{name}: {message}",
            }
            for field, message in datasheet_faults(module=module_of(other), area_m2=area_m2)
        ]
    return {"count": len(rows), "says": " ".join(row["fault"] for row in rows), "rows": rows}


def _area_m2(length_mm: float | None, width_mm: float | None) -> float | None:
    return length_mm * width_mm / 1e6 if length_mm and width_mm else None


BINDINGS: tuple[Binding, ...] = (
    bind(
        label_faults,
        {"label.faults": "count", "label.says": "says", "label.rows": "rows"},
        isc_pct_per_c="panel.isc_pct_per_c",
        length_mm="panel.length_mm?",
        width_mm="panel.width_mm?",
        panels="panel.count",
        controller_kind="controller.kind",
        nominal_v="battery.nominal_v",
        others="panel.others?",
        **LABEL,
    ),
)
