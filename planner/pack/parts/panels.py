"""Where the panels go and why, and the candidate panels side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.pack.blocks import Block, Figure, Pair, Table
from planner.pack.drawings import candidates as drawings
from planner.pack.facts import Facts
from planner.pack.illustrate import number
from planner.pack.text import capital, figure, plain

CANDIDATES = (
    "name", "fits", "watts", "mass_kg", "watts_per_kg", "watts_per_m2", "grams_per_added_watt",
    "standing_height_mm", "shade_percent", "points",
)


def places(facts: Facts) -> Block:
    """Return the place of the panels, the runners-up, and every reason with its points."""
    reasons = facts.value("place.reasons")
    told = reasons if isinstance(reasons, list | tuple) else ()
    return Block(
        "Why the panels do not fit" if facts.value("place.fits") is False
        else "Why the panels go there",
        pairs=facts.pairs("place.score", "place.governs", "place.margin_that_fits_mm"),
        tables=(*_ranked(facts), *_free(facts)),
        notes=(*_why_not(facts), *_told(told)),
    )


def _why_not(facts: Facts) -> tuple[str, ...]:
    why = facts.text("place.why_not")
    return (capital(why),) if why else ()


def _told(reasons: Sequence[Any]) -> tuple[str, ...]:
    """Every wish of the chosen place with its points, in one line."""
    return ("; ".join(capital(plain(str(reason))) for reason in reasons) + ".",) if reasons else ()


def _ranked(facts: Facts) -> tuple[Table, ...]:
    """The places of one panel, best first; an array has only the place that was chosen."""
    rows = facts.rows("place.rows")
    if len({row.get("rank") for row in rows}) < 2:
        return ()
    return facts.table(
        "place.rows", "Places that were found, best first",
        ("rank", "x_mm", "y_mm", "turned", "points", "reasons"),
        names={"reasons": "What costs points"},
    )


def _free(facts: Facts) -> tuple[Table, ...]:
    """Where nothing fits, the largest free rectangles tell what would."""
    if facts.value("place.fits") is not False:
        return ()
    return facts.table("place.free_rows", "Largest free rectangles of the roof")


def compared(facts: Facts) -> Block:
    """Return the candidate panels at one scale, with what each watt weighs."""
    return Block(
        "Candidates",
        figures=_drawn(facts),
        tables=facts.table("candidates.rows", "Candidate panels on this roof", CANDIDATES, names={
            "watts": "Power [W]", "mass_kg": "Mass [kg]", "watts_per_kg": "W per kg",
            "watts_per_m2": "W per m²", "grams_per_added_watt": "g per added W",
            "standing_height_mm": "Stands [mm]", "shade_percent": "Shade [%]"}),
        notes=_misfits(facts) + _scale(facts),
    )


def _drawn(facts: Facts) -> tuple[Figure, ...]:
    """Return the candidates on the roof, up to six a drawing."""
    rows = [row for row in facts.rows("candidates.rows") if number(row, "length_mm") > 0]
    found = [_candidate(facts, row, own=not index) for index, row in enumerate(rows)]
    roof = drawings.Roof(
        facts.number("roof.length_mm"), facts.number("roof.width_mm"),
        [_place(row) for row in facts.rows("roof.obstacles")],
    )
    return tuple(
        Figure(drawings.candidates(found[i : i + 6], roof, id_=f"candidates-{i // 6 + 1}"),
               "Candidate panels on this roof at one scale, front at the top; broken outline: does "
               "not fit.")
        for i in range(0, len(found), 6)
    )


def _place(row: Mapping[str, Any]) -> drawings.Place:
    x, y, along, across = (
        number(row, key) for key in ("x_mm", "y_mm", "length_mm", "width_mm")
    )
    return x, y, along, across


def _candidate(facts: Facts, row: Mapping[str, Any], *, own: bool) -> drawings.Candidate:
    """Return one candidate; the first row is the job's own array, whose places are all known."""
    length, width = number(row, "length_mm"), number(row, "width_mm")
    along, across = (width, length) if row.get("turned") else (length, width)
    places = [_place(panel) for panel in facts.rows("place.panels")] if own else [
        (number(row, "x_mm"), number(row, "y_mm"), along, across)]
    return drawings.Candidate(
        name=plain(str(row.get("name", ""))),
        length_mm=length,
        width_mm=width,
        watts=f"{number(row, 'watts'):.0f} W",
        fits=bool(row.get("fits")),
        places=places if row.get("fits") else (),
    )


def _misfits(facts: Facts) -> tuple[str, ...]:
    return tuple(
        f"Why not: {plain(str(row['why_not']))}"
        for row in facts.rows("candidates.rows") if row.get("why_not")
    )


def _scale(facts: Facts) -> tuple[str, ...]:
    """Economy of scale in words: the candidate that adds watts at the least mass."""
    rows = [row for row in facts.rows("candidates.rows") if _added(row)]
    if not rows:
        return ()
    best = min(rows, key=_added)
    return (f"Going up to {plain(str(best['name']))} adds each further watt for "
            f"{figure(best['grams_per_added_watt'])} g over the next smaller one; on its own it "
            f"gives {figure(best['watts_per_kg'])} W for each kilogram.",)


def _added(row: Mapping[str, Any]) -> float:
    value = row.get("grams_per_added_watt")
    return float(value) if isinstance(value, int | float) and row.get("fits") else 0.0


def entry_pairs(facts: Facts) -> tuple[Pair, ...]:
    """Return where the cable entry lies, and how high it stands against the gap."""
    return facts.pairs(
        "entry.kind", "entry.where", "entry.x_mm", "entry.y_mm", "entry.under_panel",
        "entry.on_flat", "entry.hole_mm", "entry.bead_cm2", "entry.gland", "entry.cable_od_mm",
        "entry.box_height_mm", "mount.gap_mm", "entry.gap_ok", "job.leads",
    )
