"""The labels to cut out: height, order of switching, fuses, cable ends, key tag."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from planner.record.built import Built, height_words
from planner.record.owner import flags

#: Cable ends: each end gets a flag, folded round the cable.
PV_ENDS = ("at the roof", "at the isolator", "at the controller")
BATTERY_ENDS = ("at the controller", "at the battery")


def labels(built: Built) -> dict[str, Any]:
    """Return what the sheet of labels prints."""
    facts = built.facts
    height = built.height("Height")
    units = str(facts.value("job.units"))
    words = height_words(height.value, units) if height and height.value else ""
    return {
        "height": Markup(words),  # noqa: S704  - made of numbers, and has its feet already
        "height_measured": bool(height and height.measured),
        "fuse": facts.text("fuse.rating_a"),
        "fuse_kind": facts.text("fuse.kind"),
        "string_fuse": facts.text("array.string_fuse_a"),
        "cold": facts.text("array.cold_v"),
        "gentle": facts.text("gate.gentle_kmh"),
        "flags": flags(built),
        "ends": _ends(built),
    }


def _ends(built: Built) -> tuple[tuple[str, str, str], ...]:
    """Name, place and size of each cable end."""
    facts = built.facts
    pv, battery = facts.text("pv_cable.section_mm2"), facts.text("battery_cable.section_mm2")
    roof = "at the inlet" if facts.value("mount.method") == "loose" else PV_ENDS[0]
    return tuple(
        (f"{name} {pole}", place, size)
        for name, size, places in (
            ("SOLAR", pv, (roof, *PV_ENDS[1:])),
            ("BATTERY", battery, BATTERY_ENDS),
        )
        for place in places
        for pole in ("+", "\N{MINUS SIGN}")
    )
