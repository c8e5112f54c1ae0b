"""Resistance, drop and current against IEC 60228, small-craft standards and wiring codes."""

from __future__ import annotations

import math

import pytest

from planner.engineering.cable_choice import CableRun, choose_cable
from planner.engineering.cables import (
    BunchingFactor,
    Conductor,
    american_area_mm2,
    american_size_to_buy,
    bunching_factor,
    capacity_a,
    loop_drop_v,
    resistance_ohm_per_km,
)
from planner.errors import OutOfRangeError
from planner.rulebase.load import built_in

# IEC 60228 class 5, largest d.c. resistance at 20 °C, tinned [Ω/km]. The standard itself was not
# read: three pages that restate it (a cable trader's, an engineering site's, a maker's extract of
# DIN VDE 0295) agree in every row from 1 to 50 mm², read 2026.
TINNED = {
    1: 20.0, 1.5: 13.7, 2.5: 8.21, 4: 5.09, 6: 3.39, 10: 1.95, 16: 1.24, 25: 0.795, 35: 0.565,
}  # fmt: skip
# ABYC E-11 / 33 CFR 183.425, 105 °C insulation: at 30 °C, and inside an engine space (50 °C).
ABYC = {18: (20, 17), 16: (25, 21), 14: (35, 30), 12: (45, 38), 10: (60, 51), 8: (80, 68),
        6: (120, 102), 4: (160, 136), 2: (210, 178)}  # fmt: skip
# SAE conductor areas [circular mils]; 1 cmil = 5.067e-4 mm².
SAE_CMIL = {18: 1537, 16: 2336, 12: 5833, 10: 9343}
BUNCHING = (
    BunchingFactor(2, 1.0),
    BunchingFactor(3, 0.70),
    BunchingFactor(6, 0.60),
    BunchingFactor(24, 0.50),
)


def test_the_shipped_table_holds_the_published_rows() -> None:
    """Resistance of each section, and the current of the American size that it borrows.

    Sources: IEC 60228 class 5, tinned, three pages that agree, as above (50 mm²: 0.393 Ω/km);
    ABYC E-11 / 33 CFR 183.425, 105 °C, 30 °C (AWG 1: 245 A), restated on two secondary pages.
    """
    rows = built_in().tables["conductors"].rows
    published = {**TINNED, 50: 0.393}
    assert {row["section_mm2"]: row["r20_ohm_per_km"] for row in rows} == published
    currents = {**{size: amps for size, (amps, _) in ABYC.items()}, 1: 245}
    for row in rows:
        assert row["table_a"] == currents[int(row["awg"])]


@pytest.mark.parametrize(
    ("copper_c", "factor"),
    [(5, 1.064), (10, 1.042), (15, 1.020), (20, 1.0), (25, 0.980), (30, 0.962), (40, 0.926),
     (50, 0.893), (60, 0.862), (70, 0.833), (90, 0.781)],
)  # fmt: skip
def test_temperature_law_agrees_with_iec_60228(copper_c: int, factor: float) -> None:
    """A resistance measured at t, times the annex's factor, gives back the 20 °C value.

    Source: IEC 60228, annex, restated on the trader's page, each row read 2026. It
    rounds 0.00393 to 0.004, which makes 0.4 % at 90 °C; its third decimal adds 0.06 %.
    """
    warm = resistance_ohm_per_km(r20_ohm_per_km=1.0, copper_c=copper_c)
    assert warm * factor == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize(
    ("section", "current_a", "drop_v"), [(4, 10, 0.61), (6, 20, 0.81), (10, 20, 0.47)]
)
def test_five_metres_by_hand(section: float, current_a: float, drop_v: float) -> None:
    """5 m one way, tinned class 5 at 70 °C, worked by hand from the rows of IEC 60228.

    Example: 4 mm²: 2 x 10 A x 5 m x 5.09 x (1 + 0.00393 x 50) / 1000 = 0.609 V.
    """
    ohm = resistance_ohm_per_km(r20_ohm_per_km=TINNED[section], copper_c=70)
    drop = loop_drop_v(current_a=current_a, length_m=5, ohm_per_km=ohm)
    assert drop == pytest.approx(drop_v, abs=0.005)


def test_small_craft_formula_is_a_lower_bound() -> None:
    """The formula of ISO 10133 (now ISO 13297), E = 0.0164 I L / S, is kinder than real cable.

    Source: ISO 10133 annex, restated on a secondary page: 10 A, 10 m in all, 6 mm²: 0.273 V.
    Ratio: class 5 tinned 6 mm² has R·S = 0.0203, so ours is 1.24 times at 20 °C.
    """
    iso_v = 0.0164 * 10 * 10 / 6
    ours = loop_drop_v(current_a=10, length_m=5, ohm_per_km=TINNED[6])
    assert iso_v == pytest.approx(0.273, abs=0.001)
    assert ours / iso_v == pytest.approx(TINNED[6] * 6 / 1000 / 0.0164, rel=1e-9)
    assert 1.15 < ours / iso_v < 1.30


@pytest.mark.parametrize(("limit", "awg"), [(3.0, "10"), (10.0, "16")])
def test_small_craft_table_example(limit: float, awg: str) -> None:
    """12 V, 10 A, 21 ft out and back: 10 AWG at 3 %, 16 AWG at 10 %.

    Source: ABYC E-11 sizing tables, restated on a secondary page. Resistance of each size from
    its SAE area with the table's own 10.75 Ω·cmil/ft, so that only our choice is under test.
    """
    rows = [
        Conductor(cmil * 5.067e-4, str(size), 10.75 / cmil * 1000 / 0.3048, 60.0)
        for size, cmil in SAE_CMIL.items()
    ]
    run = CableRun(
        length_m=21 * 0.3048 / 2,
        current_a=10,
        system_v=12,
        drop_limit_percent=limit,
        required_a=10,
        ambient_c=30,
        copper_c=20,
    )
    chosen = choose_cable(run=run, conductors=rows, bunching=BUNCHING).chosen
    assert chosen is not None
    assert chosen.awg == awg


def test_textbook_section_example() -> None:
    """25 W at 12 V, 2.1 A, 18 m one way, 5 %: 2.5 mm².

    Source: textbook form S = 2 L I / (56 ΔU), restated on a secondary page, which chooses
    2.5 mm². Resistance as that page takes it, 1000 / (56 S) Ω/km.
    """
    rows = [Conductor(size, "", 1000 / (56 * size), 50.0) for size in (1.5, 2.5, 4.0)]
    run = CableRun(18, 2.1, 12, 5.0, 2.1, ambient_c=30, copper_c=20)
    chosen = choose_cable(run=run, conductors=rows, bunching=BUNCHING).chosen
    assert chosen is not None
    assert chosen.section_mm2 == 2.5


@pytest.mark.parametrize(("awg", "amps"), ABYC.items())
def test_engine_space_rows(awg: int, amps: tuple[int, int]) -> None:
    """The rows for an engine space at 50 °C follow from those at 30 °C.

    Source: ABYC E-11 / 33 CFR 183.425, restated on two secondary pages. The table uses 0.85
    where the law gives 0.856, and drops the part of an amp: 0.75 % and one amp.
    """
    hot = capacity_a(table_a=amps[0], insulation_c=105, ambient_c=50)
    assert hot == pytest.approx(amps[1], abs=1 + 0.0075 * amps[1])
    assert awg in ABYC


@pytest.mark.parametrize(("count", "amps"), [(3, 42), (5, 36), (10, 30)])
def test_bunched_ten_awg(count: int, amps: int) -> None:
    """10 AWG carries 60 A alone and 42, 36, 30 A in bundles.

    Source: ABYC E-11, restated on a secondary page.
    """
    factor = bunching_factor(loaded_conductors=count, table=BUNCHING)
    assert capacity_a(
        table_a=60, insulation_c=105, ambient_c=30, bunching=factor
    ) == pytest.approx(amps)


@pytest.mark.parametrize(("insulation_c", "published"), [(90, 0.71), (105, 0.77)])
def test_ambient_factor_at_60_degrees(insulation_c: int, published: float) -> None:
    """Cables lose this much between 30 °C and 60 °C air.

    Source: Canadian Electrical Code, Table 5A, restated in a public source file; two decimals.
    """
    hot = capacity_a(table_a=100, insulation_c=insulation_c, ambient_c=60)
    mild = capacity_a(table_a=100, insulation_c=insulation_c, ambient_c=30)
    assert hot / mild == pytest.approx(published, abs=0.006)


@pytest.mark.parametrize(
    ("ambient_c", "published"), [(30, 1.0), (35, 0.94), (40, 0.87), (45, 0.79), (50, 0.71)]
)
def test_ambient_factor_of_70_degree_cable(ambient_c: int, published: float) -> None:
    """Source: BS 7671 ambient factors, 70 °C insulation, restated on a secondary page."""
    hot = capacity_a(table_a=100, insulation_c=70, ambient_c=ambient_c)
    mild = capacity_a(table_a=100, insulation_c=70, ambient_c=30)
    assert hot / mild == pytest.approx(published, abs=0.006)


@pytest.mark.parametrize(
    ("insulation_c", "published"),
    [
        (70, {1.5: 20, 2.5: 27, 4: 37, 6: 47, 10: 65, 16: 87, 25: 114, 35: 141}),
        (90, {1.5: 25, 2.5: 34, 4: 46, 6: 59, 10: 81, 16: 109, 25: 143, 35: 176}),
    ],
)
def test_cooler_insulation_agrees_with_house_wiring(
    insulation_c: int, published: dict[float, int]
) -> None:
    """Scaled from 105 °C, the small-craft rows stay near or under those for 70 and 90 °C.

    Source: BS 7671 Tables 4D1A and 4E1A, method C, restated on a secondary page. Loose cable in
    air (the small-craft case) sheds more heat than cable on masonry, and the two tables come from
    different bodies: within a fifth above 10 mm², not over the table by more than 3 % up to it.
    """
    rows = {1.5: 25, 2.5: 35, 4: 45, 6: 60, 10: 80, 16: 120, 25: 160, 35: 210}
    for section, amps in rows.items():
        ours = capacity_a(table_a=amps, insulation_c=insulation_c, ambient_c=30)
        most = 1.03 if section <= 10 else 1.20
        assert 0.75 * published[section] <= ours <= most * published[section]


@pytest.mark.parametrize(
    ("section", "awg"), [(1, 18), (1.5, 16), (2.5, 14), (4, 12), (6, 10), (10, 8), (16, 6), (25, 4)]
)
def test_metric_sections_take_the_next_smaller_american_size(section: float, awg: int) -> None:
    """A metric section is at least as thick as the American size whose current it borrows.

    Source: ASTM B258 diameter d = 0.127 mm x 92^((36 - n)/39), from memory; and the next size up
    would be too thick, so no current is given away beyond one step.
    """
    assert _b258_mm2(awg) <= section < _b258_mm2(awg - 2)


def _b258_mm2(size: int) -> float:
    """Return the area by the standard's own definition, apart from the code under test."""
    diameter_mm = 0.127 * math.pow(92, (36 - size) / 39)
    return math.pi / 4 * diameter_mm**2


#: Copper of solid wire as printed beside the sizes in handbooks [mm²].
PUBLISHED_MM2 = {
    18: 0.823, 16: 1.31, 14: 2.08, 12: 3.31, 10: 5.26, 8: 8.37, 6: 13.3, 4: 21.2, 2: 33.6,
    1: 42.4, 0: 53.5, -1: 67.4, -2: 85.0, -3: 107.0,
}  # fmt: skip


@pytest.mark.parametrize(("gauge", "area_mm2"), PUBLISHED_MM2.items())
def test_american_areas(gauge: int, area_mm2: float) -> None:
    """Source: ASTM B258 table of areas, from memory; three figures are printed, so 0.5 %."""
    assert american_area_mm2(gauge=gauge) == pytest.approx(area_mm2, rel=0.005)
    assert american_area_mm2(gauge=gauge) == pytest.approx(_b258_mm2(gauge))


@pytest.mark.parametrize(
    ("gauge", "printed_mm2"),
    [(18, 0.8), (16, 1), (14, 2), (12, 3), (10, 5), (8, 8), (6, 13), (4, 21), (2, 34)],
)
def test_american_areas_as_the_current_table_prints_them(gauge: int, printed_mm2: float) -> None:
    """Source: areas printed beside ABYC E-11's currents, restated on a secondary page; rounded."""
    digits = 1 if gauge == 18 else 0
    assert round(american_area_mm2(gauge=gauge), digits) == printed_mm2


@pytest.mark.parametrize(
    ("section", "printed", "gauge"),
    [
        (1.0, "16", 16),
        (1.5, "14", 14),
        (2.5, "12", 12),
        (4.0, "10", 10),
        (6.0, "8", 8),
        (10.0, "6", 6),
        (16.0, "4", 4),
        (25.0, "2", 2),
        (35.0, "1", 1),
        (50.0, "1/0", 0),
        (70.0, "3/0", -2),
    ],
)
def test_american_size_to_buy_is_never_thinner(section: float, printed: str, gauge: int) -> None:
    """What is bought instead of a metric section has at least its copper, and no size to spare.

    Source: ASTM B258 areas, from memory; sizes that are sold: common practice, no source.
    """
    assert american_size_to_buy(section_mm2=section) == printed
    assert PUBLISHED_MM2[gauge] >= section
    thinner = [area for area in PUBLISHED_MM2.values() if area < PUBLISHED_MM2[gauge]]
    assert max(thinner) < section


def test_every_section_of_the_rules_has_a_size_to_buy() -> None:
    """The table's own American size is for the current only; what is bought is thicker."""
    rows = built_in().tables["conductors"].rows
    assert len(rows) >= 10
    for row in rows:
        bought = american_size_to_buy(section_mm2=row["section_mm2"])
        gauge = 1 - int(bought[0]) if bought.endswith("/0") else int(bought)
        assert _b258_mm2(gauge) >= row["section_mm2"] > _b258_mm2(int(row["awg"]) + 2)


@pytest.mark.parametrize("section", [0.0, -4.0, 120.0, math.nan])
def test_no_american_size_for_what_is_no_section(section: float) -> None:
    """Refused, and the argument is named."""
    with pytest.raises(OutOfRangeError, match="section_mm2"):
        american_size_to_buy(section_mm2=section)
