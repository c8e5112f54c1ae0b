"""Answers that cannot all be true: each with the answer to look at and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.engineering.datasheet import datasheet_faults
from planner.engineering.placement_faults import obstacle_faults
from planner.engineering.placement_model import Obstacle, RoofPlan
from planner.engineering.strings import Module
from planner.engineering.whereabouts import sunlight_meant
from planner.errors import InputError, OutOfRangeError
from planner.rulebase.base import RuleBase
from planner.rulebase.values import UNKNOWN

#: The fact to point at, what is wrong, and the cure where the fault does not say it.
Contradiction = tuple[str, str, str]
LABEL = ("rated_w", "voc_v", "vmp_v", "isc_a", "imp_a")


def contradictions(base: RuleBase, answers: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield every contradiction between answers that are given."""
    known = {name: value for name, value in answers.items() if value != UNKNOWN}
    yield from _panel_on_roof(base, known)
    yield from _label(known)
    yield from _obstacles(known)
    yield from _whereabouts(base, known)


def _panel_on_roof(base: RuleBase, known: Mapping[str, Any]) -> Iterator[Contradiction]:
    names = ("panel.length_mm", "panel.width_mm", "roof.length_mm", "roof.width_mm")
    if not all(name in known for name in names):
        return
    panel = sorted(known[name] for name in names[:2])
    roof = sorted(known[name] for name in names[2:])
    if panel[0] > roof[0] or panel[1] > roof[1]:
        size = " × ".join(base.text(name, known[name]) for name in names[:2])
        yield (
            "panel.length_mm",
            f"the panel ({size}) is larger than the roof, whichever way round it lies",
            "Check both sizes, in millimetres; otherwise choose a smaller panel.",
        )


def _label(known: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Figures of the panel's label that no panel has."""
    if not all(f"panel.{name}" in known for name in LABEL):
        return
    figures: dict[str, Any] = {name: known[f"panel.{name}"] for name in LABEL}
    length, width = known.get("panel.length_mm"), known.get("panel.width_mm")
    faults = datasheet_faults(
        module=Module(
            **figures,
            max_series_fuse_a=known.get("panel.max_series_fuse_a", 2 * figures["isc_a"]),
            voc_pct_per_c=known.get("panel.voc_pct_per_c"),
        ),
        isc_pct_per_c=known.get("panel.isc_pct_per_c"),
        area_m2=length * width / 1e6 if length and width else None,
    )
    yield from ((fact, what, "") for fact, what in faults)


def _obstacles(known: Mapping[str, Any]) -> Iterator[Contradiction]:
    size = (known.get("roof.length_mm"), known.get("roof.width_mm"))
    if not (size[0] and size[1]):
        return
    try:
        listed = tuple(Obstacle(**item) for item in known.get("roof.obstacles", []))
        faults = obstacle_faults(roof=RoofPlan(size[0], size[1], obstacles=listed))
    except OutOfRangeError as error:
        faults = [str(error)]
    yield from (("roof.obstacles", what, "") for what in faults)


def _whereabouts(base: RuleBase, known: Mapping[str, Any]) -> Iterator[Contradiction]:
    """A place that is not listed or is at sea, and monthly values that no sky gives."""
    if "use.place" not in known:
        return
    place = known["use.place"]
    try:
        sunlight_meant(
            place=place,
            latitude_deg=known.get("use.latitude_deg"),
            longitude_deg=known.get("use.longitude_deg"),
            kwh_m2_day=known.get("use.sun_kwh_m2_day"),
            places=base.tables["places"].rows,
        )
    except OutOfRangeError as error:
        what = f"{error.value} cannot be right; it must be {error.allowed}"
        yield "use.sun_kwh_m2_day", what, ""
    except InputError as error:
        fault = error.faults[0]
        if place == "by_position":
            yield "use.latitude_deg", f"{fault.where}: {fault.what}", fault.cure
        else:
            yield "use.place", fault.what, fault.cure
