"""Facts about the array: a row for each arrangement, and the figures of the one chosen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering.arrangements import (
    MOST_PANELS,
    Arrangement,
    ArrayLimits,
    arrangements,
)
from planner.engineering.bindings.electrics_cables import PV_RUN, pv_choice
from planner.engineering.fuses import SHORT_CIRCUIT_FACTOR
from planner.engineering.strings import ColdFactor, Module, VoltageLimit, voltage_limit
from planner.errors import OutOfRangeError
from planner.ledger import Binding, bind
from planner.rounding import down, up

IDS = ("single", "series", "parallel", "two_by_two")
LABELS = {"single": "one alone", "two_by_two": "pairs in series, in parallel"}
_LABEL_FIELDS = ("rated_w", "voc_v", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a")


def panel_labels(given: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return the label of every panel of the job: the equal ones first, the others as listed."""
    found = [given] * int(given["count"])
    for other in given["others"] or ():
        found.extend([other] * int(other["count"]))
    return found


def modules(given: Mapping[str, Any]) -> tuple[Module, ...]:
    """Return every panel of the job in that order."""
    found = tuple(map(module_of, panel_labels(given)))
    if len(found) > MOST_PANELS:
        allowed = f"1 to {MOST_PANELS}, the further unequal panels counted in"
        raise OutOfRangeError("count", len(found), allowed)
    return found


def module_of(label: Mapping[str, Any]) -> Module:
    """Return one panel from the figures of its label."""
    figures = {name: label[name] for name in _LABEL_FIELDS}
    return Module(**figures, voc_pct_per_c=label.get("voc_pct_per_c"))


def cold_limit(
    *,
    controller_max_pv_v: float,
    stated_difference_v: float | None,
    nominal_v: float,
    battery_low_v: float,
) -> VoltageLimit:
    """Return the most that the array may reach, and whose limit it is."""
    return voltage_limit(
        controller_max_pv_v=controller_max_pv_v,
        battery_v=battery_low_v * nominal_v / 12,
        stated_difference_v=stated_difference_v,
    )


def _worked(given: Mapping[str, Any]) -> tuple[Arrangement, ...]:
    limits = ArrayLimits(
        coldest_c=given["coldest_c"],
        hottest_cell_c=given["hottest_cell_c"],
        limit_v=given["limit_v"],
        needed_vmp_v=_needed_vmp_v(given),
        string_ratings_a=tuple(row["rating_a"] for row in given["string_fuses"]),
        mismatch_percent=given["mismatch_percent"],
        manual_asks_125=given["manual_asks_125"],
        input_limit_a=_input_limit_a(given),
    )
    table = tuple(ColdFactor(row["down_to_c"], row["factor"]) for row in given["cold_factors"])
    return arrangements(modules=modules(given), limits=limits, table=table)


def _input_limit_a(given: Mapping[str, Any]) -> float:
    """Return what the controller's input takes: a PWM unit only what it can also pass on."""
    stated = given["max_pv_a"]
    limits = [float("inf") if stated is None else stated]
    if given["controller_kind"] == "pwm":
        limits.append(given["max_charge_a"])
    return min(limits)


def _row(found: Arrangement, given: Mapping[str, Any]) -> dict[str, Any]:
    run = {name: given[name] for name in PV_RUN}
    cable = pv_choice(vmp_v=found.vmp_v, imp_a=found.imp_a, isc_a=found.isc_a, **run)
    reasons = [*found.refused, *([cable.cure] if cable.cure else [])]
    return {
        "possible": not reasons,
        "why": "; ".join(reasons),
        "cold_v": found.cold_v,
        "cold_percent": found.share_of_limit_percent,
        "hot_vmp_v": found.hot_vmp_v,
        "isc_a": found.isc_a,
        "watts": found.watts,
        "section_mm2": cable.chosen.section_mm2 if cable.chosen else None,
        "drop_percent": cable.chosen.drop_percent if cable.chosen else None,
    }


def array_options(**given: Any) -> dict[str, Any]:
    """Return the facts of each arrangement, and all of them as rows to print."""
    worked = _worked(given)
    rows = {found.id: _row(found, given) for found in worked}
    facts: dict[str, Any] = {"rows": [_printed(name, row) for name, row in rows.items()]}
    facts |= _for_pwm(worked, _needed_vmp_v(given))
    for name in IDS:
        row = rows.get(name, {"possible": False})
        facts.update({f"{name}.{field}": row.get(field) for field in _OPTION_FIELDS})
    return facts


def _for_pwm(worked: Sequence[Arrangement], needed_v: float) -> dict[str, Any]:
    """Return power and volts of the arrangement that gives most through PWM, if any does."""
    usable = [found for found in worked if found.hot_vmp_v >= needed_v]
    if not usable:
        return {"pwm_watts": None, "pwm_vmp_v": None}
    best = max(usable, key=lambda found: found.watts / found.vmp_v)
    return {"pwm_watts": best.watts, "pwm_vmp_v": best.vmp_v}


def _needed_vmp_v(given: Mapping[str, Any]) -> float:
    return float(given["bulk_v"] * given["nominal_v"] / 12)


def _printed(name: str, row: Mapping[str, Any]) -> dict[str, Any]:
    drop = row["drop_percent"]
    return {
        "arrangement": LABELS.get(name, f"in {name}"),
        "cold_v": up(row["cold_v"], 1),
        "limit_percent": up(row["cold_percent"]),
        "hot_v": down(row["hot_vmp_v"], 1),
        "short_circuit_a": up(row["isc_a"], 1),
        "watts": round(row["watts"]),
        "section_mm2": row["section_mm2"],
        "drop_percent": None if drop is None else up(drop, 1),
        "verdict": row["why"] or "may be built",
    }


def array(*, arrangement: str | None, fill_v: float, **given: Any) -> dict[str, Any]:
    """Return the figures of the arrangement chosen.

    Where none may be built, those of the one with the fewest volts are shown beside the stop.
    """
    rows = {row.id: row for row in _worked(given)}
    chosen = _chosen(arrangement, rows)
    fuse = chosen.string_fuse
    option = _row(chosen, given)
    return {
        "possible": arrangement in rows and option["possible"],
        "why": option["why"],
        "panels": len(modules(given)),
        "strings": len(chosen.strings),
        "cold_v": chosen.cold_v,
        "cold_percent": chosen.share_of_limit_percent,
        "voc_v": chosen.voc_v,
        "vmp_v": chosen.vmp_v,
        "hot_vmp_v": chosen.hot_vmp_v,
        "fills_hot": chosen.hot_vmp_v >= fill_v,
        "isc_a": chosen.isc_a,
        "imp_a": chosen.imp_a,
        "watts": chosen.watts,
        "designed_a": SHORT_CIRCUIT_FACTOR * chosen.isc_a,
        "string_fuse_needed": fuse.needed,
        "string_fuse_a": fuse.rating_a,
        "string_fuse_low_a": fuse.lowest_a,
        "string_fuse_high_a": fuse.highest_a,
        "reverse_a": fuse.reverse_a,
    }


def _chosen(arrangement: str | None, rows: Mapping[str, Arrangement]) -> Arrangement:
    return rows.get(arrangement or "") or min(rows.values(), key=lambda row: row.cold_v)


def chosen_strings(
    arrangement: str | None, given: Mapping[str, Any]
) -> tuple[tuple[int, ...], ...]:
    """Return the panels of each string of the arrangement chosen, by their place in the list."""
    return _chosen(arrangement, {row.id: row for row in _worked(given)}).strings


_OPTION_FIELDS = (
    "possible",
    "why",
    "cold_v",
    "cold_percent",
    "hot_vmp_v",
    "isc_a",
    "watts",
    "section_mm2",
    "drop_percent",
)
_ARRAY_FIELDS = (
    "possible",
    "why",
    "panels",
    "strings",
    "cold_v",
    "cold_percent",
    "voc_v",
    "vmp_v",
    "hot_vmp_v",
    "fills_hot",
    "isc_a",
    "imp_a",
    "watts",
    "string_fuse_needed",
    "string_fuse_a",
    "string_fuse_low_a",
    "string_fuse_high_a",
    "reverse_a",
)
LABEL = {
    **{name: f"panel.{name}" for name in _LABEL_FIELDS},
    "voc_pct_per_c": "panel.voc_pct_per_c?",
}
ARRAY = {
    **LABEL,
    "count": "panel.count",
    "others": "panel.others?",
    "manual_asks_125": "panel.manual_times_125",
    "coldest_c": "wiring.coldest_c",
    "hottest_cell_c": "limit.hottest_cell_c",
    "limit_v": "array.cold_limit_v",
    "nominal_v": "battery.nominal_v",
    "bulk_v": "limit.bulk_v",
    "mismatch_percent": "limit.mismatch_percent",
    "controller_kind": "controller.kind",
    "max_pv_a": "controller.max_pv_a?",
    "max_charge_a": "controller.max_charge_a",
    "cold_factors": "table.cold_factors",
    "string_fuses": "table.string_fuses",
    **PV_RUN,
}

BINDINGS: tuple[Binding, ...] = (
    bind(
        cold_limit,
        {"array.cold_limit_v": "limit_v", "array.cold_limit_from": "governed_by"},
        controller_max_pv_v="controller.max_pv_v",
        stated_difference_v="controller.max_over_battery_v?",
        nominal_v="battery.nominal_v",
        battery_low_v="limit.battery_low_v",
    ),
    bind(
        array_options,
        {
            "array.rows": "rows",
            "array.pwm_watts": "pwm_watts",
            "array.pwm_vmp_v": "pwm_vmp_v",
            **{f"{name}.{field}": f"{name}.{field}" for name in IDS for field in _OPTION_FIELDS},
        },
        **ARRAY,
    ),
    bind(
        array,
        {
            **{f"array.{field}": field for field in _ARRAY_FIELDS},
            "isolator.volts_v": "cold_v",
            "isolator.amps_a": "designed_a",
        },
        arrangement="array.arrangement?",
        fill_v="controller.fill_v",
        **ARRAY,
    ),
)
