"""The wiring, test and energy pages: what a buyer and a fitter read there, on screen and paper."""

from __future__ import annotations

import html
import io
import math
import re
from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Any
from xml.etree import ElementTree as ET

import pypdfium2
import pytest

from planner.pack.blocks import Block, Table
from planner.pack.bom import bom_csv
from planner.pack.compose import compose
from planner.pack.drawings.svg import Box
from planner.pack.drawings.wiring import WiringFigures
from planner.pack.drawings.wiring import wiring as schematic

from .packs import DEMOS, Pack, demo, varied
from .test_drawings import labels

#: Metric section, and the American size printed beside it.
WIRE = re.compile(r"(\d+(?:\.\d+)?)[ \u00a0]mm² \(AWG[ \u00a0](\d+(?:/0)?)\)")
UNEQUAL: Mapping[str, Any] = {
    "panel.count": 1,
    "panel.others": ({
        "name": "narrow rear panel", "count": 1, "rated_w": 100, "length_mm": 1000,
        "width_mm": 540, "frame_height_mm": 30, "mass_kg": 6.5, "voc_v": 22.5, "vmp_v": 18.6,
        "isc_a": 5.7, "imp_a": 5.4, "max_series_fuse_a": 10,
    },),
}  # fmt: skip


def copper_mm2(size: str) -> float:
    """Return the area of an American size: ASTM B258, from memory."""
    gauge = 1 - int(size[0]) if size.endswith("/0") else int(size)
    return math.pi / 4 * (0.127 * math.pow(92, (36 - gauge) / 39)) ** 2


def block(pack: Pack, sheet: str, title: str) -> Block:
    """Return a block of a section by its title."""
    found: Block = next(b for b in compose(pack.plan)["sheets"][sheet].blocks if b.title == title)
    return found


def table(pack: Pack, sheet: str, caption: str) -> Table:
    """Return a table of a section by the beginning of its caption."""
    blocks = compose(pack.plan)["sheets"][sheet].blocks
    found: Table = next(t for b in blocks for t in b.tables if t.caption.startswith(caption))
    return found


def column(of: Table, head: str) -> list[str]:
    """Return the cells of a column."""
    return [row[of.head.index(head)] for row in of.rows]


def printed(pack: Pack) -> Iterator[str]:
    """Yield everything that a buyer may read."""
    yield pack.documents.markdown
    yield pack.documents.html
    yield bom_csv(pack.plan)
    for finding in pack.plan.findings:
        yield finding.text


@pytest.mark.parametrize("name", DEMOS)
def test_no_thinner_american_wire_is_printed_anywhere(name: str) -> None:
    """4 mm² is bought as AWG 10 (5.26 mm²); AWG 12 (3.31 mm²) would be too thin."""
    pack = demo(name)
    seen = 0
    for text in printed(pack):
        assert "next below" not in text
        for section, size in WIRE.findall(text):
            assert copper_mm2(size) >= float(section), (section, size)
            seen += 1
        assert len(re.findall("AWG[ \u00a0]\\d", text)) == len(WIRE.findall(text))
    assert seen >= 8
    for caption in ("Sections tried", "Every end"):
        found = table(pack, "wiring", caption)
        for section, size in zip(column(found, "Section [mm²]"), column(found, "AWG to buy"),
                                 strict=True):  # fmt: skip
            assert section == size == "—" or copper_mm2(size) >= float(section)


@pytest.mark.parametrize("name", DEMOS)
def test_materials_name_both_sizes_of_wire(name: str) -> None:
    """The list that goes to the shop has the metric section and the American size."""
    specs = {item.id: item.spec for item in demo(name).plan.materials}
    for item in ("pv-cable", "battery-cable", "lugs", "ferrules"):
        assert WIRE.search(specs[item]), item


@pytest.mark.parametrize("name", DEMOS)
def test_each_run_is_printed_with_the_result_of_each_check(name: str) -> None:
    """Drop against what is allowed, current against what is needed, worked out from the row."""
    found = table(demo(name), "wiring", "Each run")
    for low, high in (("Drop [%]", "Allowed [%]"), ("Must carry [A]", "Carries [A]")):
        for less, more in zip(column(found, low), column(found, high), strict=True):
            assert float(less) <= float(more)
    assert set(column(found, "Result")) == {"passes"}
    fuse = column(found, "Fuse [A]")[-1]
    assert float(fuse) <= float(column(found, "Carries [A]")[-1])


def test_a_run_that_no_cable_serves_says_which_check_fails_and_what_to_change() -> None:
    """18 m of 4.5 m: four times the drop; the largest section loses 3.9 %, over 3 %."""
    pack = varied("lifting-grp", {"wiring.roof_to_controller_m": 18})
    found = table(pack, "wiring", "Each run")
    assert column(found, "Result")[0] == "loses too much voltage"
    tried = table(pack, "wiring", "Sections tried")
    assert column(tried, "Section [mm²]")[:3] == ["6", "10", "16"]
    assert "too thick for the terminals" in column(tried, "Verdict")[2]
    stop = next(f for f in pack.plan.findings if f.id == "no-panel-cable-fits")
    assert stop.severity == "stop"
    assert "shorten the run to 13.9 m" in stop.text


@pytest.mark.parametrize("name", DEMOS)
def test_schematic_and_table_number_the_same_cable_ends(name: str) -> None:
    """Every end of a cable that is made stands in the drawing; the panels' own leads do not."""
    found = table(demo(name), "wiring", "Every end")
    assert column(found, "End") == [str(n) for n in range(1, len(found.rows) + 1)]
    made = {end for end, section in
            zip(column(found, "End"), column(found, "Section [mm²]"), strict=True)
            if section != "—"}  # fmt: skip
    svg = ET.fromstring(block(demo(name), "wiring", "Schematic").figures[0].svg)  # noqa: S314
    drawn = [(one.text or "") for one in svg.iter("{http://www.w3.org/2000/svg}text")]
    assert sorted(text for text in drawn if text.isdigit()) == sorted(made)


@pytest.mark.parametrize("name", DEMOS)
def test_fuse_isolators_settings_and_order_are_printed(name: str) -> None:
    """What to buy, where it sits, what to set, and both orders: battery first, panel last."""
    pack = demo(name)
    fuse = block(pack, "wiring", "Fuse at the battery, and what isolates")
    labels = {pair.label for pair in fuse.pairs}
    assert {"Holder of the fuse", "Standard of the fuse", "Battery fuse from the post at most",
            "Breaking capacity of this kind of fuse", "Rated voltage of the fuse (d.c.)",
            "Short-circuit current of the battery"} <= labels  # fmt: skip
    assert len(table(pack, "wiring", "Isolators").rows) == 2
    settings = {row[0]: row for row in table(pack, "wiring", "Settings to begin").rows}
    assert " to " in settings["Absorption"][2]
    order = table(pack, "wiring", "Battery first")
    connect, disconnect = column(order, "Connect"), column(order, "Disconnect")
    assert "isolator" in connect[-1]
    assert "isolator" in disconnect[0]
    assert "Battery" in disconnect[-1]
    controller = block(pack, "wiring", "Controller and charge settings")
    labels = {pair.label for pair in controller.pairs}
    assert {"MPPT", "PWM"} <= {word for label in labels for word in label.split()}


@pytest.mark.parametrize("name", DEMOS)
def test_no_isolator_is_asked_for_less_than_it_must_stand(name: str) -> None:
    """A least rating is printed to the next tenth above the figure, never the one below."""
    pack = demo(name)
    found = table(pack, "wiring", "Isolators")
    rows = pack.plan.facts["isolator.rows"].value
    for head, key in (("At least [V d.c.]", "volts_v"), ("At least [A]", "amps_a")):
        for cell, row in zip(column(found, head), rows, strict=True):
            assert row[key] - 1e-6 <= float(cell) < row[key] + 0.1



@pytest.mark.parametrize("name", DEMOS)
def test_the_card_has_one_order_on_screen_and_as_text(name: str) -> None:
    """The order of the wiring pages and of the step, and every 'Never', in HTML and Markdown."""
    pack = demo(name)
    facts = {fact: pack.plan.facts[fact].value for fact in
             ("wiring.switch_off", "wiring.switch_on", "wiring.order")}
    step = pack.plan.texts["try-isolator"].lines
    assert step[:2] == (f"Off: {facts['wiring.switch_off']}.", f"On: {facts['wiring.switch_on']}.")
    page, text = pack.documents.html, pack.documents.markdown
    card = html.unescape(page.partition('class="part part-card"')[2].partition("part-signoff")[0])
    told = text.partition(" Connection card\n")[2].partition("\n## ")[0]
    for row in facts["wiring.order"]:
        for line in (row["connect"], row["disconnect"]):
            assert line in card
            assert line in told
    for words in ("Never", "part a panel plug under load", "live whenever there is light",
                  "Loads and chargers off", "read no current"):
        assert words in card
        assert words in told
    off = [row["disconnect"] for row in facts["wiring.order"]]
    fuse = next(i for i, line in enumerate(off) if line.startswith("Solar fuse out"))
    battery = next(i for i, line in enumerate(off) if line.startswith("Battery"))
    assert fuse < battery == len(off) - 1


def test_unequal_panels_are_drawn_and_listed() -> None:
    """Currents 9 % apart: series is refused with its reason; both panels stand in the drawing."""
    pack = varied("high-roof-steel", UNEQUAL)
    ways = table(pack, "wiring", "Arrangements compared")
    verdicts = dict(zip(column(ways, "Arrangement"), column(ways, "Verdict"), strict=True))
    assert "currents in one string differ by 9 %, over 5 %" in verdicts["in series"]
    assert column(table(pack, "wiring", "Strings"), "Panels in series") == ["1", "2"]
    assert "2 panel(s), parallel" in block(pack, "wiring", "Schematic").figures[0].svg
    bench = compose(pack.plan)["tests"].bench
    assert any("further panels" in found.caption for found in bench)


@pytest.mark.parametrize("name", DEMOS)
def test_the_test_sheet_has_bands_stages_and_wrong_readings(name: str) -> None:
    """Rows of light, columns of temperature; more light more amps, more heat fewer volts."""
    sheet = compose(demo(name).plan)["tests"]
    bands, stages, wrong = sheet.bench
    assert len(bands.rows) >= 4
    volts, amps = zip(*(_lows(cell) for cell in bands.rows[0][2:]), strict=True)
    assert list(volts) == sorted(volts, reverse=True)
    assert list(amps) == sorted(amps)
    assert [_lows(row[3])[1] for row in bands.rows] == sorted(
        (_lows(row[3])[1] for row in bands.rows), reverse=True
    )
    assert stages.rows[0][0].startswith("on the bench")
    assert "controller" in stages.rows[-1][0]
    assert {"0 V", "minus sign"} <= set(column(wrong, "Reading"))
    assert "range above" in sheet.meter
    facts = demo(name).plan.facts
    array_v = facts["array.cold_v"].text.replace("\u00a0", " ")
    assert array_v in sheet.meter.replace("\u00a0", " ")


def _lows(cell: str) -> tuple[float, float]:
    volts, amps = (float(band.split()[0]) for band in cell.split(", "))
    return volts, amps


@pytest.mark.parametrize("name", DEMOS)
def test_energy_is_drawn_by_month_and_by_day(name: str) -> None:
    """Twelve months of harvest against use; the battery over a good, a middling and a bad spell."""
    pack = demo(name)
    months = block(pack, "energy", "Sunlight and harvest")
    assert all(name in months.figures[0].svg for name in ("Jan", "Dec", "use a day"))
    assert any("MERRA-2" in note for note in months.notes)
    assert "Watts needed" in months.tables[0].head
    spells = block(pack, "energy", "Battery by days").figures[0].svg
    assert all(spell in spells for spell in ("good spell", "middling spell", "bad spell"))
    worth = block(pack, "energy", "Is it worth it, and how many watts")
    assert "Nine spells in ten, these panels carry" in {pair.label for pair in worth.pairs}


def test_twelve_typed_months_are_used_and_named_as_the_source() -> None:
    """The sum over the days is the year on the page: 31 x 1 + 28 x 2 + 31 x 3 ... by hand 1280."""
    typed = (1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1)
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    year = sum(sun * day for sun, day in zip(typed, days, strict=True))
    pack = varied("lifting-grp", {"use.place": "by_values", "use.sun_kwh_m2_day": typed})
    months = block(pack, "energy", "Sunlight and harvest")
    assert any("twelve monthly values typed in" in note for note in months.notes)
    shown = next(pair.text for pair in months.pairs if pair.label.startswith("Sunlight in a year"))
    assert abs(float(shown.replace("\u00a0", " ").split()[0]) - year) < 5


def test_a_panel_that_is_not_worth_fitting_is_called_so() -> None:
    """5 Wh a day from 960 Wh lasts far longer than the four days wanted."""
    lamp = ({"name": "lamp", "watts": 5, "hours_per_day": 1, "supply": "dc"},)
    pack = varied("lifting-grp", {"use.loads": lamp})
    assert "not-worth-fitting" in {finding.id for finding in pack.plan.findings}
    worth = block(pack, "energy", "Is it worth it, and how many watts")
    answer = {pair.label: pair.text for pair in worth.pairs}
    assert answer["Solar is worth fitting for the aim"] == "no"
    assert any("not worth fitting" in note for note in worth.notes)


@pytest.mark.parametrize("name", DEMOS)
def test_every_figure_of_the_sheets_is_on_paper(name: str) -> None:
    """Columns that were kept whole on a page once lost their last lines in print."""
    pack = demo(name)
    document = pypdfium2.PdfDocument(io.BytesIO(pack.pdf))
    paper = _bare("".join(page.get_textpage().get_text_range() for page in document))
    sheets = compose(pack.plan)["sheets"]
    pairs = [p for one in sheets.values() if one for b in one.blocks for p in b.pairs]
    assert len(pairs) > 60
    missing = [pair.label for pair in pairs if _bare(pair.label) not in paper]
    assert not missing


def _bare(text: str) -> str:
    return re.sub(r"[\s\u200b\u00ad\ufffe-]+", "", text)


@pytest.mark.parametrize("portable", [False, True])
@pytest.mark.parametrize(
    ("arrangement", "panels"),
    [("single", 1), ("series", 2), ("series", 4), ("parallel", 2), ("parallel", 4),
     ("two_by_two", 4)],
)  # fmt: skip
def test_every_shape_of_the_schematic_is_readable(
    arrangement: str, panels: int, portable: bool
) -> None:
    """No label lies on another or leaves the frame, with texts as long as they come."""
    roof, short = (21, 22, 23, 24), (29, 30)
    figures = WiringFigures(
        arrangement, panels, array="1200 W · 118.4 V cold · 24.8 A",
        pv_cable="10 mm² (AWG 6) · 12.5 m long · 2.9% lost",
        battery_cable="35 mm² (AWG 1) · 2.5 m long · 1.9% lost", fuse="125 A",
        fuse_kind="block fuse of high breaking capacity", fuse_place="within 178 mm of the post",
        string_fuse="15 A fuse in each string", controller="MPPT (tracking)",
        battery="24 V · 300 Ah", portable=portable,
        ends={"PV+": roof, "PV−": (25, 26, 27, 28), "BAT+": short, "FUSE+": (31, 32),
              "BAT−": (33, 34)},
    )  # fmt: skip
    drawing = ET.fromstring(schematic(figures))  # noqa: S314  - our own drawing
    width, height = (float(n) for n in drawing.attrib["viewBox"].split()[2:])
    found = labels(drawing)
    whole = " ".join(text for text, _, _ in found)
    for said in (figures.fuse_kind, figures.fuse_place, figures.string_fuse, figures.pv_cable):
        assert said in whole
    for text, box, _ in found:
        assert box.within(Box(0, 0, width, height)), text
    for (one, a, _), (other, b, _) in combinations(found, 2):
        assert not a.meets(b), (one, other)
