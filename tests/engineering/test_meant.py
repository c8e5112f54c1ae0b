"""What was probably meant: each hint by hand, and silence where there is nothing to say."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import planner.demo
from planner.engineering.meant import HINTS, probably_meant
from planner.rulebase.load import built_in

LABEL = {"panel.voc_v": 23.6, "panel.isc_a": 9.55}


@pytest.mark.parametrize(
    ("fact", "value", "words"),
    [
        ("panel.voc_pct_per_c", 0.29, "the minus sign was probably left out"),
        # −0.068 V/°C of 23.6 V is −0.288 %.
        ("panel.voc_pct_per_c", -0.068, "If the sheet gives V per °C, write -0.29"),
        ("panel.voc_pct_per_c", -68, "If the sheet gives mV per °C, write -0.29"),
        # 4.8 mA/°C of 9.55 A is 0.050 %.
        ("panel.isc_pct_per_c", 4.8, "If the sheet gives mA per °C, write 0.050"),
        ("use.latitude_deg", 151.2, "perhaps latitude and longitude changed places"),
        ("use.latitude_deg", 4806, "Degrees and minutes 48° 6' are written 48.10"),
        ("use.latitude_deg", 85, "No van drives there"),
        ("use.longitude_deg", 190, "Counted eastward to 360? Then write -170"),
        ("battery.nominal_v", 26, "a 24 V battery reads on the meter: write 24"),
        ("battery.nominal_v", 48, "36 and 48 V are beyond these rules"),
        ("battery.nominal_v", 6, "12 or 24 V"),
        ("use.loads", [{"hours_per_day": 30, "watts": 9}], "a day has 24 hours. Minutes? 30 min"),
        ("use.loads", [{"hours_per_day": 3, "watts": 9000}], "watt-hours a day?"),
        ("use.loads", [{"hours_per_day": 3, "watts": -40}], "counts positive"),
    ],
)
def test_what_was_probably_meant(fact: str, value: Any, words: str) -> None:
    """Units turned, signs left out, numbers swapped."""
    assert words in probably_meant(fact=fact, value=value, answers=LABEL)


def test_without_the_label_the_way_to_turn_units_is_said() -> None:
    """The volts of the label may be unknown, or nonsense themselves."""
    for voc in ("unknown", -3, True, None):
        says = probably_meant(
            fact="panel.voc_pct_per_c", value=-68, answers={"panel.voc_v": voc}
        )
        assert "divide by ten times Voc" in says


@pytest.mark.parametrize("value", ["", "high", None, [], {}, float("nan"), float("inf"), True])
@pytest.mark.parametrize("fact", ["use.loads", "panel.voc_pct_per_c", "panel.mass_kg"])
def test_anything_else_says_nothing(fact: str, value: Any) -> None:
    """A hint never fails on what people type."""
    assert probably_meant(fact=fact, value=value, answers={}) == ""


def test_loads_that_are_no_loads_say_nothing() -> None:
    """Whatever stands in the list."""
    assert probably_meant(fact="use.loads", value=[3, "fan", {"watts": "x"}], answers={}) == ""


def test_hints_are_for_questions_that_are_asked() -> None:
    """A question renamed takes its hint along."""
    base = built_in()
    assert set(HINTS) <= set(base.questions)


def test_no_hint_in_the_demonstrations() -> None:
    """Sound answers need none."""
    for path in Path(planner.demo.__file__).parent.glob("*.yaml"):
        found = re.search(r"voc_pct_per_c: (\S+)", path.read_text(encoding="utf-8"))
        assert found
        slope = float(found.group(1))
        assert probably_meant(fact="panel.voc_pct_per_c", value=slope, answers={}) == ""
