"""Words of the pack: names shown as typed, units beside each other, short forms, CSV, phases."""

from __future__ import annotations

import csv
import io
import re

import pytest
from msgspec.structs import replace

from planner.errors import InputError
from planner.pack.bom import bom_csv
from planner.pack.compose import compose
from planner.pack.documents import documents
from planner.pack.imperial import beside, inches
from planner.pack.outline import INTERNAL
from planner.pack.sequence import entries
from planner.plan.model import Layer
from planner.rulebase.base import House

from .packs import DEMOS, HOSTILE, demo, hostile, varied


@pytest.mark.parametrize("index", range(len(HOSTILE)))
def test_hostile_names_are_escaped_and_never_run(index: int) -> None:
    """One script stands in the page, ours; no picture, no link, no template result."""
    html = hostile(index).documents.html
    assert html.count("<script") == 1
    assert "<img" not in html
    assert not re.search(r'(?:src|href)="(?!#|data:)', html)
    assert not re.search(r"\son\w+=", re.sub(r"<script>.*</script>|<style>.*?</style>", "", html,
                                             flags=re.DOTALL).replace("&#34;", '"')
                         .replace("onerror=alert(2)", ""))
    assert "\u202e" not in html


def test_template_syntax_in_a_name_is_shown_as_typed() -> None:
    """A name is data: it is never filled a second time."""
    found = hostile(1).documents
    assert "{{ 7 * 7 }} {% for x in y %} ${7*7} #{7*7}" in found.html
    assert "{{ 7 \\* 7 }}" in found.markdown


def test_markup_in_a_name_stays_text_in_markdown() -> None:
    """Markdown shows it as typed: neither HTML nor emphasis nor a link."""
    text = hostile(4).documents.markdown
    assert "&lt;b&gt;co&lt;/b&gt;" in text
    assert r"\*bold\*" in text
    assert r"\[a\](http" in text


@pytest.mark.parametrize("index", range(len(HOSTILE)))
def test_no_cell_of_the_csv_is_a_formula(index: int) -> None:
    """A spreadsheet runs what begins with =, +, - or @: OWASP, CSV Injection."""
    rows = list(csv.reader(io.StringIO(bom_csv(hostile(index).plan))))
    assert len({len(row) for row in rows}) == 1
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)


def test_a_formula_in_an_item_is_shown_and_not_run() -> None:
    """Labels of a shop's own rules pass through the same gate as everything typed."""
    plan = demo(DEMOS[0]).plan
    item = replace(plan.materials[0], label="=1+1", spec="+2", note="@x", unit="-3")
    text = bom_csv(replace(plan, materials=(item,)))
    assert {"'=1+1", "'+2", "'@x", "'-3"} <= set(list(csv.reader(io.StringIO(text)))[1])


def test_inches_stand_beside_millimetres() -> None:
    """One inch is 25.4 mm exactly: International yard and pound agreement, 1959.

    1995 / 25.4 = 78.543 in = 6 ft 6.543 in; 0.543 × 16 = 8.7, so 9/16. 12.5 kg / 0.45359237 =
    27.56 lb. 80 km/h / 1.609344 = 49.7 mph. 5 N·m / 0.1129848 = 44.3 lbf·in. 20 °C = 68 °F.
    """
    assert inches(1995) == "6 ft 6 9/16 in"
    assert inches(25.4 * 3 / 16) == "3/16 in"
    assert beside("12.5 kg") == "12.5 kg (27.6 lb)"
    assert beside("80 km/h") == "80 km/h (50 mph)"
    assert beside("5 N·m") == "5 N·m (44 lbf·in)"
    assert beside("20 °C") == "20 °C (68 °F)"
    assert beside("−15 °C") == "−15 °C (5 °F)"


@pytest.mark.parametrize("text", ["4 mm²", "0.05 N/mm²", "6 m/s", "1480 × 670 mm", "3 mm/m"])
def test_what_has_no_plain_imperial_figure_is_left_alone(text: str) -> None:
    """Sections, pressures, speeds of wind and products of lengths."""
    assert beside(text) == text


def test_the_job_says_which_units() -> None:
    """Metric alone, or imperial beside it, and then everywhere."""
    metric = varied(DEMOS[0], {"job.units": "metric"}).documents
    both = varied(DEMOS[0], {"job.units": "both"}).documents
    assert not re.search(r"\d (?:in|lb|mph|ft)\b", metric.markdown)
    assert len(re.findall(r"\d (?:in|lb|mph|ft)\b", both.markdown)) > 100


def test_the_customer_sees_no_prices_notes_or_working_papers() -> None:
    """What a shop keeps for itself is not in the customer's copy."""
    plan = demo(DEMOS[0]).plan
    item = replace(plan.materials[0], note="ask Rowan for trade terms", price=77.77, cost=155.54,
                   part_number="KX-1")
    plan = replace(plan, materials=(item, *plan.materials[1:]))
    whole, customer = documents(plan), documents(plan, customer=True)
    for secret in ("trade terms", "77.77", "155.54", "KX-1"):
        assert secret in whole.html
        assert secret not in customer.html
        assert secret not in documents(plan, only="materials", customer=True).html
    shown = {section.id for section in compose(plan, customer=True)["sections"]}
    assert not shown & INTERNAL
    assert {"findings", "decisions", "energy", "wiring", "card", "limits"} <= shown


@pytest.mark.parametrize("name", DEMOS)
def test_no_step_put_in_for_a_need_has_a_phase_of_its_own(name: str) -> None:
    """It stands under the phase of the work around it, so that headings do not alternate."""
    plan = demo(name).plan
    own = {plan.texts[s.move.task].phase for s in plan.timetable
           if s.move.kind == "enabling" and s.move.task in plan.texts}
    assert own
    assert not {entry.phase for entry in entries(plan)} & own


@pytest.mark.parametrize("name", DEMOS)
def test_a_cure_that_other_work_has_filled_is_no_wait(name: str) -> None:
    """Nobody is told to wait for what is long past; every other wait ends when work begins."""
    pieces = [one for group in compose(demo(name).plan)["method"] for one in group.before]
    past = [piece for piece in pieces if piece.kind == "past"]
    waits = [piece for piece in pieces if piece.kind == "wait"]
    assert past
    assert waits
    assert all(piece.hours > 0 for piece in waits)


def test_every_hazard_named_at_a_step_is_in_the_risk_assessment() -> None:
    """Codes at the steps and in the table are the same ones."""
    found = compose(demo(DEMOS[0]).plan)
    codes = {hazard.code for hazard in found["risk"]}
    named = {
        code
        for group in found["method"]
        for text in group.step.hazards
        for code in re.findall(r"\((H\d+)", text)
    }
    assert named
    assert named <= codes


def test_a_shop_s_template_takes_the_place_of_ours_and_can_only_print() -> None:
    """The shop words a section itself; a template that reaches for more is an error, not a hole."""
    plan = demo(DEMOS[0]).plan
    own = {"parts/limits.html.j2": "<h2 id='limits'>Ours: {{ meta.title }}</h2>"}
    assert "<h2 id='limits'>Ours: Invented" in documents(
        replace(plan, house=House(templates=own))
    ).html
    for bad in ("{{ nothing }}", "{{ meta.__class__.__mro__ }}"):
        house = House(templates={"parts/limits.html.j2": bad})
        with pytest.raises(InputError, match="a shop's own template cannot be filled"):
            _ = documents(replace(plan, house=house)).html


def test_layers_are_named_with_version_and_approval() -> None:
    """Whoever holds the pack sees which rules made it."""
    plan = demo(DEMOS[0]).plan
    layer = Layer("our shop", "4.2", "abc", "2026-01-01", "R. Hollis")
    text = documents(replace(plan, layers=(*plan.layers, layer))).html
    for part in ("our shop", "4.2", "R. Hollis"):
        assert part in text


@pytest.mark.parametrize("name", DEMOS)
def test_no_slot_is_left_unfilled(name: str) -> None:
    """A step left out may name figures that the job does not have: they are left open."""
    assert not re.search(r"\{[a-z_\\]+\.[a-z_\\]+", demo(name).documents.markdown)


def test_the_customer_signs_for_nothing_that_only_the_shop_can_know() -> None:
    """The copy holds neither readings nor hold points, so nobody signs that they were kept."""
    plan = demo(DEMOS[0]).plan
    ours, theirs = (" ".join(compose(plan, customer=copy)["signoff"]) for copy in (False, True))
    for known_to_the_shop in ("hold point", "reading", "Risk assessment"):
        assert known_to_the_shop in ours
        assert known_to_the_shop not in theirs
    assert "height" in theirs


@pytest.mark.parametrize(("name", "moving"), [("lifting-grp", True), ("high-roof-steel", False)])
def test_a_fixed_roof_has_no_words_for_a_moving_one(name: str, moving: bool) -> None:
    """Titles and cautions speak of the roof that the van has."""
    pack = demo(name)
    titles = " ".join(section.title for section in compose(pack.plan)["sections"])
    assert ("moving cable" in titles) is moving
    assert ("raised roof is held by props" in pack.documents.html) is moving
