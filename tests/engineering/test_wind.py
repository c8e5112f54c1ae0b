"""Properties and refusals of the wind and inertia calculations."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.wind import dynamic_pressure_pa, inertia, planning_speed_kmh, uplift_n
from planner.errors import OutOfRangeError


@given(speed=st.floats(0, 200))
def test_twice_the_speed_is_four_times_the_pressure(speed: float) -> None:
    """Pressure grows with the square of speed."""
    once = dynamic_pressure_pa(speed_kmh=speed)
    assert dynamic_pressure_pa(speed_kmh=2 * speed) == pytest.approx(4 * once)


def test_greatest_inertia_is_the_largest_case() -> None:
    """The worst case is looked up, whichever it is."""
    assert inertia(mass_kg=10, sideways_g=2).greatest_n == pytest.approx(20 * 9.80665)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: planning_speed_kmh(top_speed_kmh=0), "top_speed_kmh"),
        (lambda: planning_speed_kmh(top_speed_kmh=300), "top_speed_kmh"),
        (lambda: planning_speed_kmh(top_speed_kmh=100, headwind_kmh=-1), "headwind_kmh"),
        (lambda: planning_speed_kmh(top_speed_kmh=100, least_kmh=math.nan), "least_kmh"),
        (lambda: dynamic_pressure_pa(speed_kmh=-1), "speed_kmh"),
        (lambda: dynamic_pressure_pa(speed_kmh=100, density_kg_m3=0), "density_kg_m3"),
        (lambda: uplift_n(pressure_pa=-1, area_m2=1), "pressure_pa"),
        (lambda: uplift_n(pressure_pa=1, area_m2=0), "area_m2"),
        (lambda: uplift_n(pressure_pa=1, area_m2=1, coefficient=math.nan), "coefficient"),
        (lambda: inertia(mass_kg=0), "mass_kg"),
        (lambda: inertia(mass_kg=1, forward_g=-0.1), "forward_g"),
    ],
)
def test_bad_wind_is_refused_by_name(call: Callable[[], object], argument: str) -> None:
    """Each argument outside its range is named."""
    with pytest.raises(OutOfRangeError, match=f"^{argument} is "):
        call()
