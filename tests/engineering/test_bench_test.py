"""The bench table: what must hold, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.bench_test import (
    Label,
    Sky,
    array_reading,
    band,
    bench_reading,
    bench_table,
    meter_ranges,
)
from planner.engineering.panel_in_light import (
    cell_temperature_c,
    expected_isc_a,
    expected_voc_v,
    warm_slope_pct_per_c,
)
from planner.errors import OutOfRangeError

VOLTS: dict[str, Any] = {
    "voc_v": 22.5,
    "voc_pct_per_c": -0.30,
    "current_share": 0.94,
    "irradiance_w_m2": 800.0,
    "cell_c": 40.0,
}
AMPS: dict[str, Any] = {
    "isc_a": 7.0,
    "isc_pct_per_c": 0.05,
    "irradiance_w_m2": 800.0,
    "cell_c": 40.0,
}
LABEL = Label(voc_v=22.5, isc_a=7.0, imp_a=6.6, voc_pct_per_c=-0.30, isc_pct_per_c=0.05)
NAN = float("nan")


def test_label_conditions_give_the_label_back() -> None:
    """At 1000 W/m² and 25 °C the expected readings are the label's."""
    label = {"irradiance_w_m2": 1000.0, "cell_c": 25.0}
    assert expected_voc_v(**VOLTS | label) == pytest.approx(22.5)
    assert expected_isc_a(**AMPS | label) == pytest.approx(7.0)


@given(st.floats(300, 1190), st.floats(1, 10), st.floats(-20, 80), st.floats(1, 10))
def test_more_light_more_volts_more_heat_fewer(
    light: float, more: float, cell_c: float, hotter: float
) -> None:
    """Volts rise with light and fall with heat; amps rise with both."""
    here = VOLTS | {"irradiance_w_m2": light, "cell_c": cell_c}
    bright, hot = {"irradiance_w_m2": light + more}, {"cell_c": cell_c + hotter}
    assert expected_voc_v(**here | bright) > expected_voc_v(**here) > expected_voc_v(**here | hot)
    amps = AMPS | {"irradiance_w_m2": light, "cell_c": cell_c}
    assert expected_isc_a(**amps | bright) > expected_isc_a(**amps)
    assert expected_isc_a(**amps | hot) > expected_isc_a(**amps)


def test_a_hot_sound_panel_is_not_rejected() -> None:
    """At 65 °C a good panel reads about 88 % of its label, inside its band."""
    hot = expected_voc_v(**VOLTS | {"irradiance_w_m2": 1000.0, "cell_c": 65.0})
    limits = band(expected=hot, percent=5)
    assert limits.lowest <= 0.88 * 22.5 <= limits.highest
    assert limits.highest < 22.5 * 0.95


def test_table_has_a_row_a_sky_and_a_column_a_temperature() -> None:
    """Rows and columns keep the order given; each cell is what one reading gives."""
    table = bench_table(
        skies=(Sky("full sun", 1000), Sky("thin cloud", 500)),
        cells_c=(10, 25, 40),
        label=LABEL,
    )
    assert [[cell.cell_c for cell in row] for row in table] == [[10, 25, 40]] * 2
    assert [row[0].sky for row in table] == ["full sun", "thin cloud"]
    centre = table[0][1]
    assert (centre.voc_v.lowest, centre.voc_v.highest) == pytest.approx((21.375, 23.625))
    assert (centre.isc_a.lowest, centre.isc_a.highest) == pytest.approx((6.3, 7.7))


def test_slope_by_hand() -> None:
    """−0.47 − 0.83 x 0.30 + 0.42 x 0.94 = −0.324; a softer knee falls faster."""
    slope = warm_slope_pct_per_c(voc_pct_per_c=-0.30, current_share=0.94)
    assert slope == pytest.approx(-0.3242)
    assert warm_slope_pct_per_c(voc_pct_per_c=-0.30, current_share=0.88) < slope


@given(st.floats(-1, 0), st.floats(0.5, 1))
def test_volts_never_rise_with_heat(label: float, share: float) -> None:
    """Whatever a label says within its range."""
    assert warm_slope_pct_per_c(voc_pct_per_c=label, current_share=share) < 0


def test_panels_joined_by_hand() -> None:
    """Full sun, 25 °C: 22.5 V ± 5 %, 7.0 A ± 10 %.

    Two in series 42.75 to 47.25 V at 6.3 to 7.7 A; two side by side 21.4 to 23.6 V at 12.6 to 15.4.
    """
    one = bench_reading(sky=Sky("", 1000), cell_c=25, label=LABEL)
    volts, amps = array_reading([[one, one]])
    assert (volts.lowest, volts.highest) == pytest.approx((42.75, 47.25))
    assert (amps.lowest, amps.highest) == pytest.approx((6.3, 7.7))
    volts, amps = array_reading([[one], [one]])
    assert (volts.lowest, volts.highest) == pytest.approx((21.375, 23.625))
    assert (amps.lowest, amps.highest) == pytest.approx((12.6, 15.4))
    with pytest.raises(OutOfRangeError, match="strings"):
        array_reading([])


def test_meter_must_read_a_quarter_over_the_label() -> None:
    """7 A asks for 8.75 A."""
    meter = meter_ranges(cold_voc_v=25.5, isc_a=7.0)
    assert (meter.volts_v, meter.amps_a) == (25.5, 8.75)


@pytest.mark.parametrize(
    ("name", "value"),
    [("voc_v", 0.0), ("voc_v", NAN), ("voc_pct_per_c", 0.1), ("voc_pct_per_c", NAN),
     ("current_share", 1.1), ("current_share", NAN),
     ("irradiance_w_m2", 299.0), ("irradiance_w_m2", 1201.0), ("irradiance_w_m2", NAN),
     ("cell_c", -21.0), ("cell_c", 91.0), ("cell_c", NAN)],
)  # fmt: skip
def test_volts_refuse(name: str, value: float) -> None:
    """Each argument of the volts is named."""
    with pytest.raises(OutOfRangeError, match=name):
        expected_voc_v(**VOLTS | {name: value})


@pytest.mark.parametrize(
    ("name", "value"),
    [("isc_a", 0.0), ("isc_pct_per_c", 0.7), ("isc_pct_per_c", NAN), ("irradiance_w_m2", 60.0),
     ("cell_c", NAN)],
)  # fmt: skip
def test_amps_refuse(name: str, value: float) -> None:
    """Each argument of the amps is named."""
    with pytest.raises(OutOfRangeError, match=name):
        expected_isc_a(**AMPS | {name: value})


def test_other_refusals() -> None:
    """Band, meter and cell temperature are guarded."""
    with pytest.raises(OutOfRangeError, match="percent"):
        band(expected=5, percent=NAN)
    with pytest.raises(OutOfRangeError, match="expected"):
        band(expected=0, percent=5)
    with pytest.raises(OutOfRangeError, match="isc_a"):
        meter_ranges(cold_voc_v=25, isc_a=NAN)
    with pytest.raises(OutOfRangeError, match="noct_c"):
        cell_temperature_c(air_c=20, irradiance_w_m2=800, noct_c=20)
