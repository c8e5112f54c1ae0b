"""From the facts of a plan to its drawings; a drawing whose figures are missing is left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.pack.blocks import Figure
from planner.pack.drawings import cable_loop as loops
from planner.pack.drawings import elevation as heights
from planner.pack.drawings import entry as entries
from planner.pack.drawings import roof_plan as roofs
from planner.pack.drawings import section as fixings
from planner.pack.drawings import wiring as schematics
from planner.pack.facts import Facts
from planner.pack.text import plain

Row = Mapping[str, Any]
Figures = tuple[Figure, ...]
HINGES = {
    "front": "hinged at the front",
    "rear": "hinged at the rear",
    "left": "hinged at the left",
    "right": "hinged at the right",
    "parallel": "straight up",
}


def number(row: Row, *keys: str) -> float:
    """Return the first of these columns that holds a number, else 0."""
    for key in keys:
        value = row.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return float(value)
    return 0.0


def area(row: Row, name: str) -> roofs.Area:
    """Return a row with x, y, length and width as an area of the roof."""
    return roofs.Area(
        plain(str(row.get("name") or name)),
        number(row, "x_mm"),
        number(row, "y_mm"),
        number(row, "length_mm"),
        number(row, "width_mm"),
    )


def holes(facts: Facts) -> list[roofs.Spot]:
    """Return every fixing hole; the entry stands apart."""
    return [
        roofs.Spot(plain(str(row.get("name") or index)), number(row, "x_mm"), number(row, "y_mm"),
                   number(row, "diameter_mm"))
        for index, row in enumerate(facts.rows("holes.rows"), 1)
        if not is_entry(row)
    ]


def is_entry(row: Row) -> bool:
    """Whether a row of the hole list is the cable entry."""
    return "entry" in str(row.get("name", "")).lower()


def entry(facts: Facts) -> roofs.Spot | None:
    """Return the cable entry through the roof, if the plan has one."""
    if not facts.has("entry.x_mm", "entry.y_mm"):
        return None
    x, y = facts.number("entry.x_mm"), facts.number("entry.y_mm")
    return roofs.Spot("entry", x, y, facts.number("entry.hole_mm"))


def roof_figures(facts: Facts) -> roofs.RoofFigures | None:
    """Return what the roof plan and the drilling template show, or None without a roof size."""
    if not facts.has("roof.length_mm", "roof.width_mm"):
        return None
    hinge = HINGES.get(str(facts.value("lift.hinge")), "")
    return roofs.RoofFigures(
        length_mm=facts.number("roof.length_mm"),
        width_mm=facts.number("roof.width_mm"),
        edge_margin_mm=facts.number("roof.edge_margin_mm"),
        panels=[area(row, f"panel {i}") for i, row in enumerate(facts.rows("place.panels"), 1)],
        feet=_feet(facts),
        holes=holes(facts),
        entry=entry(facts),
        obstacles=[area(row, "furniture") for row in facts.rows("roof.obstacles")],
        rib_edges_mm=_rib_edges(facts),
        ribs_lengthwise=facts.value("roof.rib_direction") != "crosswise",
        hinge=hinge if facts.value("roof.moves") else "",
        free=_largest_free(facts),
        inside=[area(row, "fixed") for row in facts.rows("roof.inside")],
    )


def _largest_free(facts: Facts) -> list[roofs.Area]:
    """Where the panels do not fit, the largest free rectangle of the roof."""
    if facts.value("place.fits") is not False:
        return []
    return [
        area({**row, "name": f"free: {number(row, 'length_mm'):.0f} × "
                             f"{number(row, 'width_mm'):.0f}"}, "free")
        for row in facts.rows("place.free_rows")[:1]
    ]


def _feet(facts: Facts) -> list[roofs.Area]:
    """Feet are given by their middles; each is drawn with the size of the foot."""
    length = facts.number("mount.foot_length_mm", 50.0)
    width = facts.number("mount.foot_width_mm", 40.0)
    return [
        roofs.Area("", number(row, "x_mm", "roof_x_mm") - length / 2,
                   number(row, "y_mm", "roof_y_mm") - width / 2, length, width)
        for row in facts.rows("feet.positions")
    ]


def _rib_edges(facts: Facts) -> list[float]:
    pitch, flat = facts.number("roof.rib_pitch_mm"), facts.number("roof.rib_flat_mm")
    if facts.value("roof.shape") != "ribbed" or pitch <= 0:
        return []
    across = facts.value("roof.rib_direction") == "crosswise"
    extent = facts.number("roof.length_mm" if across else "roof.width_mm")
    edges: list[float] = []
    start = facts.number("roof.rib_first_mm")
    while start < extent and len(edges) < 120:
        edges += [edge for edge in (start, start + flat) if 0 < edge < extent]
        start += pitch
    return edges


def roof_plan(facts: Facts) -> Figures:
    """Return the roof from above."""
    figures = roof_figures(facts)
    if figures is None:
        return ()
    return (Figure(roofs.roof_plan(figures),
                   "Roof plan seen from above, front at the top; millimetres from all four edges. "
                   "Hatched: roof furniture. Broken line: edge margin. Black square: cable entry."
                   + (" Bold broken line: the largest free rectangle." if figures.free else "")),)


def roof_from_inside(facts: Facts) -> Figures:
    """Return the holes seen from inside, where there are holes."""
    figures = roof_figures(facts)
    if figures is None or (not figures.holes and figures.entry is None):
        return ()
    return (Figure(roofs.roof_plan(figures, seen_from_inside=True),
                   "The same holes seen from inside, looking up: left and right change over."
                   + (" Hatched: fixed below the roof." if figures.inside else "")),)


def elevations(facts: Facts) -> Figures:
    """Return the heights, roof shut and open."""
    if not facts.has("vehicle.height_mm", "roof.length_mm", "height.new_mm", "height.skin_mm"):
        return ()
    hinge = str(facts.value("lift.hinge")) if facts.value("roof.moves") else ""
    across = hinge in {"left", "right"}
    start = "place.y_mm" if across else "place.x_mm"
    length = "place.width_mm" if across else "place.length_mm"
    figures = heights.ElevationFigures(
        roof_mm=facts.number("roof.width_mm" if across else "roof.length_mm"),
        height_mm=facts.number("vehicle.height_mm"),
        skin_mm=facts.number("height.skin_mm"),
        new_height_mm=facts.number("height.new_mm"),
        panel_start_mm=facts.number(start),
        panel_length_mm=facts.number(length),
        stand_mm=facts.number("mount.height_mm"),
        hinge=hinge,
        opening_mm=facts.number("lift.opening_mm"),
        opening_deg=facts.number("lift.opening_angle_deg"),
        furniture=_furniture(facts, across=across),
    )
    return (Figure(heights.elevation(figures), "Heights; the outline of the van is only a block."),)


def _furniture(facts: Facts, *, across: bool) -> list[tuple[float, float, float]]:
    """What stands on the roof, along the side shown: start, length and height over the skin."""
    start, length = ("y_mm", "width_mm") if across else ("x_mm", "length_mm")
    return [
        (number(row, start), number(row, length), number(row, "height_mm"))
        for row in facts.rows("roof.obstacles")
    ]


def fixing_section(facts: Facts) -> Figures:
    """Return the section through one fixing."""
    rows = facts.rows("fixing.stack")
    if not rows or not facts.has("fixing.bolt"):
        return ()
    layers = [
        fixings.Layer(plain(str(row.get("part") or row.get("name") or "")),
                      number(row, "thickness_mm"))
        for row in rows
    ]
    bolt = plain(facts.text("fixing.bolt"))
    size = "".join(c for c in bolt.partition("×")[0] if c.isdigit())
    figures = fixings.SectionFigures(
        layers=[layer for layer in layers if layer.thickness_mm > 0],
        bolt=bolt.partition(" ")[0],
        bolt_length_mm=facts.number("fixing.bolt_length_mm"),
        hole_mm=facts.number("fixing.hole_mm"),
        bolt_mm=float(size) if size and float(size) <= 12 else 6.0,
        head_outside=facts.value("fixing.head") != "inside",
        projection_mm=facts.number("fixing.projection_mm"),
    )
    return (Figure(fixings.section(figures), "Section through one fixing, outside at the top."),)


def entry_section(facts: Facts) -> Figures:
    """Return the section through a box or gland; other entries have none."""
    kind = str(facts.value("entry.kind"))
    if kind not in {"entry_box", "single_glands"}:
        return ()
    figures = entries.EntryFigures(kind, facts.text("entry.hole_mm"),
                                   facts.text("entry.cable_od_mm"), facts.text("sealant.entry"))
    return (Figure(entries.entry_section(figures), "Cable entry, not to scale."),)


def cable_loop(facts: Facts) -> Figures:
    """Return the moving cable, shut and open."""
    if not facts.has("loop.length_mm", "loop.closed_mm", "loop.open_mm"):
        return ()
    figures = loops.LoopFigures(
        closed_mm=facts.number("loop.closed_mm"),
        open_mm=facts.number("loop.open_mm"),
        length_mm=facts.number("loop.length_mm"),
        radius_mm=facts.number("loop.radius_mm"),
        offset_mm=facts.number("lift.cable_offset_mm"),
        shut_points=_outline(facts, "loop.points"),
        open_points=_outline(facts, "loop.points_open"),
        note="" if facts.value("loop.fits") else facts.text("loop.advice"),
    )
    return (Figure(loops.cable_loop(figures),
                   "Moving cable between its two anchors, heights and side offset in millimetres. "
                   "The outline is a guide to the room that it needs: look at it on the van."),)


def _outline(facts: Facts, name: str) -> list[tuple[float, float]]:
    return [(number(row, "x_mm"), number(row, "y_mm")) for row in facts.rows(name)]


def wiring(facts: Facts) -> Figures:
    """Return the schematic of the circuit."""
    if not facts.has("array.arrangement", "panel.count"):
        return ()
    figures = schematics.WiringFigures(
        arrangement=str(facts.value("array.arrangement")),
        panels=int(facts.number("array.panels", facts.number("panel.count", 1))),
        array=_joined(facts, ("array.watts", ""), ("array.cold_v", "cold"), ("array.isc_a", "")),
        pv_cable=_run(facts, "pv_cable", "wiring.roof_to_controller_m"),
        battery_cable=_run(facts, "battery_cable", "wiring.controller_to_battery_m"),
        fuse=facts.text("fuse.rating_a"),
        fuse_kind=facts.text("fuse.kind"),
        fuse_place=_near(facts.text("gate.fuse_distance_mm")),
        string_fuse=_joined(facts, ("array.string_fuse_a", "fuse in each string")),
        controller=_joined(facts, ("controller.kind", "")),
        battery=_joined(facts, ("battery.nominal_v", ""), ("battery.capacity_ah", "")),
        portable=facts.value("entry.kind") == "portable_inlet",
        ends=_cable_ends(facts),
    )
    return (Figure(schematics.wiring(figures),
                   "Wiring schematic. Full line: positive. Broken line: negative. Terminals bear "
                   "the names that their makers give them; + and − are what must meet."),)


def _cable_ends(facts: Facts) -> dict[str, list[int]]:
    """Numbers of the cable ends by the mark of their core; the panels' own leads are left out."""
    found: dict[str, list[int]] = {}
    for row in facts.rows("wiring.ends"):
        if row.get("section_mm2") is not None:
            found.setdefault(str(row["cable"]), []).append(int(row["number"]))
    return found


def _near(distance: str) -> str:
    return f"within {distance} of the post" if distance else ""


def _run(facts: Facts, cable_name: str, length: str) -> str:
    return _joined(facts, (f"{cable_name}.buy", ""), (length, "long"),
                   (f"{cable_name}.drop_percent", "lost"))


def _joined(facts: Facts, *parts: tuple[str, str]) -> str:
    found = [f"{facts.text(name)} {after}".strip() for name, after in parts if facts.text(name)]
    return " · ".join(found)


def month_names(rows: Sequence[Row]) -> list[str]:
    """Return short names of months from rows that name them."""
    return [plain(str(row.get("month", index)))[:3] for index, row in enumerate(rows, 1)]
