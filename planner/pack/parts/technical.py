"""Technical sheets: setting-out, sealants, entry and moving cable, van; and all sheets by id."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from planner.pack import illustrate
from planner.pack.blocks import Block, Pair, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.parts import panels
from planner.pack.parts.energy import energy
from planner.pack.parts.mounting import fixings
from planner.pack.parts.wiring import wiring
from planner.pack.template_first import spans
from planner.pack.text import capital, figure

PLACE = ("x_mm", "y_mm")
#: Before the tables, so that it never stands alone on the next page.
MEASURE_TWICE = "Measure each hole from both edges before you drill; the two must agree."
JOINTS = ("joint", "product", "bead_mm", "volume_ml", "open_min", "skin_h", "cured_h", "hose_h",
          "drive_h")


def setting_out(facts: Facts) -> Sheet | None:
    """Return where everything goes on the roof, and why."""
    return Sheet.of(
        Block("Roof plan", figures=illustrate.roof_plan(facts)),
        Block("Panels, feet and holes", lead=MEASURE_TWICE if facts.rows("holes.rows") else "",
              pairs=_diagonals(facts), tables=(
            *facts.table("place.panels", "Panels: front left corner, and size",
                         ("name", *PLACE, "length_mm", "width_mm", "turned")),
            *_feet(facts),
            *facts.table("holes.rows", "Holes to drill",
                         ("name", *PLACE, "diameter_mm", "depth_mm", "depth", "note"),
                         names={"depth_mm": "Through [mm]", "note": "For"}),
            *facts.table("roof.obstacles", "Keep clear: front left corner, and size",
                         ("name", "kind", *PLACE, "length_mm", "width_mm", "height_mm"),
                         worded=("kind",)),
        )),
        # After the tables: they fill the page below the plan, where this drawing has no room.
        Block("Holes from inside", figures=illustrate.roof_from_inside(facts)),
        panels.places(facts),
        lead="x runs rearwards from the front edge of the usable roof, y from its left edge, seen "
        "from above. Every figure is checked on the van before anything is drilled. The template "
        "at full size is a file of its own beside the whole pack, drilling-template.pdf.",
    )


def _feet(facts: Facts) -> tuple[Table, ...]:
    """Return the middles of the feet, unless each is the hole of the same name."""
    places = {(row.get("x_mm"), row.get("y_mm")) for row in facts.rows("holes.rows")}
    rows = facts.rows("feet.positions")
    if rows and all((row.get("x_mm"), row.get("y_mm")) in places for row in rows):
        return ()
    return facts.table("feet.positions", "Middles of the feet", ("name", *PLACE))


def _diagonals(facts: Facts) -> tuple[Pair, ...]:
    """Both diagonals between the outermost holes, to prove the pattern square with a tape."""
    within = facts.text("gate.diagonal_mm")
    return tuple(
        Pair(span.name, f"{span.span}, within {within}" if within else span.span)
        for span in spans(illustrate.holes(facts)) if span.diagonal
    )


def sealing(facts: Facts) -> Sheet | None:
    """Return every joint with its product, bead and times, the gate, and the log to fill in."""
    if not facts.rows("sealant.joints"):
        return None
    bought = _above_nothing(facts, "sealant.cartridges", "sealant.bond_cartridges")
    return Sheet.of(
        Block("Joints", tables=_joints(facts),
              pairs=facts.pairs(*bought, "bond.ribbon_m", "bond.area_cm2", "bond.laid_cm2",
                                "bond.thickness_mm", "bond.movement_mm"),
              notes=(*_prepared(facts),
                     "The product's own data sheet wins where it asks for longer.")),
        Block("Weather gate and cure", pairs=facts.pairs(
            "site.air_c", "site.surface_c", "site.humidity_pct", "air.dew_point_c",
            "air.dew_margin_k", "gate.dew_margin_k", "gate.surface_low_c", "gate.surface_high_c",
            "air.lay_ok", "site.coldest_night_c", "cure.factor", "cure.handle_h",
            "cure.move_roof_h", "cure.full_speed_h", *_potted(facts)),
            notes=(*_gate(facts), *_wide(facts))),
        Block("Log", tables=(Table("Write down for each joint as it is laid", (
            "Joint", "Product, batch, expiry", "Laid at", "Air, surface, humidity", "Released for "
            "lifting", "for hose", "for driving", "Initials"), (), blank=4),)),
    )


def _prepared(facts: Facts) -> tuple[str, ...]:
    prep = facts.text("sealant.prep")
    return (f"Roof's face at every joint: {prep}",) if prep else ()


def _gate(facts: Facts) -> tuple[str, ...]:
    why = facts.text("air.lay_why")
    return () if not why or why.startswith("Nothing") else (capital(why),)


def _wide(facts: Facts) -> tuple[str, ...]:
    """A warning where the middle of a wide closed joint will not cure for weeks."""
    days, warning = facts.number("cure.wide_days"), facts.text("cure.wide_warning")
    if not warning:
        return ()
    if facts.has("sealant.bond"):
        return (warning,)
    return (f"Under a foot bedded over its whole face the middle stays soft for about {days:.0f} "
            "days. The cured rim seals and the bolts carry meanwhile: no joint of this kind may "
            "carry by itself.",)


def _potted(facts: Facts) -> tuple[str, ...]:
    """Core filler is only told of where there is a core."""
    return ("cure.pot_h",) if facts.number("roof.core_mm") > 0 else ()


def _joints(facts: Facts) -> tuple[Table, ...]:
    """Return the joints of the job, each with the class of product that goes into it."""
    rows = facts.rows("sealant.joints")
    if not rows:
        return ()
    head = ("Joint", "Product by class", "Bead [mm]", "Volume [ml]", "Press down within [min]",
            "Skinned [h]", "Cured [h]", "Water after [h]", "Drive after [h]")
    body = tuple(
        tuple(_product(facts, str(row["joint"])) if key == "product" else
              capital(figure(row.get(key))) for key in JOINTS)
        for row in rows
    )
    return (Table("Every joint", head, body),)


def _product(facts: Facts, joint: str) -> str:
    fact = "sealant.entry" if "entry" in joint else "sealant.fixing"
    return facts.text("sealant.bond" if "bonded" in joint else fact) or "—"


def cable(facts: Facts) -> Sheet | None:
    """Return the cable entry, and the moving loop of a lifting roof."""
    return Sheet.of(
        Block("Entry", pairs=panels.entry_pairs(facts), figures=illustrate.entry_section(facts),
              notes=_inside(facts)),
        Block("Moving cable", pairs=facts.pairs(
            "loop.straight_closed_mm", "loop.straight_open_mm", "loop.closed_mm", "loop.open_mm",
            "loop.length_mm", "loop.radius_mm", "loop.excess_mm", "loop.width_mm",
            "loop.depth_mm", "loop.tail_mm", "loop.offset_needed_mm", "loop.fits",
            "lift.cable_clear_mm"),
            figures=illustrate.cable_loop(facts),
            notes=_loop_note(facts)),
    )


def _inside(facts: Facts) -> tuple[str, ...]:
    """The place of the entry on the inside, which only the van itself can show."""
    if not facts.has("entry.x_mm"):
        return ()
    return ("Find the place of the entry from inside before you drill, by the drawing seen from "
            "inside: it must be clear of beds, lamps, wiring, bows and frames by a hand's width, "
            "in every position of the roof. If it is not, move it on the plan and make the pack "
            "anew.",)


def _loop_note(facts: Facts) -> tuple[str, ...]:
    if not facts.has("loop.length_mm"):
        return ()
    advice = () if facts.value("loop.fits") else (facts.text("loop.advice"),)
    skirt, arms = facts.text("limit.loop_off_skirt_mm"), facts.text("limit.loop_off_arms_mm")
    keep = (f"Keep the cable at least {skirt} from fabric and {arms} from arms, struts and latches "
            "in every position; clamp it at two points at each end, never to a strut.")
    return (*advice, keep)


def van(facts: Facts) -> Sheet | None:
    """Return height, mass, what the panel does to a lifting roof, and from where it is seen."""
    return Sheet.of(
        Block("Height and mass", pairs=facts.pairs(
            "vehicle.height_mm", "height.new_mm", "height.added_mm", "height.notice",
            "mass.added_kg", "mass.roof_kg", "mass.payload_left_kg", "mass.front_kg",
            "mass.rear_kg"),
            figures=illustrate.elevations(facts),
            notes=(*_adds(facts), *_driver(facts))),
        Block("Lifting roof", pairs=facts.pairs(
            "lift.hinge", "lift.assist", "lift.added_kg", "lift.rated_extra_kg",
            "lift.limit_percent", "lift.over_limit", "lift.ratio", "lift.class", "lift.needs",
            "lift.arm_mm", "lift.least_arm_mm", "lift.extra_force_n", "lift.least_force_n",
            "lift.share_n", "lift.off_centre_percent", "lift.corner_kg", "lift.corner_limit_kg",
            *_above_nothing(facts, "lift.cold_extra_kg", "lift.calculated_kg"),
            "lift.dummy_kg", "lift.prop_kg") + _arms(facts),
            notes=_holding(facts)),
        Block("Seen from the ground", tables=_seen(facts), notes=_eye(facts)),
    )


def _adds(facts: Facts) -> tuple[str, ...]:
    """The masses that the job adds, in one line for roof and inside."""
    rows = facts.rows("mass.rows")
    if not rows:
        return ()
    told = "; ".join(f"{row['part']} {figure(row['mass_kg'])} kg ({row['where']})" for row in rows)
    return (f"Added: {told}.",)


def _driver(facts: Facts) -> tuple[str, ...]:
    """What the driver must be told."""
    if not facts.has("height.new_mm"):
        return ()
    return (
        f"Tell the driver: the van is now {facts.text('height.new_mm')} high with the roof shut "
        "and latched; the label in the cab says so. Axle figures are shares of the added mass "
        "only: a weighbridge tells what is left on each axle.",
    )


def _above_nothing(facts: Facts, *names: str) -> tuple[str, ...]:
    return tuple(name for name in names if facts.number(name) > 0)


def _arms(facts: Facts) -> tuple[Pair, ...]:
    """Shares of the arms of a level lift, in one line."""
    sides = [side for side in ("front", "rear", "left", "right") if facts.has(f"lift.{side}_kg")]
    told = ", ".join(f"{side} {facts.text(f'lift.{side}_kg')}" for side in sides)
    return (Pair("Added mass on the arms", told),) if told else ()


def _holding(facts: Facts) -> tuple[str, ...]:
    """The holding test with the dummy load, and when it is passed."""
    if not facts.has("lift.dummy_kg"):
        return ()
    test = (
        f"Holding test before the first hole: {facts.text('lift.dummy_kg')} strapped where the "
        f"panels' middle will be. Passed if the roof stays up by itself for "
        f"{facts.text('gate.hold_open_min')}, opens with at most "
        f"{facts.text('gate.force_more_percent')} more force than before and never more than "
        f"{facts.text('gate.force_hand_n')}, corners within {facts.text('gate.corner_mm')} of "
        "before, shuts and latches as before."
    )
    whom = ("The maker's limit is not known: ask the maker of the lifting roof, or the workshop "
            "that fitted it, for the added mass that hinges, latches, gear and shell may carry.")
    return (test,) if facts.has("lift.rated_extra_kg") else (test, whom)


def _seen(facts: Facts) -> tuple[Table, ...]:
    """Each side once, with the roof shut and open."""
    rows = facts.rows("sight.rows")
    roofs = list(dict.fromkeys(str(row["roof"]) for row in rows))
    sides = list(dict.fromkeys(str(row["side"]) for row in rows))
    told: Mapping[tuple[str, str], Any] = {
        (str(row["side"]), str(row["roof"])): row.get("seen") for row in rows
    }
    head = ("Seen from", *(f"Roof {roof}" for roof in roofs))
    body = tuple((capital(side), *(figure(told.get((side, roof))) for roof in roofs))
                 for side in sides)
    return (Table("From where the panel's edge can be seen", head, body),) if rows else ()


def _eye(facts: Facts) -> tuple[str, ...]:
    if not facts.rows("sight.rows"):
        return ()
    return (f"Distances from the roof's edge on that side, for an eye at "
            f"{facts.text('limit.eye_height_mm')} above level ground.",)


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
