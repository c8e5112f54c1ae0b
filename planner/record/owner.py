"""What the owner's sheet says: what was fitted, figures to know, checks with their days."""

from __future__ import annotations

from datetime import date
from typing import Any

from markupsafe import Markup

from planner.pack.blocks import Pair, Table
from planner.plan.calendar import MONTHS
from planner.record import extras
from planner.record.built import Built, height_words, months_after
from planner.record.judge import value_text

FITTED = (
    "array.watts",
    "array.arrangement",
    "panel.kind",
    "mount.method",
    "fixing.kind",
    "fixing.bolt",
    "sealant.fixing",
    "sealant.bond",
    "entry.kind",
    "controller.kind",
    "pv_cable.section_mm2",
    "battery_cable.section_mm2",
    "battery.chemistry",
    "battery.capacity_ah",
)
#: Months after the work for the first and the yearly look: common practice, no source.
FIRST_MONTHS, YEAR_MONTHS = 3, 12
YEARS_SHOWN = 3


def owner(built: Built) -> dict[str, Any]:
    """Return what the owner's sheet prints."""
    facts, absorb = built.facts, built.figure("charge.absorb_v", "")
    return {
        "fitted": facts.pairs(*(name for name in FITTED if facts.value(name) != "none")),
        "figures": _figures(built),
        "fuses": _fuses(built),
        "flags": flags(built),
        "ask": built.note(extras.ASK),
        "places": _places(built),
        "particulars": _particulars(built),
        "dates": _dates(built),
        "torque": facts.text("fixing.torque_final_nm"),
        "recheck": _recheck(built),
        "cold": facts.text("array.cold_v"),
        "absorb": absorb.text if absorb else "",
        "frost": facts.text("battery.min_charge_c"),
        "speed": facts.text("vehicle.top_speed_kmh"),
    }


def flags(built: Built) -> dict[str, bool]:
    """Return which parts of the sheets this van needs."""
    facts = built.facts
    method = facts.value("mount.method")
    return {
        "loose": method == "loose",
        "lifting": bool(facts.value("roof.moves")),
        "bolted": facts.has("fixing.torque_final_nm"),
        "bonded": facts.value("sealant.bond") not in (None, "none"),
        "tether": facts.value("mount.retention") == "tether",
        "fabric": facts.value("lift.skirt") == "fabric",
        "lithium": facts.value("battery.chemistry") == "lithium_iron_phosphate",
        "lead": facts.value("battery.chemistry") in ("flooded", "agm", "gel"),
        "string_fuse": facts.value("array.string_fuse_needed") is True,
        "no_standing": facts.value("site.roof_bears_people") is not True,
    }


def _figures(built: Built) -> tuple[Pair, ...]:
    wanted = (
        ("mass.added_kg", "Mass added"),
        ("mass.payload_left_kg", "Payload left"),
        ("fixing.torque_final_nm", "Final torque of the fixing nuts"),
        ("charge.absorb_v", "Absorption voltage set"),
        ("charge.float_v", "Float voltage set"),
    )
    found = [built.figure(fact, label) for fact, label in wanted]
    pairs = [Pair(one.label, one.text, one.note) for one in found if one]
    return (*_height(built), *pairs, *_forces(built))


def _height(built: Built) -> tuple[Pair, ...]:
    height = built.height("Height with the panel")
    if height is None or height.value is None:
        return ()
    words = height_words(height.value, str(built.facts.value("job.units")))
    # Markup, for it has its feet already and gets no second ones beside it.
    text = Markup(words)  # noqa: S704  - made of numbers
    return (Pair(height.label, text, height.note),)


def _forces(built: Built) -> tuple[Pair, ...]:
    """The force to open, before and after: the owner notices when it grows."""
    said = []
    for name, label in (
        ("force-open-before", "Force to open the roof, before"),
        ("force-open-after", "Force to open the roof, with the panel"),
    ):
        entry = built.reading(name)
        if entry:
            said.append(Pair(label, value_text(entry.value, "N")))
    return tuple(said)


def _fuses(built: Built) -> Table:
    facts = built.facts
    near = facts.text("gate.fuse_distance_mm") or "a hand's width"
    where = built.note(extras.FUSE_PLACE) or f"within {near} of the battery's positive post"
    rows = [("Solar fuse at the battery", facts.text("fuse.rating_a"), where)]
    if facts.value("array.string_fuse_needed") is True:
        rows.append(("One fuse in each string of panels", facts.text("array.string_fuse_a"),
                     "where the strings join"))
    rows.append(("Inside the controller", "as its manual says", "not to be opened by the owner"))
    return Table("Fuses: replace only like for like, and find out first why one blew",
                 ("Fuse", "Rating", "Where"), tuple(rows))


def _places(built: Built) -> tuple[Pair, ...]:
    wanted = (extras.ISOLATOR_PLACE, extras.CONTROLLER_PLACE)
    return tuple(Pair(label, built.note(label)) for label in wanted if built.note(label))


def _particulars(built: Built) -> tuple[Pair, ...]:
    placed = (extras.ASK, extras.FUSE_PLACE, extras.ISOLATOR_PLACE, extras.CONTROLLER_PLACE)
    return tuple(
        Pair(entry.key, str(entry.value))
        for entry in built.book.standing("note")
        if entry.key not in placed
    )


def _recheck(built: Built) -> str:
    low = built.facts.text("gate.recheck_low_km").split("\N{NO-BREAK SPACE}")[0]
    high = built.facts.text("gate.recheck_high_km")
    return f"{low} to {high}" if low and high else ""


def _dates(built: Built) -> dict[str, Any]:
    """Days of the checks; empty places to write on where nothing was accepted yet."""
    day = built.finished()
    if day is None:
        return {"first": "", "years": ("",) * YEARS_SHOWN}
    years = (months_after(day, YEAR_MONTHS * year) for year in range(1, YEARS_SHOWN + 1))
    return {"first": day_words(months_after(day, FIRST_MONTHS)),
            "years": tuple(day_words(year) for year in years)}


def day_words(day: date) -> str:
    """Return a day as documents print it.

    Examples:
        >>> day_words(date(2027, 8, 17))
        '17 Aug 2027'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
