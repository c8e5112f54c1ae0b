"""Where one to four panels go on the roof: the best places with their reasons, or why none.

The parts: ``placement_model`` (what is asked), ``placement_space`` (where a panel may lie),
``placement_score`` (what makes a place good), ``placement_search`` (the best place, exactly),
``placement_blocks`` and ``placement_pack`` (several panels), ``placement_whynot``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.guards import not_negative
from planner.engineering.placement_blocks import blocks, parted
from planner.engineering.placement_faults import obstacle_faults
from planner.engineering.placement_model import (
    ROW_SHARE,
    Obstacle,
    PanelOutline,
    Ribs,
    RoofPlan,
    Weights,
    Wishes,
    check_panels,
)
from planner.engineering.placement_pack import arranged
from planner.engineering.placement_score import Ground, Placed, Reason, reasons_for
from planner.engineering.placement_search import Best, best_place, ranked_places, settled
from planner.engineering.placement_space import Group, Member, Shape, shape_of
from planner.engineering.placement_whynot import FreeRectangle, WhyNot, free_rectangles, why_not
from planner.errors import OutOfRangeError

__all__ = [
    "Arrangement", "ArrayFit", "FreeRectangle", "Obstacle", "PanelFit", "PanelOutline",
    "Placement", "Reason", "Ribs", "RoofPlan", "Weights", "WhyNot", "Wishes", "free_rectangles",
    "obstacle_faults", "place_panel", "place_panels",
]


class Placement(Struct, frozen=True):
    """One panel in its place on the roof plan.

    Attributes:
        name: The panel's name.
        x_mm: Its front edge.
        y_mm: Its left edge.
        length_along_x_mm: Its extent rearwards.
        width_along_y_mm: Its extent across.
        turned: Whether its length lies across the van.
        score: Points for this panel alone, higher is better.
        reasons: What each wish gave; their points add up to the score.
    """

    name: str
    x_mm: float
    y_mm: float
    length_along_x_mm: float
    width_along_y_mm: float
    turned: bool
    score: float
    reasons: tuple[Reason, ...]


class PanelFit(Struct, frozen=True):
    """Ranked places for one panel, best first, or why there are none."""

    ranked: tuple[Placement, ...]
    why_not: WhyNot | None

    @property
    def fits(self) -> bool:
        """Say whether the panel fits."""
        return bool(self.ranked)


class Arrangement(Struct, frozen=True):
    """Panels in their places together, their form, and the points and reasons of the whole."""

    placements: tuple[Placement, ...]
    form: str
    score: float
    reasons: tuple[Reason, ...]

    @property
    def in_line(self) -> bool:
        """Say whether they stand in one aligned block."""
        return self.form == "block"


class ArrayFit(Struct, frozen=True):
    """The best arrangement found for several panels, or why there is none."""

    arrangement: Arrangement | None
    why_not: WhyNot | None

    @property
    def fits(self) -> bool:
        """Say whether all panels fit together."""
        return self.arrangement is not None


def place_panel(
    *,
    roof: RoofPlan,
    panel: PanelOutline,
    wishes: Wishes | None = None,
    limit: int = 3,
    apart_mm: float = 200.0,
) -> PanelFit:
    """Return the best places for one panel, both ways round.

    Args:
        roof: The roof plan.
        panel: The panel.
        wishes: What makes a place good; ``Wishes()`` if left out.
        limit: How many places to return at most, 1 to 20.
        apart_mm: How far places the same way round lie apart at least [mm], 0 or more.

    Returns:
        The first place is the best of all; each next one the best far enough from those before.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Exact: score = sum of points × (1 - share lost), and its greatest value lies where both
        coordinates are an edge of barred ground or a bend of the score; all such are tried.
        A clearance is kept square at corners, a little more than the true distance.
    """
    if not 1 <= limit <= 20:
        raise OutOfRangeError("limit", limit, "1 to 20")
    not_negative("apart_mm", apart_mm)
    ground = Ground(roof, wishes or Wishes())
    found = ranked_places(ground, _ways(roof, panel), limit=limit, apart_mm=apart_mm)
    ranked = tuple(_placement(ground, panel, best.placed()[0]) for best in found)
    return PanelFit(ranked, None if ranked else why_not(roof, [panel], _fits(ground.wishes)))


def place_panels(
    *, roof: RoofPlan, panels: Sequence[PanelOutline], wishes: Wishes | None = None
) -> ArrayFit:
    """Return the best arrangement found for one to four panels together.

    Args:
        roof: The roof plan.
        panels: The panels, equal or not; each keeps its place in the list.
        wishes: What makes an arrangement good; ``Wishes()`` if left out.

    Returns:
        An arrangement whenever one exists. Aligned blocks are placed exactly. Lines with wider
        gaps are placed exactly at the narrowest gap that has room, of a few that step over what
        is in the way. Other arrangements are improved one panel at a time. So a better line or
        a better free arrangement is possible.

    Raises:
        OutOfRangeError: If there is no panel or more than four.
    """
    check_panels(panels)
    ground = Ground(roof, wishes or Wishes())
    numbers, ways = _kinds(roof, panels)
    layouts = _layouts(ground, numbers, ways)
    if not layouts:
        return ArrayFit(None, why_not(roof, panels, _fits(ground.wishes)))
    scored = [_arrangement(ground, panels, numbers, *layout) for layout in layouts]
    return ArrayFit(max(scored, key=lambda one: one.score), None)


def _kinds(
    roof: RoofPlan, panels: Sequence[PanelOutline]
) -> tuple[list[int], list[list[Shape]]]:
    """Return which kind each panel is, and the shapes of each kind; names make no difference."""
    plain = [replace(panel, name="") for panel in panels]
    kinds = list(dict.fromkeys(plain))
    return [kinds.index(p) for p in plain], [_ways(roof, p, k) for k, p in enumerate(kinds)]


def _ways(roof: RoofPlan, panel: PanelOutline, kind: int = 0) -> list[Shape]:
    """Return the panel's shapes: as given and turned."""
    return [
        shape_of(roof=roof, panel=panel, turned=turned, kind=kind) for turned in (False, True)
    ]


def _layouts(
    ground: Ground, numbers: Sequence[int], ways: Sequence[Sequence[Shape]]
) -> list[tuple[list[Placed], str]]:
    """Return layouts worth scoring, each with its form."""
    gap, points = ground.wishes.panel_gap_mm, ground.wishes.weights.in_line
    block = _least(best_place(ground, group) for group in blocks(numbers, ways, gap))
    layouts = [(block.placed(), "block")] if block else []
    if len(numbers) == 1 or (block and block.lost <= points):
        return layouts
    start = block.placed() if block else arranged(numbers, ways, gap)
    if start is None:
        return []
    row = _row(ground, numbers, ways, below=block.lost if block else math.inf)
    if row is not None:
        layouts.append((row.placed(), "row"))
    if row is None or row.lost > ROW_SHARE * points:
        layouts.append((settled(ground, start, ways), "free"))
    return layouts


def _row(
    ground: Ground, numbers: Sequence[int], ways: Sequence[Sequence[Shape]], *, below: float
) -> Best | None:
    """Return the best line with wider gaps, each way at the narrowest gap that has room."""
    best: Best | None = None
    for groups in parted(numbers, ways, ground.wishes.panel_gap_mm):
        group = next((group for group in groups if group.fits()), None)
        found = group and best_place(ground, group, below=best.lost if best else below)
        best = found or best
    return best


def _least(tried: Iterable[Best | None]) -> Best | None:
    return min((best for best in tried if best), key=lambda best: best.lost, default=None)


def _arrangement(
    ground: Ground, panels: Sequence[PanelOutline], numbers: Sequence[int],
    placed: Sequence[Placed], form: str,
) -> Arrangement:
    """Return a layout in the order of the panel list, with its points."""
    spare = sorted(placed, key=lambda item: (item.x, item.y), reverse=True)
    ordered = []
    for number in numbers:
        item = next(item for item in reversed(spare) if item.shape.kind == number)
        spare.remove(item)
        ordered.append(item)
    reasons = tuple(reasons_for(ground, ordered, form=form))
    spots = tuple(
        _placement(ground, panel, item) for panel, item in zip(panels, ordered, strict=True)
    )
    return Arrangement(spots, form, _total(reasons), reasons)


def _placement(ground: Ground, panel: PanelOutline, item: Placed) -> Placement:
    reasons = tuple(reasons_for(ground, [item], form="block"))
    return Placement(
        panel.name, round(item.x, 3), round(item.y, 3), item.shape.along_x, item.shape.along_y,
        item.shape.turned, _total(reasons), reasons,
    )


def _total(reasons: Sequence[Reason]) -> float:
    return sum(reason.points for reason in reasons)


def _fits(wishes: Wishes) -> Callable[[RoofPlan, Sequence[PanelOutline]], bool]:
    """Return a plain yes or no to whether panels fit on some roof."""

    def fits(roof: RoofPlan, panels: Sequence[PanelOutline]) -> bool:
        numbers, ways = _kinds(roof, panels)
        if len(panels) == 1:
            return any(Group((Member(shape),)).fits() for shape in ways[0])
        return arranged(numbers, ways, wishes.panel_gap_mm) is not None

    return fits
