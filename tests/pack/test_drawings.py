"""Every drawing of every demo: labels apart, inside the frame, large enough to read, to scale."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from html import unescape
from itertools import combinations
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from planner.pack.drawings.svg import Box, text_box

from .packs import DEMOS, Pack, demo, varied

SVG = "{http://www.w3.org/2000/svg}"
#: ISO 3098-1 begins its nominal sizes of lettering at 1.8 mm: from memory, not read for this test.
LEAST_MM = 2.4
VARIANTS: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "ribbed": ("high-roof-steel", {
        "roof.shape": "ribbed", "roof.rib_direction": "lengthwise", "roof.rib_pitch_mm": 180,
        "roof.rib_flat_mm": 120, "roof.rib_height_mm": 8, "roof.rib_first_mm": 20,
    }),
    "crowded": ("high-roof-steel", {
        "roof.obstacles": tuple(
            {"name": f"thing {i} with a long name on it", "kind": "other", "x_mm": 1000 + 60 * i,
             "y_mm": 60 + 120 * (i % 3), "length_mm": 50, "width_mm": 50, "height_mm": 40}
            for i in range(8)
        ),
    }),
}


def drawings(pack: Pack) -> Iterator[ET.Element]:
    """Yield the drawings of a pack, without the bars in the lines of the timetable."""
    for text in re.findall(r"<svg.*?</svg>", pack.documents.html, re.DOTALL):
        if 'class="strip"' not in text:
            yield ET.fromstring(text)  # noqa: S314  - our own drawing


def labels(drawing: ET.Element) -> list[tuple[str, Box, float]]:
    """Return text, box and size of every label."""
    found = []
    for one in drawing.iter(f"{SVG}text"):
        size, anchor = float(one.attrib["font-size"]), one.attrib.get("text-anchor", "start")
        assert anchor in ("start", "middle", "end")
        x, y, text = float(one.attrib["x"]), float(one.attrib["y"]), unescape(one.text or "")
        bold = "font-weight" in one.attrib
        box = text_box(x, y, text, size, anchor=anchor, bold=bold)  # type: ignore[arg-type]
        found.append((text, box, size))
    return found


def made(name: str) -> Pack:
    """Return the pack of a demo or of a variant."""
    return varied(*VARIANTS[name]) if name in VARIANTS else demo(name)


@pytest.mark.parametrize("name", [*DEMOS, *VARIANTS])
def test_labels_do_not_overlap_and_stay_inside_the_frame(name: str) -> None:
    """The boxes are generous estimates, so that labels which pass are apart in any renderer."""
    seen = 0
    for drawing in drawings(made(name)):
        width, height = (float(n) for n in drawing.attrib["viewBox"].split()[2:])
        frame, found = Box(0, 0, width, height), labels(drawing)
        id_ = drawing.attrib["id"]
        for text, box, size in found:
            assert box.within(frame), (id_, text)
            assert size >= LEAST_MM, (id_, text)
        for (one, a, _), (other, b, _) in combinations(found, 2):
            assert not a.meets(b), (id_, one, other)
        seen += 1
    assert seen >= 6


@pytest.mark.parametrize("name", DEMOS)
def test_drawings_fit_the_page_and_tell_what_they_show_in_words(name: str) -> None:
    """At most 179 mm wide, A4 less its margins; a title and a description for those who listen."""
    for drawing in drawings(demo(name)):
        assert float(drawing.attrib["width"].removesuffix("mm")) <= 179
        assert float(drawing.attrib["height"].removesuffix("mm")) <= 250
        for tag in ("title", "desc"):
            element = drawing.find(f"{SVG}{tag}")
            assert element is not None
            assert element.text
            assert element.attrib["id"] in drawing.attrib["aria-labelledby"].split()


@pytest.mark.parametrize("name", DEMOS)
def test_the_roof_plan_is_to_scale(name: str) -> None:
    """The panel's rectangle, times the scale printed beside it, is the panel of the plan.

    The other side is the answer itself: length and width as typed into the job.
    """
    facts = demo(name).plan.facts
    plan = next(d for d in drawings(demo(name)) if d.attrib["id"] == "roof-plan")
    scale = next(float(t.split(":")[1]) for t, _, _ in labels(plan) if t.startswith("Scale 1:"))
    wanted = {round(float(facts[f"panel.{side}_mm"].value)) for side in ("length", "width")}
    sizes = [
        {round(float(r.attrib["width"]) * scale), round(float(r.attrib["height"]) * scale)}
        for r in plan.iter(f"{SVG}rect")
    ]
    assert sizes.count(wanted) == int(facts["panel.count"].value)


@pytest.mark.parametrize("name", DEMOS)
def test_the_wiring_names_both_poles_at_controller_and_battery(name: str) -> None:
    """Polarity is written at every terminal; colour or kind of line alone proves nothing."""
    drawing = next(d for d in drawings(demo(name)) if d.attrib["id"] == "wiring")
    texts = [text for text, _, _ in labels(drawing)]
    assert {"PV +", "PV −", "BAT +", "BAT −"} <= set(texts)
    facts = demo(name).plan.facts
    for fact in ("pv_cable.section_mm2", "battery_cable.section_mm2", "fuse.rating_a"):
        assert any(facts[fact].text in text for text in texts), fact
