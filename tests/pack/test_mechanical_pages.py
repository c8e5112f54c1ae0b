"""The mechanical pages say what a fitter needs: read from the finished packs of the demos.

Expected figures are worked by hand from the job files, or read from plan facts that tests/published
checks against outside sources; here only their way onto paper is tested.
"""

from __future__ import annotations

import math

import pytest

from planner.pack.blocks import Block, Sheet, Table
from planner.pack.facts import Facts
from planner.pack.parts import energy, mounting, panels, technical
from tests.pack.packs import DEMOS, Pack, demo, varied

NBSP = "\N{NO-BREAK SPACE}"


def facts_of(pack: Pack) -> Facts:
    """Return the facts of a pack as its pages read them."""
    return Facts(pack.plan.facts, pack.plan.decisions)


def sheet(name: str, id_: str) -> Sheet:
    """Return one technical sheet of a demo."""
    found = technical.SHEETS[id_](facts_of(demo(name)))
    assert found is not None
    return found


def block(found: Sheet, title: str) -> Block:
    """Return a block by its title."""
    return next(one for one in found.blocks if one.title == title)


def pairs(found: Block) -> dict[str, str]:
    """Return labels and texts of a block, with plain spaces."""
    return {pair.label: pair.text.replace(NBSP, " ") for pair in found.pairs}


def column(table: Table, head: str) -> list[str]:
    """Return the cells of a column."""
    at = table.head.index(head)
    return [row[at] for row in table.rows]


@pytest.mark.parametrize("name", DEMOS)
def test_every_mount_stands_in_the_table_with_its_verdict(name: str) -> None:
    """As many rows as the facts have; one is chosen; whatever is ruled out says why."""
    table = block(sheet(name, "fixings"), "Every mount compared").tables[0]
    assert len(table.rows) == len(facts_of(demo(name)).rows("mounts.rows"))
    verdicts = column(table, "Verdict")
    assert verdicts.count("chosen") == 1
    assert all(verdict.partition(": ")[2] for verdict in verdicts if "ruled out" in verdict)
    assert {"Holes", "Mass [kg]", "Top [mm]", "Sealant [ml]", "First drive after [h]",
            "Comes off", "Weakest part, used"} <= set(table.head)


@pytest.mark.parametrize("name", DEMOS)
def test_each_load_names_the_part_that_gives_first(name: str) -> None:
    """Air, braking and cornering by themselves; none uses more than all of them together."""
    facts = facts_of(demo(name))
    table = next(t for t in block(sheet(name, "fixings"), "Loads and strength").tables
                 if t.caption == "Which part gives first")
    loads = column(table, "Load")
    assert [any(load.startswith(word) for load in loads)
            for word in ("air at 180 km/h", "braking, 1 g", "cornering, 0.7 g")] == [True] * 3
    assert all(column(table, "Part that gives first"))
    most = max(int(used) for used in column(table, "Used [%]"))
    assert most == math.ceil(facts.number("mount.utilisation_percent"))


def test_braking_and_cornering_by_hand() -> None:
    """11.8 kg at 1 g is 115.7 N, at 0.7 g 81.002 N, each to the next newton above.

    g = 9.80665 m/s² (ISO 80000-3, from memory).
    """
    table = next(t for t in block(sheet("lifting-grp", "fixings"), "Loads and strength").tables
                 if t.caption == "Which part gives first")
    forces = dict(zip(column(table, "Load"), column(table, "On one panel [N]"), strict=True))
    assert forces["braking, 1 g"] == str(math.ceil(11.8 * 9.80665))
    assert forces["cornering, 0.7 g"] == str(math.ceil(11.8 * 9.80665 * 0.7))


@pytest.mark.parametrize("name", DEMOS)
def test_every_joint_has_product_bead_and_times(name: str) -> None:
    """Each row is full; what carries load cures longest; the surface's preparation is told."""
    found = block(sheet(name, "sealing"), "Joints")
    table = found.tables[0]
    assert "isopropanol" in found.notes[0]
    assert all(cell not in ("", "—") for row in table.rows for cell in row)
    cured = dict(zip(column(table, "Joint"), map(float, column(table, "Cured [h]")), strict=True))
    assert max(cured.values()) == cured.get("Mount bonded to the roof", max(cured.values()))
    assert "Cable entry" in cured


@pytest.mark.parametrize("name", DEMOS)
def test_the_gate_prints_dew_point_margin_and_limit(name: str) -> None:
    """The margin is what it says: temperature of the roof less dew point."""
    facts = facts_of(demo(name))
    found = pairs(block(sheet(name, "sealing"), "Weather gate and cure"))
    assert {"Dew point", "Roof above the dew point", "Surface above the dew point by at least"} <= (
        set(found))
    margin = facts.number("site.surface_c") - facts.number("air.dew_point_c")
    assert facts.number("air.dew_margin_k") == pytest.approx(margin)


def test_the_lifting_roof_prints_limit_arm_and_holding_test() -> None:
    """16.1 kg of 25 kg is 65 %; the test names load, time and force."""
    found = block(sheet("lifting-grp", "van"), "Lifting roof")
    told = pairs(found)
    assert told["Of the maker's limit used"].startswith("65")
    assert "Middle of the panels from the hinge" in told
    assert "The same if the panels lay right at the hinge" in told
    note = found.notes[0].replace(NBSP, " ")
    for word in ("25.0 kg", "10 min", "200 N", "latches as before"):
        assert word in note


def test_an_unknown_limit_says_whom_to_ask() -> None:
    """Without the maker's limit the page names who knows it."""
    pack = varied("lifting-grp", {"lift.rated_extra_kg": "unknown"})
    found = technical.van(facts_of(pack))
    assert found is not None
    assert "ask the maker of the lifting roof" in block(found, "Lifting roof").notes[-1]


def test_a_level_lift_prints_its_arms() -> None:
    """The panel lies in the middle: four equal shares, half of the mass on each pair of arms."""
    told = pairs(block(sheet("aluminium-lift-flex", "van"), "Lifting roof"))
    arms = told["Added mass on the arms"]
    assert [part.split()[0] for part in arms.split(", ")] == ["front", "rear", "left", "right"]
    facts = facts_of(demo("aluminium-lift-flex"))
    quarter = facts.number("lift.added_kg") / 4
    assert facts.number("lift.corner_kg") == pytest.approx(quarter, rel=0.02)
    assert facts.number("lift.corner_limit_kg") == 5  # 20 kg may be added: a quarter a corner


@pytest.mark.parametrize(("name", "heads"), [("lifting-grp", 3), ("high-roof-steel", 2)])
def test_sightlines_stand_side_by_side_shut_and_open(name: str, heads: int) -> None:
    """Four sides, a column for each position of the roof."""
    table = block(sheet(name, "van"), "Seen from the ground").tables[0]
    assert len(table.head) == heads
    assert column(table, "Seen from") == ["Front", "Rear", "Left", "Right"]


@pytest.mark.parametrize("name", DEMOS)
def test_axle_shares_add_up_to_what_the_job_adds(name: str) -> None:
    """Front and rear together are the mass added."""
    facts = facts_of(demo(name))
    whole = facts.number("mass.front_kg") + facts.number("mass.rear_kg")
    assert whole == pytest.approx(facts.number("mass.added_kg"))
    assert "Added mass on the front axle" in pairs(block(sheet(name, "van"), "Height and mass"))


def test_candidates_say_what_a_further_watt_weighs() -> None:
    """From 175 W and 11.8 kg to 200 W and 13.6 kg: 1.8 kg for 25 W is 72 g a watt."""
    found = panels.compared(facts_of(demo("lifting-grp")))
    table = found.tables[0]
    added = dict(zip(column(table, "Name"), column(table, "g per added W"), strict=True))
    assert added["wide 200 W glass panel"] == "72"
    assert math.isclose((13.6 - 11.8) * 1000 / 25, 72)
    assert any(note.startswith("Why not: 410 W house panel") for note in found.notes)
    assert "W per m²" in table.head


def test_ranked_places_say_what_costs_points() -> None:
    """Best first, each with its reason; the notes add up the points of the best."""
    found = panels.places(facts_of(demo("lifting-grp")))
    points = [float(cell) for cell in column(found.tables[0], "Points")]
    assert points == sorted(points, reverse=True)
    assert all(column(found.tables[0], "What costs points"))
    assert "of 40 points" in found.notes[0]


def test_two_panels_stand_in_line_and_the_page_says_so() -> None:
    """The steel roof's rooflight parts them: same way round, edges in line, the gap in words."""
    rows = facts_of(demo("high-roof-steel")).rows("place.panels")
    assert len({row["turned"] for row in rows}) == 1
    assert len({row["y_mm"] for row in rows}) == 1
    note = panels.places(facts_of(demo("high-roof-steel"))).notes[0]
    assert "Same way round, edges in line, with equal gaps of 600" in note


def test_nothing_fits_prints_why_and_the_free_rectangles() -> None:
    """Words, the margin that would fit, and the largest rectangle on the drawing."""
    pack = varied("lifting-grp", {"roof.edge_margin_mm": 300})
    facts = facts_of(pack)
    found = panels.places(facts)
    assert found.title == "Why the panels do not fit"
    assert "255 mm" in found.notes[0].replace(NBSP, " ")
    assert found.tables[0].caption == "Largest free rectangles of the roof"
    setting = technical.setting_out(facts)
    assert setting is not None
    assert "free: 1510 × 580" in block(setting, "Roof plan").figures[0].svg


def test_a_section_names_head_and_nut() -> None:
    """Every part of the fixing is labelled, those that the stack does not list as well."""
    drawing = block(sheet("lifting-grp", "fixings"), "One fixing").figures[0].svg
    for part in ("head of the M6 bolt", "M6 locking nut", "roof skin", "plate", "sealant bed"):
        assert part in drawing


def test_bars_without_an_uplift_rating_are_counted_by_half() -> None:
    """Bars rated 400 kg: 200 kg against 2278 N of uplift, 232.3 kg: 116.1 %, printed upwards."""
    pack = varied("lifting-grp", {"roof.bars": "rated", "roof.bars_rated_kg": 400})
    table = mounting.fixings(facts_of(pack))
    assert table is not None
    rows = block(table, "Every mount compared").tables[0].rows
    bars = next(row for row in rows if row[0] == "Clamps on roof bars")
    assert "117 % roof bars, uplift" in bars
    assert bars[-1].startswith("ruled out: The bars would be used to 117")


@pytest.mark.parametrize("name", DEMOS)
def test_days_off_grid_are_printed_as_finely_as_they_are_known(name: str) -> None:
    """From ten days up no tenths, and the end of the simulation is no promise: common practice.

    The figures are those of the plan, downwards: 53.97 d is 53 d, 60 d simulated "60 d or more".
    """
    facts = facts_of(demo(name))
    for fact in energy.DAYS:
        value, said = facts.number(fact), energy.days_off_grid(facts, fact).replace(NBSP, " ")
        end = " or more" if value >= facts.number("offgrid.horizon_days") else ""
        tenths = math.floor(value * 10 + 1e-6) / 10
        assert said == (f"{value // 1:.0f} d{end}" if value >= 10 else f"{tenths:.1f} d")
        label = facts.pairs(fact)[0].label
        lines = demo(name).documents.markdown.replace(NBSP, " ").splitlines()
        printed = {line for line in lines if line.startswith(f"- {label}: ")}
        assert printed == {f"- {label}: **{said}**"}, "the same wherever it is printed"


@pytest.mark.parametrize("name", DEMOS)
def test_the_holes_are_told_to_be_measured_twice_before_they_are_listed(name: str) -> None:
    """Measured from both edges before drilling (common practice); the note leads its tables."""
    blocks = [one for one in sheet(name, "setting-out").blocks if one.tables]
    assert "from both edges" in blocks[0].lead
    assert blocks[0].lead in demo(name).documents.markdown
    titles = [one.title for one in sheet(name, "setting-out").blocks]
    assert titles.index("Roof plan") < titles.index("Holes from inside")
