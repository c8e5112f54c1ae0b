"""Candidate panels side by side on one roof: fits or why not, and what each watt weighs."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from planner.engineering.guards import not_negative, positive
from planner.engineering.placement import Placement, place_panels
from planner.engineering.placement_model import PanelOutline, Rect, RoofPlan, Wishes
from planner.engineering.shade import noon_shade
from planner.errors import OutOfRangeError


class Candidate(Struct, frozen=True):
    """A panel that might be chosen.

    Attributes:
        outline: Its outline, with the feet that would carry it.
        rated_w: Nameplate watts of one panel, more than 0.
        mass_kg: Mass of one panel, more than 0.
        frame_height_mm: Height of its frame, more than 0.
        count: How many of it, 1 to 4.
    """

    outline: PanelOutline
    rated_w: float
    mass_kg: float
    frame_height_mm: float
    count: int = 1

    def __post_init__(self) -> None:
        """Refuse a panel without watts, mass, height or number."""
        positive(f"{self.outline.name}: rated_w", self.rated_w)
        positive(f"{self.outline.name}: mass_kg", self.mass_kg)
        positive(f"{self.outline.name}: frame_height_mm", self.frame_height_mm)
        if self.count not in (1, 2, 3, 4):
            raise OutOfRangeError(f"{self.outline.name}: count", self.count, "1 to 4")


class CandidateRow(Struct, frozen=True):
    """One line of the comparison.

    Attributes:
        name: The panel.
        count: How many.
        fits: Whether all fit together.
        why_not: What stops them and what to change; empty if they fit.
        placements: Where they would go.
        score: Points of that arrangement; ``None`` if there is none.
        watts: All together.
        mass_kg: All together, panels only.
        watts_per_kg: Watts for each kilogram of panel.
        watts_per_m2: Watts for each square metre of panel.
        standing_height_mm: Mount and frame above the roof skin.
        mean_shade: Share of the glass in shade at winter noon, mean over parking directions;
            ``None`` without a place or a sun.
        worst_shade: The same for the worst direction.
        grams_per_added_watt: Mass for each watt more than the next smaller candidate; ``None``
            for the smallest, and where the watts are equal.
    """

    name: str
    count: int
    fits: bool
    why_not: str
    placements: tuple[Placement, ...]
    score: float | None
    watts: float
    mass_kg: float
    watts_per_kg: float
    watts_per_m2: float
    standing_height_mm: float
    mean_shade: float | None
    worst_shade: float | None
    grams_per_added_watt: float | None


def compare_candidates(
    *,
    roof: RoofPlan,
    candidates: Sequence[Candidate],
    mount_height_mm: float,
    wishes: Wishes | None = None,
) -> list[CandidateRow]:
    """Return one row for each candidate, in the order given.

    Args:
        roof: The roof plan.
        candidates: At least one.
        mount_height_mm: Roof skin to underside of the frame [mm], 0 or more.
        wishes: What makes a place good; the height of the glass is taken from each candidate.

    Raises:
        OutOfRangeError: If there is no candidate or the height is out of range.
    """
    if not candidates:
        raise OutOfRangeError("candidates", 0, "at least one panel")
    not_negative("mount_height_mm", mount_height_mm)
    rows = [_row(roof, one, mount_height_mm, wishes or Wishes()) for one in candidates]
    return [replace(row, grams_per_added_watt=_step(row, rows)) for row in rows]


def _row(roof: RoofPlan, one: Candidate, mount_mm: float, wishes: Wishes) -> CandidateRow:
    height = mount_mm + one.frame_height_mm
    wishes = replace(wishes, panel_top_mm=height)
    fit = place_panels(roof=roof, panels=[one.outline] * one.count, wishes=wishes)
    placements = fit.arrangement.placements if fit.arrangement else ()
    mean, worst = _shade(roof, placements, wishes)
    return CandidateRow(
        name=one.outline.name,
        count=one.count,
        fits=fit.fits,
        why_not=fit.why_not.text if fit.why_not else "",
        placements=placements,
        score=fit.arrangement.score if fit.arrangement else None,
        watts=one.count * one.rated_w,
        mass_kg=one.count * one.mass_kg,
        watts_per_kg=one.rated_w / one.mass_kg,
        watts_per_m2=one.rated_w / (one.outline.length_mm * one.outline.width_mm * 1e-6),
        standing_height_mm=height,
        mean_shade=mean,
        worst_shade=worst,
        grams_per_added_watt=None,
    )


def _shade(
    roof: RoofPlan, placements: Sequence[Placement], wishes: Wishes
) -> tuple[float | None, float | None]:
    if not placements or wishes.sun_elevation_deg is None:
        return None, None
    glass = [
        Rect(p.x_mm, p.x_mm + p.length_along_x_mm, p.y_mm, p.y_mm + p.width_along_y_mm)
        for p in placements
    ]
    shade = noon_shade(
        panels=glass, obstacles=roof.obstacles, sun_elevation_deg=wishes.sun_elevation_deg,
        panel_top_mm=wishes.panel_top_mm,
    )
    return shade.mean_share, shade.worst_share


def _step(row: CandidateRow, rows: Sequence[CandidateRow]) -> float | None:
    """Return grams for each watt more than the next smaller candidate (the lightest of equals)."""
    smaller = [other for other in rows if other.watts < row.watts]
    if not smaller:
        return None
    base = max(smaller, key=lambda other: (other.watts, -other.mass_kg))
    return 1000 * (row.mass_kg - base.mass_kg) / (row.watts - base.watts)
