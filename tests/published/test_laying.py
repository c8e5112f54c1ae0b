"""The laying gate against a published margin and common dew-point tables."""

from __future__ import annotations

import pytest

from planner.engineering.laying import laying_gate


@pytest.mark.parametrize(
    ("surface_c", "verdict"), [(12.2, "stop"), (12.3, "caution"), (14.2, "caution"), (14.3, "go")]
)
def test_gate_closes_three_kelvin_above_the_dew_point(surface_c: float, verdict: str) -> None:
    """ISO 8502-4: 3 K (from memory). 20 °C and 50 %: dew point 9.3 °C, as common tables print.

    The go from 5 K is common practice.
    """
    gate = laying_gate(air_c=20, surface_c=surface_c, humidity_pct=50)
    assert gate.dew_c == pytest.approx(9.3, abs=0.05)
    assert gate.verdict == verdict
