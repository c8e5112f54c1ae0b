"""Properties and refusals of the air calculations."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.air import (
    air_density_kg_m3,
    dew_point_c,
    saturation_pressure_hpa,
    vapour_pressure_hpa,
)
from planner.errors import OutOfRangeError


@given(air_c=st.floats(-40, 60), humidity_pct=st.floats(1, 100))
def test_dew_point_is_where_the_vapour_saturates(air_c: float, humidity_pct: float) -> None:
    """Air cooled to its dew point is full."""
    dew = dew_point_c(air_c=air_c, humidity_pct=humidity_pct)
    assert dew <= air_c + 1e-9
    if dew >= -45:
        vapour = vapour_pressure_hpa(air_c=air_c, humidity_pct=humidity_pct)
        assert saturation_pressure_hpa(air_c=dew) == pytest.approx(vapour, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: saturation_pressure_hpa(air_c=math.nan), "air_c"),
        (lambda: saturation_pressure_hpa(air_c=61), "air_c"),
        (lambda: dew_point_c(air_c=20, humidity_pct=0), "humidity_pct"),
        (lambda: dew_point_c(air_c=20, humidity_pct=101), "humidity_pct"),
        (lambda: vapour_pressure_hpa(air_c=20, humidity_pct=math.nan), "humidity_pct"),
        (lambda: air_density_kg_m3(air_c=-61), "air_c"),
        (lambda: air_density_kg_m3(pressure_hpa=101325), "pressure_hpa"),
    ],
)
def test_bad_air_is_refused_by_name(call: Callable[[], float], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
