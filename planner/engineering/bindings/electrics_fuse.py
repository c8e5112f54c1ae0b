"""Facts about the cable from controller to battery and the fuse that protects it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from planner.engineering.bindings.electrics_cables import (
    CABLE_FIELDS,
    CHECKS,
    PASSES,
    bunching_of,
    cable_facts,
    conductors_of,
)
from planner.engineering.cable_choice import CableRun, ProtectedRun, choose_protected_run
from planner.engineering.fuses import FuseNeed, FuseSeries, estimated_short_circuit_a
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]
LITHIUM = "lithium_iron_phosphate"


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
        "conductors": conductors_of(given["conductors"]),
        "bunching": bunching_of(given["bunching"]),
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
    """Return for each kind of fuse whether it can be used, why not, and what it can break."""
    facts: dict[str, Any] = {}
    for kind, run in battery_runs(**given).items():
        possible = run.cable.chosen is not None and run.fuse.chosen is not None
        facts[f"{kind}.possible"] = possible
        facts[f"{kind}.why"] = "" if possible else run.fuse.cure or run.cable.cure
        facts[f"{kind}.breaking_ok"] = not run.fuse.tried[0].breaking_short
    return facts


def battery_run(*, fuse_kind: str | None, **given: Any) -> dict[str, Any]:
    """Return every fact of the run from controller to battery and of its fuse.

    Where no kind of fuse is left, the figures of the last kind are shown beside the stop.
    """
    runs = battery_runs(**given)
    kind = fuse_kind or list(runs)[-1]
    cable, fuse = runs[kind].cable, runs[kind].fuse
    facts = cable_facts(cable, given["output_a"], given["length_m"])
    for row, rating in zip(facts["checks"], runs[kind].fuse_ratings_a, strict=True):
        row["fuse_a"] = rating
    aimed = facts["fits"] and facts["drop_percent"] <= given["target_percent"]
    found = fuse.tried[0]
    made = next(row for row in given["kinds"] if row["kind"] == kind)
    fits = fuse_kind is not None and fuse.chosen is not None and cable.chosen is not None
    if facts["result"] == PASSES and not fits:  # a fuse of this kind was ruled out by a rule
        facts["result"] = CHECKS["fuse"]
    return facts | {
        "target_met": aimed,
        "needed_a": given["rated_a"],
        "rating_a": fuse.chosen.rating_a if fuse.chosen else None,
        "fuse_needed_a": fuse.lowest_a,
        "fuse_highest_a": fuse.highest_a,
        "fuse_rated_v": made["rated_v"],
        "fuse_holder": made["holder"],
        "fuse_standard": made["standard"],
        "breaking_a": made["breaking_a"],
        "breaking_ok": not found.breaking_short,
        "fuse_fits": fits,
        "fuse_cure": fuse.cure or cable.cure,
    }


def _series(row: Mapping[str, Any]) -> FuseSeries:
    return FuseSeries(row["kind"], tuple(row["ratings_a"]), row["rated_v"], row["breaking_a"])


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
_KIND_FIELDS = ("possible", "why", "breaking_ok")
_BATTERY_FIELDS = ("target_met", "needed_a")
_KINDS = ("blade", "bolted_strip", "terminal", "high_capacity")


BINDINGS: tuple[Binding, ...] = (
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
        {f"{kind}.{field}": f"{kind}.{field}" for kind in _KINDS for field in _KIND_FIELDS},
        **_BATTERY_RUN,
    ),
    bind(
        battery_run,
        {
            **{f"battery_cable.{field}": field for field in (*CABLE_FIELDS, *_BATTERY_FIELDS)},
            "fuse.rating_a": "rating_a",
            "fuse.needed_a": "fuse_needed_a",
            "fuse.highest_a": "fuse_highest_a",
            "fuse.rated_v": "fuse_rated_v",
            "fuse.holder": "fuse_holder",
            "fuse.standard": "fuse_standard",
            "fuse.breaking_a": "breaking_a",
            "fuse.breaking_ok": "breaking_ok",
            "fuse.fits": "fuse_fits",
            "fuse.cure": "fuse_cure",
        },
        fuse_kind="fuse.kind?",
        **_BATTERY_RUN,
    ),
)
