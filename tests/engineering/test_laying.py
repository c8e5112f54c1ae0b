"""The laying gate gives reasons for each verdict and refuses nonsense."""

from __future__ import annotations

import math

import pytest

from planner.engineering.laying import laying_gate
from planner.errors import OutOfRangeError


def test_gate_gives_every_reason_and_the_worst_verdict() -> None:
    """Wet, cold and near the dew point at once."""
    gate = laying_gate(air_c=4, surface_c=4, humidity_pct=95, wet=True)
    assert gate.verdict == "stop"
    assert len(gate.reasons) == 3


def test_a_hot_dry_surface_is_a_caution_then_a_stop() -> None:
    """36 °C wants shade, 41 °C is outside the product."""
    assert laying_gate(air_c=25, surface_c=36, humidity_pct=40).verdict == "caution"
    assert laying_gate(air_c=25, surface_c=41, humidity_pct=40).verdict == "stop"


def test_a_figure_just_outside_is_not_printed_as_the_limit() -> None:
    """Dew point at 20 °C and 50 %: 9.26 °C (Magnus, by hand), so 12.25 °C is 2.99 K above it."""
    near = laying_gate(air_c=20, surface_c=12.25, humidity_pct=50)
    assert near.reasons == ("The surface is 2.9 K above the dew point; it needs 3 K.",)
    cold = laying_gate(air_c=5, surface_c=4.97, humidity_pct=50)
    assert cold.reasons == ("The surface is at 4.9 °C; lay between 5 and 40.",)
    hot = laying_gate(air_c=25, surface_c=40.04, humidity_pct=40)
    assert hot.reasons == ("The surface is at 40.1 °C; lay between 5 and 40.",)


@pytest.mark.parametrize("surface_c", [99.0, -46.0, math.nan])
def test_bad_surface_is_refused_by_name(surface_c: float) -> None:
    """A surface that no roof reaches is named."""
    with pytest.raises(OutOfRangeError, match=r"^surface_c is "):
        laying_gate(air_c=20, surface_c=surface_c, humidity_pct=50)
