"""What a shop's own layer puts on its packs: departures, sign-off, picture, wording, reasons."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from planner import paths
from planner.job.file import Job, read_job
from planner.pack.documents import Documents, documents
from planner.pack.parts.reasons import chains
from planner.plan.make import make_plan
from planner.plan.model import Plan
from planner.rulebase.load import built_in
from planner.shop.standard import rules_for

LAYER = Path(__file__).parent / "layer"
OWN = """\
<section class="part part-materials"><h2>{{ section.number }} Parts at Fennmoor Sidings</h2>
<ol>{% for row in materials.materials.rows %}<li>{{ row[0] }}</li>{% endfor %}</ol></section>
"""


def planned(folder: Path) -> Plan:
    """Return the plan of a demo job by a shop's rules."""
    base = rules_for(None, [folder])
    given = read_job(paths.DEMOS / "lifting-grp.yaml", built_in()).answers
    kept = {name: value for name, value in given.items() if name not in base.fixed}
    return make_plan(Job("lifting", kept), base, every_fact=True)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Return the plan by the sample layer."""
    return planned(LAYER)


@pytest.fixture(scope="module")
def pack(plan: Plan) -> Documents:
    """Return the pack by the sample layer."""
    return documents(plan)


def test_every_departure_stands_in_the_pack_with_its_reason(plan: Plan, pack: Documents) -> None:
    """Changed, withdrawn and answered rules alike, in both texts."""
    assert len(plan.departures) >= 10 + 1 + 6
    for one in plan.departures:
        assert one.because in pack.html
    assert "steps: check chargers: withdrawn" in pack.markdown
    assert "commissioning sheet" in pack.markdown


def test_the_shop_signs_its_own_lines_under_its_own_picture(pack: Documents) -> None:
    """The three lines of the layer, and its logo inside the page."""
    for line in ("Second fitter", "Whoever hands over"):
        assert line in pack.html
        assert line in pack.markdown
    assert pack.html.count("data:image/svg+xml;base64,") == 1


def test_layers_are_named_with_version_day_approver_and_digest(plan: Plan, pack: Documents) -> None:
    """So that a pack says by which rules it was made."""
    layer = plan.layers[1]
    for text in (layer.name, layer.version, layer.date, layer.digest):
        assert text in pack.html


def test_a_section_in_the_shops_own_words_takes_the_place_of_ours(tmp_path: Path) -> None:
    """The list of materials, worded by the shop and told as a departure; all else stays."""
    shutil.copytree(LAYER, tmp_path / "ours")
    parts = tmp_path / "ours" / "templates" / "parts"
    parts.mkdir(parents=True)
    (parts / "materials.html.j2").write_text(OWN)
    html = documents(planned(tmp_path / "ours")).html
    assert "Parts at Fennmoor Sidings</h2>" in html
    assert "<li>Solar cable</li>" in html
    assert "Everything is named by class." not in html
    assert "sections: materials: worded by this layer" in html
    assert "Method statement" in html


def test_each_decision_tells_what_it_was_taken_from(plan: Plan, pack: Documents) -> None:
    """The recorded reads of every decision, each figure behind them told once."""
    found = chains(plan)
    told = [what for chain in found for what, _ in chain.rows]
    assert len(told) == len(set(told))
    mount = next(chain for chain in found if chain.title.startswith("Way of holding the panel:"))
    reads = plan.facts["mount.method"].reads
    shown = [plan.facts[name] for name in reads if plan.facts[name].value is not None]
    assert all(fact.label in mount.rows[0][1] for fact in shown)
    assert any(what.startswith("Factor on cure times:") for what, _ in mount.rows)
    for chain in found:
        assert chain.title in pack.html
        assert f"**{chain.title}**" in pack.markdown.replace("\\", "")
