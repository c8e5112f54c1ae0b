"""The wiring pages: schematic, array, cable runs, fuse, controller, every cable end, the order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.pack import illustrate
from planner.pack.blocks import Block, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.text import figure

Row = Mapping[str, Any]
RUNS = {"pv_cable": "panel\u00a0run", "battery_cable": "battery\u00a0run"}
SECTION_COLUMNS = {
    "section_mm2": "Section [mm²]",
    "buy_awg": "AWG to buy",
    "drop_v": "Drop [V]",
    "drop_percent": "Drop [%]",
    "loss_w": "Loss [W]",
    "capacity_a": "Carries [A]",
    "fuse_a": "Fuse [A]",
    "verdict": "Verdict",
}


def wiring(facts: Facts) -> Sheet | None:
    """Return the wiring section."""
    return Sheet.of(
        Block("Schematic", figures=illustrate.wiring(facts)),
        _array(facts),
        _runs(facts),
        _fuse(facts),
        _controller(facts),
        _ends(facts),
        Block("Order of connecting and disconnecting", tables=facts.table(
            "wiring.order", "Battery first, panel last; panel off first, battery off last",
            names={"number": "Step"})),
        lead="Mark both poles at both ends of every cable: the colour of a conductor proves "
        "nothing. Terminals and torques are those of the makers.",
    )


def _array(facts: Facts) -> Block:
    """Ways to join the panels are compared where there is more than one way."""
    compared = facts.table("array.rows", "Arrangements compared", names={
        "cold_v": "In frost [V]", "limit_percent": "Of the limit [%]",
        "hot_v": "Hot, working [V]"}) if len(facts.rows("array.rows")) > 1 else ()
    several = facts.number("array.panels") > 1
    strings = facts.table("array.string_rows", "Strings", names={
        "panels": "Panels in series"}) if facts.number("array.strings") > 1 else ()
    return Block(
        "Array",
        pairs=facts.pairs(
            "array.arrangement", *(("array.panels",) if several else ()), "array.watts",
            "array.cold_v", "array.cold_limit_v", "array.cold_limit_from", "array.cold_percent",
            "array.hot_vmp_v", "array.fills_hot", "array.isc_a", "array.imp_a",
            "array.string_fuse_needed", "array.string_fuse_a"),
        tables=(*compared, *strings),
        notes=("Panels are counted as in the list of the job: the panel itself, then the "
               "others.",) if facts.rows("panel.others") else (),
    )


def _runs(facts: Facts) -> Block:
    runs = facts.table(
        "wiring.runs", "Each run with its checks",
        ("run", "length_m", "buy", "drop_v", "drop_percent", "allowed_percent", "loss_w",
         "carries_a", "needs_a", "fuse_a", "result"),
        names={"length_m": "One way [m]", "buy": "Wire", "allowed_percent": "Allowed [%]",
               "needs_a": "Must carry [A]"},
    )
    return Block(
        "Cable runs",
        pairs=facts.pairs("pv_cable.cure", "battery_cable.cure"),
        tables=(*runs, *_sections(facts)),
        notes=_wire_note(facts) if runs else (),
    )


def _wire_note(facts: Facts) -> tuple[str, ...]:
    outer = facts.text("entry.cable_od_mm") or facts.text("pv_cable.od_mm")
    metric = f" The entry is planned for a solar cable {outer} thick." if outer else ""
    return ("An American wire is rounded up: it is thicker than the section before it and takes "
            "the ferrule of the next larger one. See that plug, gland and terminal take it, or use "
            f"the metric cable.{metric}",)


def _sections(facts: Facts) -> tuple[Table, ...]:
    rows = tuple(row for name in RUNS for row in _tried(facts, name))
    head = ("Run", *SECTION_COLUMNS.values())
    return (Table("Sections tried, next to the one chosen", head, rows),) if rows else ()


def _tried(facts: Facts, cable: str) -> Iterator[tuple[str, ...]]:
    """Yield the section chosen, or the nearest where none fits, with the next ones to it."""
    rows = facts.rows(f"{cable}.checks")
    shown = facts.value(f"{cable}.section_mm2")
    at = next((i for i, row in enumerate(rows) if row.get("section_mm2") == shown), 0)
    for row in rows[max(at - 1, 0) : at + 2]:
        yield (RUNS[cable], *(figure(row.get(key)) for key in SECTION_COLUMNS))


def _fuse(facts: Facts) -> Block:
    return Block(
        "Fuse at the battery, and what isolates",
        pairs=facts.pairs(
            "fuse.rating_a", "fuse.kind", "fuse.holder", "fuse.standard", "gate.fuse_distance_mm",
            "fuse.needed_a", "fuse.highest_a", "fuse.rated_v", "fuse.volts_v", "fuse.breaking_a",
            "fuse.short_circuit_a", "fuse.short_circuit_from", "fuse.cure"),
        tables=facts.table("isolator.rows", "Isolators", names={
            "volts_v": "At least [V d.c.]", "amps_a": "At least [A]"}),
    )


def _controller(facts: Facts) -> Block:
    return Block(
        "Controller and charge settings",
        pairs=facts.pairs(
            "controller.kind", "controller.output_a", "controller.mppt_wh", "controller.pwm_wh"),
        tables=(
            *facts.table("controller.checks", "Limits of controller and battery",
                         names={"used_percent": "Used [%]"}),
            *_settings(facts),
        ),
        notes=_frost(facts),
    )


def _settings(facts: Facts) -> tuple[Table, ...]:
    """What to set, beside what is usual; the battery maker's sheet wins."""
    if not facts.has("charge.absorb_v"):
        return ()
    kind = facts.text("battery.chemistry")
    rows = tuple(
        (name, facts.text(chosen) or "—", facts.text(usual) or "—")
        for name, chosen, usual in (
            ("Absorption", "charge.absorb_v", "charge.absorb_range"),
            ("Float", "charge.float_v", "charge.float_range"),
            ("Correction for temperature, from 25 °C", "charge.compensation_mv_per_c",
             "charge.compensation_range"),
            ("Equalising charge", "charge.equalise", ""),
            ("Lowest temperature for charging", "battery.min_charge_c", ""),
        )
    )
    return (Table("Settings to begin with; the battery maker's sheet wins and is written down",
                  ("Setting", "Set", f"Usual for {kind}"), rows),)


def _frost(facts: Facts) -> tuple[str, ...]:
    if not facts.value("charge.inhibit_needed"):
        return ()
    lowest = facts.text("battery.min_charge_c")
    return (f"Charging must stop below {lowest}: by the battery's own cut-off or heater, or by a "
            "probe at the battery that the controller obeys. Prove which one does it.",)


def _ends(facts: Facts) -> Block:
    return Block("Cable ends", tables=facts.table(
        "wiring.ends", "Every end of every cable",
        ("number", "cable", "terminal", "pole", "section_mm2", "buy_awg", "run_m", "finish"),
        names={"number": "End", "cable": "Mark", "buy_awg": "AWG to buy",
               "run_m": "Whole run, one way [m]", "finish": "Ferrule, lug or plug"}))
