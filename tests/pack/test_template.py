"""The drilling template at 1:1, measured in the PDF's own coordinates."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pdfplumber
import pytest

from planner import paths
from planner.job.file import Job, read_job
from planner.pack.template import drilling_template
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase

#: PDF user space is 1/72 inch (ISO 32000-1, 8.3.2.3).
MM = 25.4 / 72
TOLERANCE_MM = 0.1
CORNER = re.compile(r"this corner: (\d+) mm from the front edge, (\d+) mm from the left edge")
RIBBED = {
    "roof.shape": "ribbed", "roof.rib_direction": "lengthwise", "roof.rib_pitch_mm": 180,
    "roof.rib_flat_mm": 120, "roof.rib_height_mm": 8, "roof.rib_first_mm": 20,
}  # fmt: skip


def planned(base: RuleBase, name: str, **answers: Any) -> Plan:
    """Return the plan of a demo with some answers changed."""
    job = read_job(paths.DEMOS / f"{name}.yaml", base)
    changed = {key.replace("__", "."): value for key, value in answers.items()}
    return make_plan(Job(job.name, {**job.answers, **changed}), base, every_fact=True)


def sheets(plan: Plan) -> list[Any]:
    """Return the pages of the template."""
    data = drilling_template(plan)
    assert data is not None
    return list(pdfplumber.open(io.BytesIO(data)).pages)


def centres(page: Any) -> list[tuple[float, float, float]]:
    """Return down, across and diameter [mm] of every circle on a page."""
    return [
        (
            (one["top"] + one["bottom"]) / 2 * MM,
            (one["x0"] + one["x1"]) / 2 * MM,
            (one["x1"] - one["x0"]) * MM,
        )
        for one in page.curves
    ]


def frame_corner(page: Any) -> tuple[float, float]:
    """Return down and across [mm] of the upper left corner of the tile's dotted frame."""
    dotted = [one for one in page.lines if one["linewidth"] * MM < 0.17]
    return min(one["top"] for one in dotted) * MM, min(one["x0"] for one in dotted) * MM


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", [path.stem for path in sorted(paths.DEMOS.glob("*.yaml"))])
def test_every_hole_lies_where_the_plan_has_it(base: RuleBase, name: str, paper: str) -> None:
    """Within 0.1 mm on the roof, sheet by sheet, and with the drill's diameter."""
    plan = planned(base, name, job__paper=paper)
    wanted = {
        (row["x_mm"], row["y_mm"]): row["diameter_mm"] for row in plan.facts["holes.rows"].value
    }
    met = set()
    for page in sheets(plan)[1:]:
        found = CORNER.search(page.extract_text())
        assert found is not None
        down, across = frame_corner(page)
        for y, x, diameter in centres(page):
            place = (float(found[1]) + y - down, float(found[2]) + x - across)
            near = min(wanted, key=lambda hole: abs(hole[0] - place[0]) + abs(hole[1] - place[1]))
            # The corner is printed in whole millimetres; the spacing is tested below.
            assert place == pytest.approx(near, abs=0.5 + TOLERANCE_MM)
            assert diameter == pytest.approx(wanted[near], abs=TOLERANCE_MM)
            met.add(near)
    assert met == set(wanted)


def test_holes_on_one_sheet_keep_their_spacing(base: RuleBase) -> None:
    """Spacing in the PDF within 0.1 mm of the plan, read from its own coordinates."""
    plan = planned(base, "lifting-grp")
    rows = [
        {"name": f"T{i}", "x_mm": 100 + 33.3 * i, "y_mm": 60 + 21.7 * i, "diameter_mm": 6.6}
        for i in range(5)
    ]
    facts = {**plan.facts, "holes.rows": replace(plan.facts["holes.rows"], value=rows)}
    for page in sheets(replace(plan, facts=facts))[1:]:
        places = sorted(centres(page))
        for (y1, x1, _), (y2, x2, _) in pairwise(places):
            if x2 - x1 < 30:
                assert y2 - y1 == pytest.approx(33.3, abs=TOLERANCE_MM)
                assert x2 - x1 == pytest.approx(21.7, abs=TOLERANCE_MM)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_both_check_bars_measure_a_hundred_millimetres(base: RuleBase, paper: str) -> None:
    """On every sheet, lengthwise and across; a printer that scales is found out."""
    for page in sheets(planned(base, "lifting-grp", job__paper=paper)):
        spans = [
            ((one["x1"] - one["x0"]) * MM, (one["bottom"] - one["top"]) * MM) for one in page.lines
        ]
        assert any(w == pytest.approx(100, abs=TOLERANCE_MM) and h < 0.1 for w, h in spans)
        assert any(h == pytest.approx(100, abs=TOLERANCE_MM) and w < 0.1 for w, h in spans)


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_sheets_have_the_size_of_the_paper(
    base: RuleBase, paper: str, size: tuple[float, float]
) -> None:
    """ISO 216 A4, and US Letter (ANSI/ASME Y14.1): either way round."""
    for page in sheets(planned(base, "lifting-grp", job__paper=paper)):
        found = sorted((page.width * MM, page.height * MM))
        assert found == pytest.approx(sorted(size), abs=0.2)


def test_a_ribbed_roof_has_its_template_too(base: RuleBase) -> None:
    """Feet stand on the flats; the sheets follow the holes."""
    plan = planned(base, "lifting-grp", **{k.replace(".", "__"): v for k, v in RIBBED.items()})
    if plan.facts["holes.rows"].value:
        assert sum(len(centres(page)) for page in sheets(plan)[1:]) >= len(
            plan.facts["holes.rows"].value
        )


def test_a_job_without_a_hole_has_no_template(base: RuleBase) -> None:
    """Nothing is drilled through the roof: there is nothing to set out."""
    plan = planned(base, "lifting-grp")
    hidden = {name: replace(fact, value=None) for name, fact in plan.facts.items()
              if name.startswith(("holes.", "entry."))}  # fmt: skip
    assert drilling_template(replace(plan, facts={**plan.facts, **hidden})) is None


def test_the_same_plan_gives_the_same_bytes(base: RuleBase) -> None:
    """No clock inside."""
    plan = planned(base, "high-roof-steel")
    assert drilling_template(plan) == drilling_template(plan)


def test_a_hostile_reference_is_only_text(base: RuleBase) -> None:
    """Markup in a name is printed, cut to its room, and leads nowhere."""
    nasty = "<script>alert(1)</script>{{7*7}}" + "W" * 4000
    first = sheets(planned(base, "lifting-grp", job__reference=nasty))[0]
    text = first.extract_text()
    assert "<script>" in text
    assert max(char["x1"] for char in first.chars) <= first.width
