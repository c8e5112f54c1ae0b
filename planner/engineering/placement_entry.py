"""Where the cable may go through the roof: beside the panels, clear of lids, ribs and edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.guards import not_negative, positive
from planner.engineering.placement import place_panel
from planner.engineering.placement_model import (
    Foot,
    Obstacle,
    PanelOutline,
    Rect,
    RoofPlan,
    Weights,
    Wishes,
)

NEAR_THE_PANEL = Weights(lift=40, shade=0, set_back=0, centreline=10, cable=50, in_line=0)
"""Near the hinge the cable moves least; near the panel it is short; the middle is the high side."""


class EntrySpot(Struct, frozen=True):
    """A place for the cable entry.

    Attributes:
        x_mm: Its middle, from the front edge of the usable roof.
        y_mm: Its middle, from the left edge.
        under_panel: It had to go under a panel: no room beside them.
        on_flat: It stands wholly on a rib flat, or the roof is smooth.
    """

    x_mm: float
    y_mm: float
    under_panel: bool
    on_flat: bool


def entry_spot(
    *,
    roof: RoofPlan,
    panels: Sequence[Rect],
    box_mm: float,
    panel_clear_mm: float = 50.0,
    rooflight_clear_mm: float = 100.0,
    rib_clear_mm: float = 30.0,
) -> EntrySpot | None:
    """Return the best place for the cable entry, or ``None`` if the roof has no room for it.

    Args:
        roof: The roof plan; its edge margin holds for the entry too.
        panels: Where the panels lie, at least one.
        box_mm: Side of the square that the entry covers [mm], more than 0.
        panel_clear_mm: Least distance to a panel, for hands and tools [mm], 0 or more.
        rooflight_clear_mm: Least distance to a rooflight or hatch [mm], 0 or more.
        rib_clear_mm: Least distance to a rib [mm], 0 or more.

    Returns:
        Beside the panels if there is room, on a flat before across ribs; else under them.

    Raises:
        OutOfRangeError: If a size or distance is out of range.

    References:
        Common practice, no source: 50, 100 and 30 mm.
    """
    positive("box_mm", box_mm)
    not_negative("panel_clear_mm", panel_clear_mm)
    not_negative("rooflight_clear_mm", rooflight_clear_mm)
    not_negative("rib_clear_mm", rib_clear_mm)
    obstacles = tuple(
        replace(item, clearance_mm=max(item.clearance, rooflight_clear_mm))
        if item.kind == "rooflight" else item for item in roof.obstacles
    )
    beside = obstacles + tuple(_as_obstacle(panel, panel_clear_mm) for panel in panels)
    x = (min(p.x0 for p in panels) + max(p.x1 for p in panels)) / 2
    y = (min(p.y0 for p in panels) + max(p.y1 for p in panels)) / 2
    plan = replace(roof, entry_mm=(x, y))
    for items, under_panel, on_flat in _ways(beside, obstacles, ribbed=roof.ribs is not None):
        box = _box(box_mm, rib_clear_mm if on_flat and roof.ribs else None)
        weights = NEAR_THE_PANEL if roof.lift != "fixed" else replace(NEAR_THE_PANEL, lift=0)
        found = place_panel(
            roof=replace(plan, obstacles=items), panel=box, wishes=Wishes(weights=weights), limit=1
        ).ranked
        if found:
            middle_x, middle_y = found[0].x_mm + box_mm / 2, found[0].y_mm + box_mm / 2
            return EntrySpot(middle_x, middle_y, under_panel, on_flat)
    return None


def _ways(
    beside: tuple[Obstacle, ...], under: tuple[Obstacle, ...], *, ribbed: bool
) -> Iterator[tuple[tuple[Obstacle, ...], bool, bool]]:
    """Yield what to keep clear of, whether that allows a place under panels, and flats or not."""
    for items, under_panel in ((beside, False), (under, True)):
        yield items, under_panel, True
        if ribbed:
            yield items, under_panel, False


def _box(box_mm: float, rib_clear_mm: float | None) -> PanelOutline:
    """Return the entry as an outline; its one foot keeps it and its clearance off the ribs."""
    if rib_clear_mm is None:
        return PanelOutline("entry", box_mm, box_mm)
    side = box_mm + 2 * rib_clear_mm
    return PanelOutline("entry", box_mm, box_mm, (Foot(box_mm / 2, box_mm / 2, side, side),))


def _as_obstacle(panel: Rect, clear_mm: float) -> Obstacle:
    return Obstacle(
        "panel", "other", panel.x0, panel.y0, panel.x1 - panel.x0, panel.y1 - panel.y0,
        0.0, clear_mm,
    )
