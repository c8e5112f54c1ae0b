"""Why panels do not fit, as figures for words and a drawing: what governs, and what to change."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.placement_model import PanelOutline, Rect, RoofPlan
from planner.engineering.placement_space import EPS, free_spans

Fits = Callable[[RoofPlan, Sequence[PanelOutline]], bool]


class FreeRectangle(Struct, frozen=True):
    """Ground clear of margins, obstacles and their clearances."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


class Shrink(Struct, frozen=True):
    """The least cut that would let the panel into a free rectangle, one way round."""

    turned: bool
    along_x_mm: float
    along_y_mm: float
    into: FreeRectangle


class WhyNot(Struct, frozen=True):
    """Why panels do not fit.

    Attributes:
        governs: ``roof``, ``edge_margin``, ``obstacles``, ``ribs``, ``feet`` or ``together``.
        panel: The panel that does not fit even alone; empty if each would.
        text: The reason and what to change, in words.
        margin_that_fits_mm: The widest edge margin, in whole mm, with which all would fit.
        margin_short_mm: By how much that is less than asked.
        in_the_way: Obstacles of which any single one, taken away, would make room.
        free: The largest free rectangles for any panel, largest first.
        shrink: The least cut to that panel; ``None`` where size is not the matter.
        fit_together: How many of the panels do fit together.
    """

    governs: str
    panel: str
    text: str
    margin_that_fits_mm: int | None
    margin_short_mm: float | None
    in_the_way: tuple[str, ...]
    free: tuple[FreeRectangle, ...]
    shrink: Shrink | None
    fit_together: int


def free_rectangles(*, roof: RoofPlan) -> list[FreeRectangle]:
    """Return every largest rectangle clear of margins and clearances, by falling area.

    Args:
        roof: The roof plan.

    Returns:
        Rectangles that cannot grow on any side; they overlap each other.
    """
    margin = roof.edge_margin_mm
    inner = Rect(margin, roof.length_mm - margin, margin, roof.width_mm - margin)
    taken = sorted(
        (item.rect.grown(item.clearance) for item in roof.obstacles), key=lambda rect: rect.y0
    )
    lefts = sorted({inner.x0, *(r.x1 for r in taken if inner.x0 < r.x1 < inner.x1)})
    rights = sorted({inner.x1, *(r.x0 for r in taken if inner.x0 < r.x0 < inner.x1)})
    found = {
        Rect(x0, x1, y0, y1)
        for x0 in lefts for x1 in rights if x1 > x0 + EPS
        for y0, y1 in _clear(x0, x1, inner, taken)
    }
    whole = [r for r in found if not any(_inside(r, other) for other in found if other != r)]
    whole.sort(key=lambda r: (-r.area, r.x0, r.y0))
    return [FreeRectangle(r.x0, r.y0, r.x1 - r.x0, r.y1 - r.y0) for r in whole]


def _clear(x0: float, x1: float, inner: Rect, taken: Sequence[Rect]) -> list[tuple[float, float]]:
    walls = [(r.y0, r.y1) for r in taken if r.x0 < x1 - EPS and r.x1 > x0 + EPS]
    return [(a, b) for a, b in free_spans(inner.y0, inner.y1, walls) if b > a + EPS]


def _inside(rect: Rect, other: Rect) -> bool:
    return (other.x0 <= rect.x0 and rect.x1 <= other.x1
            and other.y0 <= rect.y0 and rect.y1 <= other.y1)


def why_not(roof: RoofPlan, panels: Sequence[PanelOutline], fits: Fits) -> WhyNot:
    """Return why these panels do not fit together on this roof.

    Args:
        roof: The roof plan.
        panels: Panels that do not fit.
        fits: Says whether panels fit on a roof.
    """
    sizes = {replace(panel, name=""): panel for panel in reversed(panels)}
    alone = next((panel for panel in reversed(sizes.values()) if not fits(roof, [panel])), None)
    asked = [alone] if alone else list(panels)
    governs = _governs(roof, asked, fits) if alone else "together"
    margin = _margin_that_fits(roof, asked, fits)
    free = free_rectangles(roof=roof)
    partial = WhyNot(
        governs=governs,
        panel=alone.name if alone else "",
        text="",
        margin_that_fits_mm=margin,
        margin_short_mm=None if margin is None else roof.edge_margin_mm - margin,
        in_the_way=tuple(
            item.name for item in roof.obstacles if fits(_without(roof, item.name), asked)
        ),
        free=tuple(free[:5]),
        shrink=_least_cut(alone, free) if alone and governs not in ("ribs", "feet") else None,
        fit_together=_most(roof, panels, fits),
    )
    return replace(partial, text=_words(roof, panels, partial))


def _governs(roof: RoofPlan, panels: Sequence[PanelOutline], fits: Fits) -> str:
    """Return what stops a panel: first its own size, then obstacles, ribs, and its feet."""
    plain = [replace(panel, feet=()) for panel in panels]
    smooth = replace(roof, ribs=None)
    empty = replace(smooth, obstacles=())
    if not fits(replace(empty, edge_margin_mm=0.0), plain):
        return "roof"
    if not fits(empty, plain):
        return "edge_margin"
    if not fits(smooth, plain):
        return "obstacles"
    return "ribs" if fits(smooth, panels) else "feet"


def _without(roof: RoofPlan, name: str) -> RoofPlan:
    return replace(roof, obstacles=tuple(item for item in roof.obstacles if item.name != name))


def _margin_that_fits(
    roof: RoofPlan, panels: Sequence[PanelOutline], fits: Fits
) -> int | None:
    """Return the widest whole margin that fits: less margin never fits worse, so halve."""
    low, high = 0, math.ceil(roof.edge_margin_mm)
    if not high or not fits(replace(roof, edge_margin_mm=0.0), panels):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if fits(replace(roof, edge_margin_mm=float(middle)), panels):
            low = middle
        else:
            high = middle
    return low


def _most(roof: RoofPlan, panels: Sequence[PanelOutline], fits: Fits) -> int:
    """Return how many of the panels fit together at best; names make no difference."""
    plain = sorted((replace(panel, name="") for panel in panels), key=repr)
    for count in range(len(panels) - 1, 0, -1):
        if any(fits(roof, some) for some in dict.fromkeys(combinations(plain, count))):
            return count
    return 0


def _least_cut(panel: PanelOutline, free: Sequence[FreeRectangle]) -> Shrink | None:
    """Return the cut that takes the least off the panel's sides together."""
    cuts = [
        Shrink(turned, max(0.0, a - room.length_mm), max(0.0, b - room.width_mm), room)
        for room in free
        for turned, a, b in ((False, panel.length_mm, panel.width_mm),
                             (True, panel.width_mm, panel.length_mm))
    ]
    return min(cuts, key=lambda cut: cut.along_x_mm + cut.along_y_mm, default=None)


def _words(roof: RoofPlan, panels: Sequence[PanelOutline], why: WhyNot) -> str:
    lines = [_head(roof, panels, why)]
    if why.margin_that_fits_mm is not None:
        lines.append(f"It would fit with an edge margin of at most {why.margin_that_fits_mm} mm, "
                     f"{why.margin_short_mm:.0f} mm less than asked.")
    if why.in_the_way:
        lines.append("Moving or removing one of these would make room: "
                     + ", ".join(why.in_the_way) + ".")
    if why.shrink is not None:
        lines.append(_cut_words(why.shrink))
    return " ".join(lines)


def _head(roof: RoofPlan, panels: Sequence[PanelOutline], why: WhyNot) -> str:
    if why.governs == "together":
        return (f"Each panel fits alone, but only {why.fit_together} of {len(panels)} "
                "fit together.")
    size = next(f"{p.length_mm:.0f} × {p.width_mm:.0f} mm" for p in panels if p.name == why.panel)
    reason = {
        "roof": f"is larger than the usable roof of {roof.length_mm:.0f} × {roof.width_mm:.0f} mm",
        "edge_margin": "fits only beyond the edge margin of "
                       f"{roof.edge_margin_mm:.0f} mm",
        "ribs": "finds no place where every foot stands wholly on a rib flat",
        "obstacles": "finds no place clear of the obstacles",
        "feet": "would fit, but its feet stand out too far beyond the frame",
    }[why.governs]
    return f"{why.panel} ({size}) {reason}."


def _cut_words(cut: Shrink) -> str:
    takes = [f"{by:.0f} mm shorter along {axis}"
             for axis, by in (("x", cut.along_x_mm), ("y", cut.along_y_mm)) if by > EPS]
    room = cut.into
    way = "turned, " if cut.turned else ""
    return (f"The nearest free rectangle is {room.length_mm:.0f} × {room.width_mm:.0f} mm at "
            f"x {room.x_mm:.0f}, y {room.y_mm:.0f}: {way}the panel would have to be "
            + " and ".join(takes) + ".") if takes else ""
