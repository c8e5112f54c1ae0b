"""Technical sheets: setting-out, fixings, sealant, entry and moving cable, wiring, van, energy."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from planner.pack import illustrate, month_figures
from planner.pack.blocks import Block, Pair, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.text import capital, figure, plain

PLACE = ("x_mm", "y_mm")
CABLE_COLUMNS = ("section_mm2", "drop_v", "drop_percent", "loss_w", "capacity_a", "verdict")


def setting_out(facts: Facts) -> Sheet | None:
    """Return where everything goes on the roof."""
    return Sheet.of(
        Block("Roof plan", figures=illustrate.roof_plans(facts)),
        Block("Panels and feet", tables=(
            *facts.table("place.panels", "Panels: front left corner, and size",
                         ("name", *PLACE, "length_mm", "width_mm", "turned")),
            *_feet(facts),
        )),
        Block("Holes", pairs=_diagonals(facts), tables=(
            *facts.table("holes.rows", "Holes to drill",
                         ("name", *PLACE, "diameter_mm", "depth_mm", "depth", "note")),
            *_entry_table(facts),
        ), notes=("Measure each hole from both edges before you drill; the two must agree.",)),
        Block("Keep clear", tables=facts.table(
            "roof.obstacles", "Roof furniture: front left corner, and size",
            ("name", "kind", *PLACE, "length_mm", "width_mm", "height_mm"), worded=("kind",))),
        lead="x runs rearwards from the front edge of the usable roof, y from its left edge, seen "
        "from above. Every figure is checked on the van before anything is drilled. The template "
        "at full size is a file of its own, drilling-template.pdf.",
    )


def _feet(facts: Facts) -> tuple[Table, ...]:
    """Return the middles of the feet, unless each is the hole of the same name."""
    places = {(row.get("x_mm"), row.get("y_mm")) for row in facts.rows("holes.rows")}
    rows = facts.rows("feet.positions")
    if rows and all((row.get("x_mm"), row.get("y_mm")) in places for row in rows):
        return ()
    return facts.table("feet.positions", "Middles of the feet", ("name", *PLACE))


def _entry_table(facts: Facts) -> tuple[Table, ...]:
    spot = illustrate.entry(facts)
    if spot is None:
        return ()
    row = (facts.text("entry.kind") or "entry", figure(spot.x_mm), figure(spot.y_mm),
           figure(spot.diameter_mm or None))
    return (Table("Cable entry", ("Kind", "X [mm]", "Y [mm]", "Hole [mm]"), (row,)),)


def _diagonals(facts: Facts) -> tuple[Pair, ...]:
    """Both diagonals between the outermost holes, to prove the pattern square with a tape."""
    spots = illustrate.holes(facts)
    if len(spots) < 4:
        return ()
    first = min(spots, key=lambda s: s.x_mm + s.y_mm)
    last = max(spots, key=lambda s: s.x_mm + s.y_mm)
    right = min(spots, key=lambda s: s.x_mm - s.y_mm)
    left = max(spots, key=lambda s: s.x_mm - s.y_mm)
    if len({first.name, last.name, right.name, left.name}) < 4:
        return ()
    return tuple(
        Pair(f"Diagonal {a.name} to {b.name}",
             f"{math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm):.0f} mm, within 3 mm")
        for a, b in ((first, last), (right, left))
    )


def fixings(facts: Facts) -> Sheet | None:
    """Return how the panel is held: mount, bolt, checks, and the mounts side by side."""
    return Sheet.of(
        Block("Mount", pairs=facts.pairs(
            "mount.method", "mount.pattern", "mount.retention", "feet.count", "mount.mass_kg",
            "mount.height_mm", "mount.utilisation_percent", "mount.governing", "wind.speed_kmh",
            "wind.pressure_pa", "wind.uplift_n", "feet.foot_load_n", "feet.bolt_tension_n")),
        Block("Fixing", pairs=facts.pairs(
            "fixing.kind", "fixing.head", "fixing.finish", "fixing.bolt", "fixing.bolt_length_mm",
            "fixing.hole_mm", "fixing.plate", "fixing.torque_first_nm", "fixing.torque_final_nm",
            "fixing.projection_mm", "fixing.projection_limit_mm", "fixing.thread_past_nut_mm"),
            figures=illustrate.fixing_section(facts),
            tables=facts.table("fixing.stack", "Stack of one fixing, from outside inwards"),
            notes=_torque_note(facts)),
        Block("Checks", tables=facts.table("feet.checks", "Strength of the fixing"),
              notes=_strength_note(facts)),
        Block("Every mount compared", tables=facts.table(
            "mounts.rows", "Mounts that this job could have",
            ("mount", "feet", "holes", "height_mm", "mass_kg", "sealant_ml", "drive_h",
             "utilisation_percent", "governing"),
            names={"drive_h": "First drive after [h]", "utilisation_percent": "Used [%]",
                   "governing": "Weakest part"}, worded=("mount",))),
    )


def _torque_note(facts: Facts) -> tuple[str, ...]:
    if not facts.has("fixing.torque_final_nm"):
        return ()
    return ("Measure the running torque of a new locking nut and add it to the figure. Stop at any "
            "dish, whitening or creak in the roof.",)


def _strength_note(facts: Facts) -> tuple[str, ...]:
    if not facts.rows("feet.checks"):
        return ()
    return ("These checks do not prove that the panel stays on in a crash. Pull-through is an "
            "estimate until a sample of this roof has been tested.",)


def sealing(facts: Facts) -> Sheet | None:
    """Return sealants, quantities, cure times, and the log to fill in."""
    cure = ("cure.factor", "cure.skin_h", "cure.handle_h", "cure.rim_h", "cure.through_h",
            "cure.hose_h", "cure.drive_h", "cure.full_speed_h", "cure.pot_h")
    return Sheet.of(
        Block("Products by class", pairs=facts.pairs(
            "sealant.fixing", "sealant.entry", "sealant.bond", "sealant.total_ml",
            "sealant.cartridges", "mount.sealant_ml", "bond.area_cm2", "bond.ribbon_m",
            "bond.utilisation_percent")),
        Block("Air and cure", pairs=facts.pairs(
            "site.air_c", "site.humidity_pct", "air.dew_point_c", "air.dew_margin_k", "air.lay_ok",
            *cure),
            notes=("The product's own data sheet wins where it asks for longer.",)),
        Block("Log", tables=(Table("Write down for each joint as it is laid", (
            "Joint", "Product, batch, expiry", "Laid at", "Air, surface, humidity", "Released for "
            "lifting", "for hose", "for driving", "Initials"), (), blank=5),)),
    )


def cable(facts: Facts) -> Sheet | None:
    """Return the cable entry, and the moving loop of a lifting roof."""
    return Sheet.of(
        Block("Entry", pairs=facts.pairs(
            "entry.kind", "entry.where", "entry.hole_mm", "entry.cable_od_mm", "entry.gap_ok",
            "job.leads"), figures=illustrate.entry_section(facts)),
        Block("Moving cable", pairs=facts.pairs(
            "loop.closed_mm", "loop.open_mm", "loop.length_mm", "loop.radius_mm", "loop.excess_mm",
            "loop.offset_needed_mm", "loop.fits", "loop.advice"),
            figures=illustrate.cable_loop(facts),
            notes=_loop_note(facts)),
    )


def _loop_note(facts: Facts) -> tuple[str, ...]:
    if not facts.has("loop.length_mm"):
        return ()
    return ("Keep the cable at least 20 mm from fabric and 30 mm from arms, struts and latches in "
            "every position; clamp it at two points at each end, never to a strut.",)


def wiring(facts: Facts) -> Sheet | None:
    """Return schematic, cables, fuse, controller and the arrangements compared."""
    runs = ("section_mm2", "awg", "od_mm", "drop_v", "drop_percent", "loss_w", "capacity_a",
            "fits")
    return Sheet.of(
        Block("Schematic", figures=illustrate.wiring(facts)),
        Block("Array", pairs=facts.pairs(
            "array.arrangement", "array.watts", "array.cold_v", "array.cold_limit_v",
            "array.cold_percent", "array.hot_vmp_v", "array.isc_a", "array.imp_a",
            "array.string_fuse_needed", "array.string_fuse_a"),
            tables=facts.table("array.rows", "Arrangements compared", names={
                "limit_percent": "Of the limit [%]", "hot_v": "Hot, working [V]"})),
        Block("Roof to controller", pairs=(
            *facts.pairs("wiring.roof_to_controller_m"), *facts.pairs(*_of("pv_cable", runs))),
            tables=_sections(facts, "pv_cable")),
        Block("Controller to battery", pairs=(
            *facts.pairs("wiring.controller_to_battery_m"),
            *facts.pairs(*_of("battery_cable", runs))),
            tables=_sections(facts, "battery_cable")),
        Block("Fuse at the battery", pairs=facts.pairs(
            "fuse.kind", "fuse.rating_a", "fuse.needed_a", "fuse.volts_v", "fuse.short_circuit_a",
            "fuse.short_circuit_from", "fuse.fits")),
        Block("Controller", pairs=facts.pairs(
            "controller.kind", "controller.output_a", "controller.watts_ok", "controller.volts_ok",
            "controller.amps_ok", "controller.gain_mppt_wh", "battery.chemistry",
            "charge.absorb_v", "charge.float_v", "charge.compensation_mv_per_c")),
        lead="Mark both poles at both ends of every cable: the colour of a conductor proves "
        "nothing. Terminals and torques are those of the makers.",
    )


def _sections(facts: Facts, cable_name: str) -> tuple[Table, ...]:
    """Return the sections compared: the chosen one with two thinner and two thicker."""
    found = facts.table(f"{cable_name}.checks", "Sections compared", CABLE_COLUMNS)
    chosen = figure(facts.value(f"{cable_name}.section_mm2"))
    for table in found:
        sections = [row[0] for row in table.rows]
        if chosen in sections:
            at = sections.index(chosen)
            return (replace(table, rows=table.rows[max(at - 2, 0) : at + 3]),)
    return found


def _of(section: str, names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{section}.{name}" for name in names)


def van(facts: Facts) -> Sheet | None:
    """Return height, mass, and what the panel does to a lifting roof."""
    return Sheet.of(
        Block("Height and mass", pairs=facts.pairs(
            "vehicle.height_mm", "height.new_mm", "height.added_mm", "height.notice",
            "mass.added_kg", "mass.payload_left_kg", "mass.front_kg", "mass.rear_kg"),
            figures=illustrate.elevations(facts)),
        Block("Lifting roof", pairs=facts.pairs(
            "lift.hinge", "lift.assist", "lift.ratio", "lift.class", "lift.added_kg",
            "lift.extra_force_n", "lift.share_n", "lift.cold_extra_kg", "lift.dummy_kg",
            "lift.prop_kg", "lift.rated_extra_kg", "lift.over_limit")),
        Block("Seen from the ground", tables=facts.table(
            "sight.rows", "From where the panel's edge can be seen")),
    )


def energy(facts: Facts) -> Sheet | None:
    """Return use, sunlight, harvest, days off grid and the candidate panels."""
    return Sheet.of(
        Block("Use and battery", pairs=facts.pairs(
            "use.reason", "use.daily_wh", "use.days_away", "battery.usable_wh", "solar.worth",
            "solar.why", "array.recommended_w", "array.watts")),
        Block("Sunlight and harvest", pairs=facts.pairs(
            "sun.source", "sun.year_kwh_m2", "harvest.worst_month", "harvest.worst_wh_day",
            "shade.share_percent"),
            figures=(*month_figures.sunlight(facts), *month_figures.harvest(facts)),
            tables=facts.table("harvest.factors", "Factors of the harvest", names={
                "factor": "What is lost to", "left_percent": "Share left [%]"})),
        Block("Days off grid", pairs=facts.pairs(
            "offgrid.days_without", "offgrid.days_with", "offgrid.days_with_9in10"),
            figures=month_figures.off_grid(facts)),
        Block("Where the panel goes", pairs=facts.pairs(
            "place.fits", "place.x_mm", "place.y_mm", "place.turned", "place.why_not"),
            notes=_reasons(facts)),
        Block("Candidates", figures=illustrate.candidates(facts),
              tables=facts.table(
                  "candidates.rows", "Candidate panels on this roof",
                  ("name", "count", "fits", "watts", "length_mm", "width_mm", "mass_kg",
                   "shade_percent", "points", "why_not"), names={"watts": "Watts"})),
    )


def _reasons(facts: Facts) -> tuple[str, ...]:
    reasons = facts.value("place.reasons")
    if not isinstance(reasons, list | tuple):
        return (capital(facts.text("place.reasons")),) if facts.text("place.reasons") else ()
    return tuple(capital(plain(str(reason))) for reason in reasons)


#: The technical sections by their ids.
SHEETS: Mapping[str, Callable[[Facts], Sheet | None]] = {
    "setting-out": setting_out,
    "fixings": fixings,
    "sealing": sealing,
    "cable": cable,
    "wiring": wiring,
    "van": van,
    "energy": energy,
}
