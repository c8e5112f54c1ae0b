"""Facts to wire by: the runs, every cable end, isolators, strings, and the order of connecting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.bindings.electrics_array import ARRAY, chosen_strings
from planner.engineering.cable_ends import Circuit, Run, cable_ends, words_of
from planner.engineering.cables import american_size_to_buy, wire_to_buy
from planner.errors import OutOfRangeError
from planner.ledger import Binding, bind
from planner.rounding import down, up

Rows = Sequence[Mapping[str, Any]]


def runs(
    *,
    roof_m: float,
    panel_to_entry_m: float | None,
    battery_m: float,
    pv: Mapping[str, Any],
    battery: Mapping[str, Any],
) -> list[dict[str, Any]]:
    """Return the cable runs with what each loses; the roof's part apart where it is known."""
    parts = [("panel to controller, through the entry", roof_m)]
    if panel_to_entry_m is not None:
        if not panel_to_entry_m < roof_m:
            words = f"less than the whole way to the controller, {roof_m:g} m: it is part of it"
            raise OutOfRangeError("panel_to_entry_m", panel_to_entry_m, words)
        inside_m = roof_m - panel_to_entry_m
        parts = [("panel to entry", panel_to_entry_m), ("entry to controller", inside_m)]
    rows = [_run(name, length, length / roof_m, pv) for name, length in parts]
    return [*rows, _run("controller to battery", battery_m, 1.0, battery)]


def _run(name: str, length_m: float, share: float, cable: Mapping[str, Any]) -> dict[str, Any]:
    """Return one run; a part of a run may lose its share of what the whole may lose."""
    return {
        "run": name,
        "length_m": round(length_m, 2),
        "buy": wire_to_buy(section_mm2=cable["section_mm2"]),
        "section_mm2": cable["section_mm2"],
        "buy_awg": american_size_to_buy(section_mm2=cable["section_mm2"]),
        "drop_v": up(share * cable["drop_v"], 3),
        "drop_percent": up(share * cable["drop_percent"], 2),
        "allowed_percent": down(share * cable["most_percent"], 2),
        "loss_w": up(share * cable["loss_w"], 1),
        "carries_a": down(cable["capacity_a"], 1),
        "needs_a": up(cable["needed_a"], 1),
        "fuse_a": cable.get("fuse_a"),
        "result": cable["result"],
    }


def _runs(**given: Any) -> list[dict[str, Any]]:
    cables = {
        name: {key.removeprefix(f"{name}_"): value for key, value in given.items()
               if key.startswith(f"{name}_")}
        for name in ("pv", "bat")
    }  # fmt: skip
    return runs(
        roof_m=given["roof_m"],
        panel_to_entry_m=given["panel_to_entry_m"],
        battery_m=given["battery_m"],
        pv=cables["pv"],
        battery=cables["bat"],
    )


def ends(
    *,
    arrangement: str | None,
    entry_kind: str | None,
    fuse_kind: str | None,
    kinds: Rows,
    string_fuse_a: float | None,
    fuse_distance_mm: float,
    pv: Run,
    battery: Run,
    array: Mapping[str, Any],
) -> list[dict[str, Any]]:
    """Return every cable end as a row to print."""
    kind = fuse_kind or kinds[-1]["kind"]
    circuit = Circuit(
        strings=chosen_strings(arrangement, array),
        pv=pv,
        battery=battery,
        fuse_lug=next(row["lug"] for row in kinds if row["kind"] == kind),
        fuse_on_post=kind == "terminal",
        fuse_distance_mm=fuse_distance_mm,
        string_fuse_a=string_fuse_a,
        inlet=entry_kind == "portable_inlet",
    )
    return [
        {
            "number": number,
            "cable": end.cable,
            "terminal": end.terminal,
            "pole": end.pole,
            "section_mm2": end.section_mm2,
            "buy_awg": end.buy_awg,
            "run_m": end.run_m,
            "finish": end.finish,
        }
        for number, end in enumerate(cable_ends(circuit), 1)
    ]


def _ends(**given: Any) -> list[dict[str, Any]]:
    own = (
        "arrangement", "entry_kind", "fuse_kind", "kinds", "string_fuse_a", "fuse_distance_mm",
    )  # fmt: skip
    return ends(
        **{name: given[name] for name in own},
        pv=Run(given["roof_m"], given["pv_section_mm2"]),
        battery=Run(given["battery_m"], given["bat_section_mm2"]),
        array=given,
    )


def string_rows(*, arrangement: str | None, string_fuse_a: float | None, **given: Any) -> Any:
    """Return the strings of the arrangement chosen, for the schematic."""
    return [
        {"string": number, "panels": words_of(string), "fuse_a": string_fuse_a}
        for number, string in enumerate(chosen_strings(arrangement, given), 1)
    ]


def isolators(
    *, array_v: float, array_a: float, charge_v: float, fuse_a: float | None
) -> list[dict[str, Any]]:
    """Return what separates panels and battery from the controller, and its least ratings."""
    rows = [
        {
            "where": "between entry and controller, in reach",
            "what": "double-pole d.c. isolator",
            "volts_v": up(array_v, 1),
            "amps_a": up(array_a, 1),
        }
    ]
    if fuse_a is not None:
        rows.append(
            {
                "where": "at the battery, in the positive",
                "what": "fuse in its holder, drawn only with the panel isolator open",
                "volts_v": up(charge_v, 1),
                "amps_a": fuse_a,
            }
        )
    return rows


def as_rows(*, rows: Rows) -> list[dict[str, Any]]:
    """Return a table of the rules as rows to print."""
    return [dict(row) for row in rows]


_RUNS = {
    "roof_m": "wiring.roof_to_controller_m",
    "battery_m": "wiring.controller_to_battery_m",
    "pv_section_mm2": "pv_cable.section_mm2",
    "bat_section_mm2": "battery_cable.section_mm2",
}
_FIGURES = ("drop_v", "drop_percent", "loss_w", "capacity_a", "needed_a", "result")


BINDINGS: tuple[Binding, ...] = (
    bind(
        _runs,
        "wiring.runs",
        panel_to_entry_m="wiring.panel_to_entry_m?",
        **{f"pv_{name}": f"pv_cable.{name}" for name in _FIGURES},
        **{f"bat_{name}": f"battery_cable.{name}" for name in _FIGURES},
        pv_most_percent="limit.pv_drop_percent",
        bat_most_percent="limit.battery_drop_percent",
        bat_fuse_a="fuse.rating_a?",
        **_RUNS,
    ),
    bind(
        _ends,
        "wiring.ends",
        arrangement="array.arrangement?",
        entry_kind="entry.kind?",
        fuse_kind="fuse.kind?",
        kinds="table.fuse_kinds",
        string_fuse_a="array.string_fuse_a?",
        fuse_distance_mm="gate.fuse_distance_mm",
        **_RUNS,
        **ARRAY,
    ),
    bind(
        string_rows,
        "array.string_rows",
        arrangement="array.arrangement?",
        string_fuse_a="array.string_fuse_a?",
        **ARRAY,
    ),
    bind(
        isolators,
        "isolator.rows",
        array_v="isolator.volts_v",
        array_a="isolator.amps_a",
        charge_v="fuse.volts_v",
        fuse_a="fuse.rating_a?",
    ),
    bind(as_rows, "wiring.order", rows="table.connection_order"),
)
