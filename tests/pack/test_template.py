"""The drilling template at 1:1, measured in the PDF's own coordinates."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from functools import cache
from itertools import combinations
from typing import Any

import pdfplumber
import pypdf
import pytest
from msgspec import Struct
from msgspec.structs import replace

from planner import paths
from planner.job.file import Job, read_job
from planner.pack.template import drilling_template
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.base import RuleBase
from planner.rulebase.load import built_in

#: PDF user space is 1/72 inch (ISO 32000-1, 8.3.2.3).
MM = 25.4 / 72
TOLERANCE_MM = 0.1
#: A quarter of an inch is the border that common office printers leave: common practice, no source.
PRINTABLE_MM = 6.35
DEMOS = tuple(path.stem for path in sorted(paths.DEMOS.glob("*.yaml")))
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
RIBBED = {
    "roof.shape": "ribbed", "roof.rib_direction": "lengthwise", "roof.rib_pitch_mm": 180,
    "roof.rib_flat_mm": 120, "roof.rib_height_mm": 8, "roof.rib_first_mm": 20,
}  # fmt: skip
JOBS: list[tuple[str, dict[str, Any]]] = [(name, {}) for name in DEMOS] + [("lifting-grp", RIBBED)]
FRONT = re.compile(r"this side: (\d+) mm(?: \([^)]*\))?(?: (ahead of|from))? the front edge")
CENTRE = re.compile(r"(?:(\d+)mm(?:\([^)]*\))?(left|right)of|on)thecentreline")


@cache
def _planned(name: str, answers: tuple[tuple[str, Any], ...]) -> Plan:
    job = read_job(paths.DEMOS / f"{name}.yaml", built_in())
    return make_plan(Job(job.name, {**job.answers, **dict(answers)}), built_in(), every_fact=True)


def planned(name: str = "lifting-grp", **answers: Any) -> Plan:
    """Return the plan of a demo with some answers changed; ``__`` stands for a point."""
    named = {key.replace("__", "."): value for key, value in answers.items()}
    return _planned(name, tuple(sorted(named.items())))


def with_holes(plan: Plan, rows: Sequence[dict[str, Any]]) -> Plan:
    """Return the plan with other holes."""
    fact = replace(plan.facts["holes.rows"], value=list(rows))
    return replace(plan, facts={**plan.facts, "holes.rows": fact})


_OPEN: dict[int, tuple[Plan, list[Any]]] = {}


def pages(plan: Plan) -> list[Any]:
    """Return every page of the template; each plan is set once."""
    if id(plan) not in _OPEN:
        data = drilling_template(plan)
        assert data is not None
        _OPEN[id(plan)] = (plan, list(pdfplumber.open(io.BytesIO(data)).pages))
    return _OPEN[id(plan)][1]


def is_tile(page: Any) -> bool:
    """Whether a page is a tile, not one of the lists before them."""
    return "this side:" in page.extract_text()


class Read(Struct, frozen=True):
    """One tile as its page shows it: frame and circles [mm on the roof], read from the PDF."""

    name: str
    front: float
    rear: float
    left: float
    right: float
    holes: tuple[tuple[float, float, float], ...]
    crosses: frozenset[tuple[float, float]]


def read(page: Any, middle: float) -> Read:
    """Read a tile: its sides from its words, everything inside from its coordinates."""
    frame = max(page.rects, key=lambda rect: rect["width"] * rect["height"] * rect["stroke"])
    front, rear = [
        int(found[1]) * (-1 if found[2] == "ahead of" else 1)
        for found in FRONT.finditer(page.extract_text())
    ]
    left, right = _upright_words(page, middle)

    def place(one: dict[str, Any]) -> tuple[float, float]:
        return (
            front + ((one["top"] + one["bottom"]) / 2 - frame["top"]) * MM,
            left + ((one["x0"] + one["x1"]) / 2 - frame["x0"]) * MM,
        )

    assert rear - front == pytest.approx(frame["height"] * MM, abs=TOLERANCE_MM / 2)
    assert right - left == pytest.approx(frame["width"] * MM, abs=TOLERANCE_MM / 2)
    circles = [one for one in page.curves if one["fill"] is False]
    level = [place(one) for one in page.lines if one["height"] < 0.01]
    upright = [place(one) for one in page.lines if one["width"] < 0.01]
    crosses = {a for a in level for b in upright if math.dist(a, b) < TOLERANCE_MM}
    found = re.search(r"Tile ([A-Z]+\d+) ·", page.extract_text())
    assert found
    holes = tuple((*place(one), one["width"] * MM) for one in circles)
    return Read(found[1], front, rear, left, right, holes, frozenset(crosses))


def _upright_words(page: Any, middle: float) -> list[float]:
    """Return what the turned words at the left and right of the frame say, from the left edge."""
    columns: dict[float, list[dict[str, Any]]] = {}
    for char in page.chars:
        if abs(char["matrix"][1]) > abs(char["matrix"][0]):
            columns.setdefault(round(char["x1"]), []).append(char)
    found = []
    for _, chars in sorted(columns.items()):
        words = "".join(c["text"] for c in sorted(chars, key=lambda c: -c["bottom"]))
        if match := CENTRE.search(words.replace(" ", "")):
            off = int(match[1] or 0)
            found.append(middle - off if match[2] == "left" else middle + off)
    return found


def tiles(plan: Plan) -> list[Read]:
    """Return every tile of the template, read back."""
    middle = plan.facts["roof.width_mm"].value / 2
    return [read(page, middle) for page in pages(plan) if is_tile(page)]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("name", "answers"), JOBS)
def test_every_hole_lies_where_the_plan_has_it(
    name: str, answers: dict[str, Any], paper: str
) -> None:
    """On every tile that shows it, from both datums; so spacing across tiles is right as well."""
    plan = planned(name, job__paper=paper, **answers)
    wanted = {(r["x_mm"], r["y_mm"]): r["diameter_mm"] for r in plan.facts["holes.rows"].value}
    met: dict[tuple[float, float], tuple[float, float]] = {}
    for tile in tiles(plan):
        assert tile.holes, "only tiles with a hole are printed"
        for x, y, diameter in tile.holes:
            near = min(wanted, key=lambda hole: math.dist(hole, (x, y)))
            assert math.dist(near, (x, y)) < TOLERANCE_MM / 2
            assert diameter == pytest.approx(wanted[near], abs=TOLERANCE_MM)
            assert min(math.dist((x, y), cross) for cross in tile.crosses) < TOLERANCE_MM
            met[near] = (x, y)
    assert set(met) == set(wanted)
    for one, other in combinations(wanted, 2):
        assert math.dist(met[one], met[other]) == pytest.approx(
            math.dist(one, other), abs=TOLERANCE_MM
        )


def test_two_holes_on_one_tile_keep_an_odd_spacing() -> None:
    """Places that are no whole millimetres are not rounded on the way to the paper."""
    rows = [
        {"name": f"T{i}", "x_mm": 1000 + 33.3 * i, "y_mm": 500 + 21.7 * i, "diameter_mm": 6.6}
        for i in range(5)
    ]
    (tile,) = tiles(with_holes(planned(), rows))
    for i, (x, y, _) in enumerate(sorted(tile.holes)):
        assert x == pytest.approx(1000 + 33.3 * i, abs=TOLERANCE_MM / 2)
        assert y == pytest.approx(500 + 21.7 * i, abs=TOLERANCE_MM / 2)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("name", "answers"), JOBS)
def test_both_check_bars_measure_a_hundred_millimetres(
    name: str, answers: dict[str, Any], paper: str
) -> None:
    """On the map and on every tile, both ways; a printer that scales is found out."""
    plan = planned(name, job__paper=paper, **answers)
    book = pages(plan)
    for page in [book[0], *filter(is_tile, book)]:
        spans = [(one["width"] * MM, one["height"] * MM) for one in page.lines]
        assert any(w == pytest.approx(100, abs=TOLERANCE_MM) and h < 0.01 for w, h in spans)
        assert any(h == pytest.approx(100, abs=TOLERANCE_MM) and w < 0.01 for w, h in spans)
        text = " ".join(page.extract_text().split())
        assert "measure 100 mm" in text
        assert "no fit to page" in text


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", DEMOS)
def test_pages_have_the_size_of_the_paper_and_nothing_is_cut_off(name: str, paper: str) -> None:
    """ISO 216 A4, and US Letter (ANSI/ASME Y14.1), either way round; ink keeps off the border."""
    for page in pages(planned(name, job__paper=paper)):
        size = sorted((page.width * MM, page.height * MM))
        assert size == pytest.approx(PAPERS[paper], abs=0.1)
        ink = [*page.chars, *page.lines, *page.curves]
        assert min(one["x0"] for one in ink) * MM > PRINTABLE_MM
        assert min(one["top"] for one in ink) * MM > PRINTABLE_MM
        assert max(one["x1"] for one in ink) * MM < page.width * MM - PRINTABLE_MM
        assert max(one["bottom"] for one in ink) * MM < page.height * MM - PRINTABLE_MM


@cache
def crowded() -> Plan:
    """Return a plan with far more holes than any job has, some in the corners of the roof."""
    rows = [
        {"name": f"F{i + 1}", "x_mm": 20 + i % 12 * 205.5, "y_mm": 20 + i // 12 * 380.25,
         "diameter_mm": 6.6}
        for i in range(48)
    ]
    return with_holes(planned(job__units="metric"), rows)


def test_neighbours_overlap_by_ten_millimetres_and_name_each_other() -> None:
    """What one tile calls its neighbour is the tile whose frame begins 10 mm before its end."""
    plan = crowded()
    found = {tile.name: tile for tile in tiles(plan)}
    texts = [page.extract_text() for page in pages(plan) if is_tile(page)]
    joined = 0
    for tile, text in zip(found.values(), texts, strict=True):
        for name in re.findall(r"([A-Z]+\d+) joins here", text):
            other = found[name]
            assert (other.left, other.right) == (tile.left, tile.right)
            assert 10 in (tile.rear - other.front, other.rear - tile.front)
            joined += 1
        for name in re.findall(r"([A-Z]+\d+) left out", text):
            assert name not in found
    assert joined > 10


def test_every_hole_of_a_crowded_roof_is_printed_with_its_whole_cross() -> None:
    """The cross ends inside the frame on one tile at least."""
    plan = crowded()
    wanted = {(row["x_mm"], row["y_mm"]) for row in plan.facts["holes.rows"].value}
    whole = {
        min(wanted, key=lambda hole: math.dist(hole, (x, y)))
        for tile in tiles(plan)
        for x, y, diameter in tile.holes
        if tile.front + diameter < x < tile.rear - diameter
        and tile.left + diameter < y < tile.right - diameter
    }
    assert whole == wanted


def test_the_map_names_every_tile_as_printed_or_left_out() -> None:
    """Each place of the grid is named once, and those printed are those that follow."""
    plan = planned()
    beside_map = pages(plan)[0].filter(lambda one: one["x0"] > 330)
    first = " ".join(beside_map.extract_text().split())
    printed = re.search(r"Printed, bold on the map: ([^.]+)\.", first)
    skipped = re.search(r"nothing is drilled there: ([^.]+)\.", first)
    assert printed
    assert skipped
    assert printed[1].split(", ") == [tile.name for tile in tiles(plan)]
    out = [name for run in skipped[1].split(", ") for name in _run(run)]
    names = [*out, *printed[1].split(", ")]
    assert len(set(names)) == len(names)
    rows = {name[0] for name in names}
    columns = {name[1:] for name in names}
    assert len(names) == len(rows) * len(columns)


def _run(text: str) -> list[str]:
    first, _, last = text.partition(" to ")
    ends = int(first[1:]), int((last or first)[1:])
    return [f"{first[0]}{number}" for number in range(ends[0], ends[1] + 1)]


def test_the_way_round_that_needs_fewer_sheets_is_taken() -> None:
    """Three holes in a row across fit one landscape frame and no upright one; and the reverse."""
    across = [{"name": f"H{i}", "x_mm": 900, "y_mm": 500 + 100 * i, "diameter_mm": 7}
              for i in range(3)]  # fmt: skip
    along = [{"name": f"H{i}", "x_mm": 900 + 90 * i, "y_mm": 500, "diameter_mm": 7}
             for i in range(3)]  # fmt: skip
    for rows, wide in ((across, True), (along, False)):
        plan = with_holes(planned(), rows)
        (page,) = filter(is_tile, pages(plan))
        assert (page.width > page.height) is wide


def test_the_measuring_list_gives_what_a_tape_must_find() -> None:
    """Each hole from both datums; diagonals by Pythagoras: 1180 and 720 mm give 1382.3 mm."""
    rows = [
        {"name": name, "x_mm": x, "y_mm": y, "diameter_mm": 6.6}
        for name, x, y in (("F1", 1120, 230), ("F2", 2300, 230), ("F3", 1120, 950),
                           ("F4", 2300, 950))
    ]  # fmt: skip
    text = pages(with_holes(planned(job__units="metric"), rows))[1].extract_text()
    assert re.search(r"F1 Ø 6\.6 mm 1120 mm 360 mm left 230 mm [A-Z]\d", text)
    assert re.search(r"F4 Ø 6\.6 mm 2300 mm 360 mm right 950 mm [A-Z]\d", text)
    assert "Diagonal F1 to F4: 1382 mm" in text
    assert "Diagonal F3 to F2: 1382 mm" in text
    assert "Front F1 to F3: 720 mm" in text
    assert "Left F1 to F2: 1180 mm" in text


def test_the_first_page_says_what_the_template_does_not_replace() -> None:
    """The dry fit, the no-drill zones and the check from inside; and how to print."""
    first = " ".join(pages(planned())[0].extract_text().split())
    for words in ("dry fit", "no-drill zones", "from inside", "100 %"):
        assert words in first


def test_a_plan_that_forbids_the_work_says_so_on_every_page() -> None:
    """A sheet that lies about must not be drilled from."""
    plan = planned()
    assert not any("Do not drill" in page.extract_text() for page in pages(plan))
    stopped = replace(plan, verdict=replace(plan.verdict, state="not_yet"))
    assert all("Not yet. Do not drill" in page.extract_text() for page in pages(stopped))


def test_a_drill_that_is_not_known_is_not_drawn_as_one() -> None:
    """No circle, and words instead of a size."""
    rows = [{"name": "F1", "x_mm": 900, "y_mm": 500, "diameter_mm": None}]
    plan = with_holes(planned(), rows)
    (tile,) = tiles(plan)
    assert not tile.holes
    assert any(math.dist(cross, (900, 500)) < TOLERANCE_MM for cross in tile.crosses)
    assert all("Ø not known yet" in page.extract_text() for page in pages(plan))


def test_words_keep_off_the_crosses() -> None:
    """Nothing is printed where the drill goes."""
    for plan in (*(planned(name, **answers) for name, answers in JOBS), crowded()):
        for page in filter(is_tile, pages(plan)):
            for hole in (one for one in page.curves if one["fill"] is False):
                inside = [
                    char["text"] for char in page.chars
                    if char["x0"] < hole["x1"] and char["x1"] > hole["x0"]
                    and char["top"] < hole["bottom"] and char["bottom"] > hole["top"]
                ]
                assert not inside


def test_all_is_black_on_white_in_our_own_type() -> None:
    """Only grey levels are painted, and every font is embedded."""
    data = drilling_template(planned())
    assert data is not None
    for page in pdfplumber.open(io.BytesIO(data)).pages:
        for one in (*page.chars, *page.lines, *page.curves, *page.rects):
            # What a line is not filled with is not painted.
            painted = {"stroking_color": one.get("stroke", True),
                       "non_stroking_color": one.get("fill", True)}
            colours = [one[key] or (0,) for key, is_used in painted.items() if is_used]
            assert all(max(colour) - min(colour) < 0.03 for colour in colours)
    for leaf in pypdf.PdfReader(io.BytesIO(data)).pages:
        for font in leaf["/Resources"]["/Font"].values():  # type: ignore[index]
            outer = font.get_object()
            inner = outer.get("/DescendantFonts", [outer])[0].get_object()
            assert "SourceSansPro" in inner["/BaseFont"]
            assert "/FontFile2" in inner["/FontDescriptor"].get_object()


def test_a_job_without_a_hole_has_no_template() -> None:
    """Nothing is drilled through the roof: there is nothing to set out."""
    plan = planned()
    assert drilling_template(with_holes(plan, [])) is None
    loose = {name: fact for name, fact in plan.facts.items() if name != "holes.rows"}
    assert drilling_template(replace(plan, facts=loose)) is None


def test_a_panel_stuck_down_without_cable_hole_has_no_template(base: RuleBase) -> None:
    """The same from the answers: a job that leaves the roof whole."""
    job = read_job(paths.DEMOS / "aluminium-lift-flex.yaml", base)
    answers = {**job.answers, "panel.kind": "folding_portable"}
    plan = make_plan(Job(job.name, answers), base, every_fact=True)
    assert not plan.facts["holes.rows"].value
    assert drilling_template(plan) is None


def test_the_same_plan_gives_the_same_bytes() -> None:
    """No clock inside."""
    plan = planned("high-roof-steel")
    assert drilling_template(plan) == drilling_template(plan)


def test_hostile_names_are_only_text_and_are_cut_to_their_room() -> None:
    """Markup, template syntax, long words and turned letters change neither pages nor places."""
    nasty = "<script>alert(1)</script>{{7*7}}\u202e" + "W" * 4000
    plan = planned(job__reference=nasty)
    named = [{**row, "name": nasty} for row in plan.facts["holes.rows"].value]
    panels = [{**row, "name": nasty} for row in plan.facts["place.panels"].value]
    facts = {**plan.facts, "place.panels": replace(plan.facts["place.panels"], value=panels)}
    book = pages(with_holes(replace(plan, facts=facts), named))
    assert len(book) == len(pages(planned()))
    for page in book:
        text = page.extract_text()
        assert "<script>" in text
        assert "{{7*7}}" in text
        assert "revision" in text
        assert max(char["x1"] for char in page.chars) * MM < page.width * MM - PRINTABLE_MM
        assert max(char["bottom"] for char in page.chars) < page.height
