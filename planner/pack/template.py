"""The drilling template: every hole through the roof at 1:1, tiled over sheets of paper.

Positions are those of the roof plan, seen from above, with the front of the van at the head of
each sheet. Each page is one drawing in real millimetres, so nothing can be scaled on the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from planner.pack.drawings.roof_plan import RoofFigures, Spot
from planner.pack.drawings.svg import fit, number
from planner.pack.facts import Facts
from planner.pack.fonts import font_css
from planner.pack.illustrate import number as number_in
from planner.pack.illustrate import roof_figures
from planner.pack.imperial import beside
from planner.pack.parts.front import HEADLINES
from planner.pack.pdf import pdf
from planner.pack.plan_json import plan_digest
from planner.pack.render import environment
from planner.pack.template_first import left_out, measures, pages_of, sizes, spans
from planner.pack.template_layout import layout
from planner.pack.template_map import tile_map
from planner.pack.template_sheet import PAPER_MM, Layout
from planner.pack.template_tile import Heading, tile_page
from planner.pack.text import plain, short
from planner.plan.model import Plan


def drilling_template(plan: Plan) -> bytes | None:
    """Return the template as PDF, or None where the job drills no hole through the roof.

    Args:
        plan: A plan with every fact worked out.
    """
    facts = Facts(plan.facts)
    roof, spots = roof_figures(facts), _spots(facts)
    if roof is None or not spots:
        return None
    paper = str(facts.value("job.paper") or "a4")
    paper = paper if paper in PAPER_MM else "a4"
    heading = _heading(plan, facts)
    found = layout(PAPER_MM[paper], roof, spots)
    context = {**_first(facts, heading, found, roof, spots), "paper_name": paper.capitalize()}
    context["tiles"] = [
        _safe(tile_page(heading, found, roof, spots, tile)) for tile in found.tiles
    ]
    both = facts.value("job.units") == "both"
    made = environment(escapes_html=True, both_units=both).get_template("template.html.j2")
    title = f"Drilling template: {heading.reference} · {heading.revision}"
    return pdf(made.render(context), title=title, paper=paper)


def _spots(facts: Facts) -> list[Spot]:
    """Every hole to drill through the roof, cable entries included."""
    return [
        Spot(plain(str(row.get("name") or place)), number_in(row, "x_mm"),
             number_in(row, "y_mm"), number_in(row, "diameter_mm"))
        for place, row in enumerate(facts.rows("holes.rows"), 1)
    ]


def _heading(plan: Plan, facts: Facts) -> Heading:
    job = plan.job
    reference = job.get("job.reference", job.get("reference")) or facts.text("job.reference")
    revision = job.get("job.revision", job.get("revision")) or "none"
    stopped = plan.verdict.state != "no_stop_found"
    return Heading(
        reference=short(plain(str(reference or "no reference")), 90),
        revision=f"revision {short(str(revision), 16)} · plan {plan_digest(plan)}",
        warning=f"Plan: {HEADLINES[plan.verdict.state][0]}. Do not drill from it." * stopped,
        say=beside if facts.value("job.units") == "both" else str,
    )


def _first(
    facts: Facts, heading: Heading, found: Layout, roof: RoofFigures, spots: Sequence[Spot]
) -> dict[str, Any]:
    """Return what the pages before the tiles print."""
    sheet = found.sheet
    upright = sheet.height > sheet.width
    return {
        "fonts": _safe(font_css()),
        "width": number(sheet.width),
        "height": number(sheet.height),
        "heading": heading,
        "reference": fit(heading.reference, 4.0, sheet.width - 110),
        "way": "portrait" if upright else "landscape",
        "map": _safe(tile_map(found, roof, spots, 200 if upright else 142)),
        "printed": ", ".join(tile.name for tile in found.tiles),
        "count": len(found.tiles),
        "skipped": left_out(found),
        "sizes": sizes(spots),
        "pages": pages_of(measures(found, roof, spots), sheet.height),
        "spans": spans(roof.holes),
        "diagonals": facts.text("gate.diagonal_mm"),
        "middle": f"{roof.width_mm / 2:g} mm",
        "unplaced": roof.entry is None and bool(facts.value("work.cable_hole"))
        and facts.value("entry.where") != "body_side",
    }


def _safe(made: str) -> Markup:
    return Markup(made)  # noqa: S704  - drawn here; whatever was typed is escaped in it
