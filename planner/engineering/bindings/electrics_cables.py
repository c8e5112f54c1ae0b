"""Facts about the two cable runs and the fuse at the battery."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from planner.engineering.cable_choice import (
    CableCandidate,
    CableChoice,
    CableRun,
    ProtectedRun,
    choose_cable,
    choose_protected_run,
)
from planner.engineering.cables import BunchingFactor, Conductor, accepted_drop_v
from planner.engineering.fuses import (
    SHORT_CIRCUIT_FACTOR,
    FuseNeed,
    FuseSeries,
    estimated_short_circuit_a,
)
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]
CHECKS = {
    "smallest": "under the least section",
    "terminal": "too thick for the terminals",
    "drop": "loses too much voltage",
    "capacity": "carries too little",
    "fuse": "no fuse fits it",
}
LITHIUM = "lithium_iron_phosphate"


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
    return choose_cable(
        run=run, conductors=_conductors(given["conductors"]), bunching=_bunching(given["bunching"])
    )


def pv_cable(*, solar_cables: Rows, **given: Any) -> dict[str, Any]:
    """Return every fact of the run from panel to controller."""
    choice = pv_choice(**given)
    facts = _cable_facts(choice, given["imp_a"], given["length_m"])
    outer = {row["section_mm2"]: row["od_mm"] for row in solar_cables}
    needed_a = SHORT_CIRCUIT_FACTOR * given["isc_a"]
    return facts | {"od_mm": outer.get(facts["section_mm2"]), "needed_a": needed_a}


def short_circuit(
    *, stated_a: float | None, capacity_ah: float, chemistry: str, factors: Rows
) -> dict[str, Any]:
    """Return the battery's short-circuit current and where the figure comes from."""
    if stated_a is not None:
        return {"amps": stated_a, "source": "the battery's data sheet"}
    factor = next(row["amps_per_ah"] for row in factors if row["chemistry"] == chemistry)
    amps = estimated_short_circuit_a(capacity_ah=capacity_ah, amps_per_ah=factor)
    return {"amps": amps, "source": f"estimated, {factor:g} A for each Ah of its capacity"}


def battery_runs(*, kinds: Rows, **given: Any) -> dict[str, ProtectedRun]:
    """Return the run from controller to battery for each kind of fuse.

    The section is first sought at the drop aimed at; only where none fits, at the largest allowed.
    """
    need = FuseNeed(
        continuous_a=given["rated_a"],
        max_charge_v=given["charge_v"],
        short_circuit_a=given["short_circuit_a"],
        breaking_must_hold=given["chemistry"] == LITHIUM,
        controller_max_fuse_a=given["controller_max_fuse_a"],
    )
    aimed = CableRun(
        length_m=given["length_m"],
        current_a=given["output_a"],
        system_v=given["nominal_v"],
        drop_limit_percent=given["target_percent"],
        required_a=given["rated_a"],
        ambient_c=given["ambient_c"],
        insulation_c=given["insulation_c"],
        copper_c=given["copper_c"],
        smallest_mm2=given["least_mm2"],
        largest_mm2=given["most_mm2"],
    )
    tables: dict[str, Any] = {
        "conductors": _conductors(given["conductors"]),
        "bunching": _bunching(given["bunching"]),
        "need": need,
    }
    runs = {}
    for series in map(_series, kinds):
        found = choose_protected_run(run=aimed, series=(series,), **tables)
        if found.cable.chosen is None:
            allowed = replace(aimed, drop_limit_percent=given["drop_percent"])
            found = choose_protected_run(run=allowed, series=(series,), **tables)
        runs[series.id] = found
    return runs


def fuse_kinds(**given: Any) -> dict[str, Any]:
    """Return for each kind of fuse whether it can be used, and why not."""
    facts: dict[str, Any] = {}
    for kind, run in battery_runs(**given).items():
        possible = run.cable.chosen is not None and run.fuse.chosen is not None
        facts[f"{kind}.possible"] = possible
        facts[f"{kind}.why"] = "" if possible else run.fuse.cure or run.cable.cure
    return facts


def battery_run(*, fuse_kind: str | None, **given: Any) -> dict[str, Any]:
    """Return every fact of the run from controller to battery and of its fuse.

    Where no kind of fuse is left, the figures of the last kind are shown beside the stop.
    """
    runs = battery_runs(**given)
    kind = fuse_kind or list(runs)[-1]
    cable, fuse = runs[kind].cable, runs[kind].fuse
    facts = _cable_facts(cable, given["output_a"], given["length_m"])
    aimed = facts["fits"] and facts["drop_percent"] <= given["target_percent"]
    found = fuse.tried[0]
    breaking_a = next(row["breaking_a"] for row in given["kinds"] if row["kind"] == kind)
    volts = next(row["rated_v"] for row in given["kinds"] if row["kind"] == kind)
    return facts | {
        "target_met": aimed,
        "rating_a": fuse.chosen.rating_a if fuse.chosen else None,
        "fuse_needed_a": fuse.lowest_a,
        "fuse_highest_a": fuse.highest_a,
        "fuse_rated_v": volts,
        "breaking_a": breaking_a,
        "breaking_ok": not found.breaking_short,
        "fuse_fits": fuse_kind is not None and fuse.chosen is not None and facts["fits"],
        "fuse_cure": fuse.cure or cable.cure,
    }


def _cable_facts(choice: CableChoice, current_a: float, length_m: float) -> dict[str, Any]:
    shown = choice.chosen or _nearest(choice.candidates)
    test_v = accepted_drop_v(
        measured_a=current_a, length_m=length_m, ohm_per_km=shown.ohm_per_km
    )
    return {
        "section_mm2": shown.section_mm2,
        "awg": shown.awg,
        "drop_v": shown.drop_v,
        "drop_percent": shown.drop_percent,
        "loss_w": shown.loss_w,
        "capacity_a": shown.capacity_a,
        "fits": choice.chosen is not None,
        "cure": choice.cure,
        "governed_by": ", ".join(CHECKS[check] for check in choice.governed_by),
        "test_drop_v": test_v,
        "mohm": 2 * length_m * shown.ohm_per_km,
        "checks": [_check_row(row, row is choice.chosen) for row in choice.candidates],
    }


def _nearest(candidates: Sequence[CableCandidate]) -> CableCandidate:
    """Return the thickest section that the terminals take: the nearest to what is needed."""
    usable = [row for row in candidates if "terminal" not in row.failed]
    return (usable or list(candidates))[-1]


def _check_row(row: CableCandidate, chosen: bool) -> dict[str, Any]:
    failed = ", ".join(CHECKS[check] for check in row.failed)
    return {
        "section_mm2": row.section_mm2,
        "drop_v": round(row.drop_v, 3),
        "drop_percent": round(row.drop_percent, 2),
        "loss_w": round(row.loss_w, 1),
        "capacity_a": round(row.capacity_a, 1),
        "verdict": failed or ("chosen" if chosen else "passes, thicker than needed"),
    }


def _conductors(rows: Rows) -> tuple[Conductor, ...]:
    return tuple(
        Conductor(row["section_mm2"], str(row["awg"]), row["r20_ohm_per_km"], row["table_a"])
        for row in rows
    )


def _bunching(rows: Rows) -> tuple[BunchingFactor, ...]:
    return tuple(BunchingFactor(row["up_to"], row["factor"]) for row in rows)


def _series(row: Mapping[str, Any]) -> FuseSeries:
    return FuseSeries(row["kind"], tuple(row["ratings_a"]), row["rated_v"], row["breaking_a"])


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
_BATTERY_RUN = {
    "length_m": "wiring.controller_to_battery_m",
    "output_a": "controller.output_a",
    "rated_a": "controller.max_charge_a",
    "controller_max_fuse_a": "controller.max_fuse_a?",
    "nominal_v": "battery.nominal_v",
    "chemistry": "battery.chemistry",
    "charge_v": "fuse.volts_v",
    "short_circuit_a": "fuse.short_circuit_a",
    "target_percent": "limit.battery_drop_target_percent",
    "drop_percent": "limit.battery_drop_percent",
    "ambient_c": "limit.battery_run_air_c",
    "insulation_c": "limit.battery_insulation_c",
    "copper_c": "limit.copper_c",
    "least_mm2": "limit.battery_least_mm2",
    "most_mm2": "limit.battery_most_mm2",
    "conductors": "table.conductors",
    "bunching": "table.bunching",
    "kinds": "table.fuse_kinds",
}
_CABLE_FIELDS = (
    "section_mm2",
    "awg",
    "drop_v",
    "drop_percent",
    "loss_w",
    "capacity_a",
    "fits",
    "cure",
    "governed_by",
    "test_drop_v",
    "mohm",
    "checks",
)
_KINDS = ("blade", "bolted_strip", "terminal")

BINDINGS: tuple[Binding, ...] = (
    bind(
        pv_cable,
        {f"pv_cable.{field}": field for field in (*_CABLE_FIELDS, "od_mm", "needed_a")},
        vmp_v="array.vmp_v",
        imp_a="array.imp_a",
        isc_a="array.isc_a",
        solar_cables="table.solar_cables",
        **PV_RUN,
    ),
    bind(
        short_circuit,
        {"fuse.short_circuit_a": "amps", "fuse.short_circuit_from": "source"},
        stated_a="battery.short_circuit_a?",
        capacity_ah="battery.capacity_ah",
        chemistry="battery.chemistry",
        factors="table.short_circuit",
    ),
    bind(
        fuse_kinds,
        {f"{kind}.{field}": f"{kind}.{field}" for kind in _KINDS for field in ("possible", "why")},
        **_BATTERY_RUN,
    ),
    bind(
        battery_run,
        {
            **{f"battery_cable.{field}": field for field in (*_CABLE_FIELDS, "target_met")},
            "fuse.rating_a": "rating_a",
            "fuse.needed_a": "fuse_needed_a",
            "fuse.highest_a": "fuse_highest_a",
            "fuse.rated_v": "fuse_rated_v",
            "fuse.breaking_a": "breaking_a",
            "fuse.breaking_ok": "breaking_ok",
            "fuse.fits": "fuse_fits",
            "fuse.cure": "fuse_cure",
        },
        fuse_kind="fuse.kind?",
        **_BATTERY_RUN,
    ),
)
