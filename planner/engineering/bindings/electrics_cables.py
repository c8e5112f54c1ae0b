"""Facts about the cable from the panels to the controller, and what both runs share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.cable_choice import (
    CableCandidate,
    CableChoice,
    CableRun,
    choose_cable,
)
from planner.engineering.cables import (
    BunchingFactor,
    Conductor,
    accepted_drop_v,
    american_size_to_buy,
    wire_to_buy,
)
from planner.engineering.fuses import SHORT_CIRCUIT_FACTOR
from planner.ledger import Binding, bind
from planner.rounding import down, up

Rows = Sequence[Mapping[str, Any]]
CHECKS = {
    "smallest": "under the least section",
    "terminal": "too thick for the terminals",
    "drop": "loses too much voltage",
    "capacity": "carries too little",
    "fuse": "no fuse fits it",
}
PASSES = "passes"


def pv_choice(*, vmp_v: float, imp_a: float, isc_a: float, **given: Any) -> CableChoice:
    """Return the cable from panel to controller for one arrangement."""
    run = CableRun(
        length_m=given["length_m"],
        current_a=imp_a,
        system_v=vmp_v,
        drop_limit_percent=given["drop_percent"],
        required_a=SHORT_CIRCUIT_FACTOR * isc_a,
        ambient_c=given["ambient_c"],
        insulation_c=given["insulation_c"],
        loaded_conductors=given["loaded_conductors"],
        copper_c=max(given["copper_c"], given["ambient_c"]),
        smallest_mm2=given["least_mm2"],
        largest_mm2=given["most_mm2"],
    )
    conductors, bunching = conductors_of(given["conductors"]), bunching_of(given["bunching"])
    return choose_cable(run=run, conductors=conductors, bunching=bunching)


def pv_cable(*, solar_cables: Rows, **given: Any) -> dict[str, Any]:
    """Return every fact of the run from panel to controller."""
    choice = pv_choice(**given)
    facts = cable_facts(choice, given["imp_a"], given["length_m"])
    outer = {row["section_mm2"]: row["od_mm"] for row in solar_cables}
    needed_a = SHORT_CIRCUIT_FACTOR * given["isc_a"]
    return facts | {"od_mm": outer.get(facts["section_mm2"]), "needed_a": needed_a}


def cable_facts(choice: CableChoice, current_a: float, length_m: float) -> dict[str, Any]:
    """Return what is printed of a run: the section chosen or, beside the stop, the nearest."""
    shown = choice.chosen or _nearest(choice.candidates)
    test_v = accepted_drop_v(
        measured_a=current_a, length_m=length_m, ohm_per_km=shown.ohm_per_km
    )
    return {
        "section_mm2": shown.section_mm2,
        "buy": wire_to_buy(section_mm2=shown.section_mm2),
        "drop_v": shown.drop_v,
        "drop_percent": shown.drop_percent,
        "loss_w": shown.loss_w,
        "capacity_a": shown.capacity_a,
        "fits": not set(shown.failed) - {"fuse"},
        "cure": choice.cure,
        "governed_by": _words(choice.governed_by),
        "result": _words(shown.failed) or PASSES,
        "test_drop_v": test_v,
        "mohm": 2 * length_m * shown.ohm_per_km,
        "checks": [_check_row(row, row is choice.chosen) for row in choice.candidates],
    }


def _nearest(candidates: Sequence[CableCandidate]) -> CableCandidate:
    """Return the section nearest to what is needed: one that lacks a fuse only, or the thickest."""
    unfused = [row for row in candidates if row.failed == ("fuse",)]
    if unfused:
        return unfused[0]
    usable = [row for row in candidates if "terminal" not in row.failed]
    return (usable or list(candidates))[-1]


def _check_row(row: CableCandidate, chosen: bool) -> dict[str, Any]:
    return {
        "section_mm2": row.section_mm2,
        "buy_awg": american_size_to_buy(section_mm2=row.section_mm2),
        "drop_v": up(row.drop_v, 3),
        "drop_percent": up(row.drop_percent, 2),
        "loss_w": up(row.loss_w, 1),
        "capacity_a": down(row.capacity_a, 1),
        "verdict": _words(row.failed) or ("chosen" if chosen else "passes, thicker than needed"),
    }


def _words(failed: Sequence[str]) -> str:
    return ", ".join(CHECKS[check] for check in failed)


def conductors_of(rows: Rows) -> tuple[Conductor, ...]:
    """Return the standard sections of the table."""
    return tuple(
        Conductor(row["section_mm2"], str(row["awg"]), row["r20_ohm_per_km"], row["table_a"])
        for row in rows
    )


def bunching_of(rows: Rows) -> tuple[BunchingFactor, ...]:
    """Return the factors for wires side by side of the table."""
    return tuple(BunchingFactor(row["up_to"], row["factor"]) for row in rows)


#: What every arrangement's cable run takes, whichever arrangement is chosen.
PV_RUN = {
    "length_m": "wiring.roof_to_controller_m",
    "ambient_c": "wiring.hottest_cable_c",
    "loaded_conductors": "wiring.bunched",
    "drop_percent": "limit.pv_drop_percent",
    "insulation_c": "limit.pv_insulation_c",
    "copper_c": "limit.copper_c",
    "least_mm2": "limit.pv_least_mm2",
    "most_mm2": "limit.pv_most_mm2",
    "conductors": "table.conductors",
    "bunching": "table.bunching",
}
CABLE_FIELDS = (
    "section_mm2",
    "buy",
    "drop_v",
    "drop_percent",
    "loss_w",
    "capacity_a",
    "fits",
    "cure",
    "governed_by",
    "result",
    "test_drop_v",
    "mohm",
    "checks",
)

BINDINGS: tuple[Binding, ...] = (
    bind(
        pv_cable,
        {f"pv_cable.{field}": field for field in (*CABLE_FIELDS, "od_mm", "needed_a")},
        vmp_v="array.vmp_v",
        imp_a="array.imp_a",
        isc_a="array.isc_a",
        solar_cables="table.solar_cables",
        **PV_RUN,
    ),
)
