"""Values against the shape of their fact: what is refused says what would fit."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.rulebase.base import worded
from planner.rulebase.model import FactShape, Question
from planner.rulebase.values import checked, typed

LENGTH = FactShape(
    fact="a.length_m", label="length", kind="number", unit="m", precision=1, least=0.1, most=200
)
ROOF = FactShape(fact="a.roof", label="roof", kind="choice", options={"grp": "fibreglass"})
VOLTS = FactShape(
    fact="a.system_v", label="volts", kind="integer", unit="V", least=12, most=24, multiple_of=12
)
WHEN = FactShape(fact="a.when", label="start", kind="moment")
SPOTS = Question.model_validate(
    {
        "fact": "a.spots", "label": "spots", "kind": "list", "section": "x", "ask": "?", "why": "y",
        "unknown": {"assume": []},
        "fields": [
            {"fact": "name", "label": "name", "kind": "text", "ask": "?"},
            {"fact": "x_mm", "label": "x", "kind": "number", "unit": "mm", "least": 0, "ask": "?"},
        ],
    }
)  # fmt: skip


@pytest.mark.parametrize(
    ("shape", "value", "message"),
    [
        (LENGTH, -5, "-5 m is out of range. Give 0.1 to 200 m."),
        (LENGTH, "5", "'5' is not a number. Give 0.1 to 200 m."),
        (LENGTH, True, "True is not a number"),
        (LENGTH, float("nan"), "nan is not a number"),
        (ROOF, "grpp", "'grpp' is not a choice. Did you mean 'grp'? Choose from: grp."),
        (WHEN, "tomorrow", "'tomorrow' is not a date and time"),
        (WHEN, "2026-05-04T08:00+02:00", "names a time zone"),
        (SPOTS, {"name": "x"}, "is not a list"),
        (SPOTS, [3], "entry 1 must name its values"),
        (SPOTS, [{"name": "vent"}], r"entry 1: 'x_mm' \(x\) is missing. Give at least 0 mm."),
        (SPOTS, [{"nam": "vent", "x_mm": 3}], "entry 1: unknown 'nam'. Did you mean 'name'?"),
        (SPOTS, [{"name": "vent", "x_mm": -3}], "entry 1: x_mm: -3 mm is out of range"),
    ],
)
def test_a_value_that_does_not_fit_says_what_would(
    shape: FactShape, value: Any, message: str
) -> None:
    """Each refusal names the value and what to give instead."""
    with pytest.raises(ValueError, match=message.replace("?", "[?]")):
        checked(shape, value)


def test_a_comma_for_a_point_is_explained() -> None:
    """Many people write 5,5; the message shows what to write."""
    with pytest.raises(ValueError, match=r'You typed "5,5", which is not a number. Write 5.5.'):
        typed(LENGTH, "5,5")


def test_a_unit_may_be_typed_behind_the_number() -> None:
    """Writing the unit is no mistake."""
    assert typed(LENGTH, " 5.5 m ") == 5.5


def test_moments_come_out_in_one_form() -> None:
    """A date alone, or with time, in the form that the job file shows."""
    assert checked(WHEN, "2026-05-04") == "2026-05-04 00:00"
    assert checked(WHEN, "2026-05-04T08:00") == "2026-05-04 08:00"


@given(st.floats(min_value=0.1, max_value=200))
def test_every_number_in_range_passes_unchanged(value: float) -> None:
    """Checking never alters an answer."""
    assert checked(LENGTH, value) == value


def test_values_are_printed_with_unit_and_precision() -> None:
    """One wording for a value wherever it is shown."""
    assert worded(LENGTH, 12.345) == "12.3\N{NO-BREAK SPACE}m"
    assert worded(LENGTH, 12.345, unit=False) == "12.3"
    assert worded(ROOF, "grp") == "fibreglass"


@pytest.mark.parametrize("value", [12, 24])
def test_what_comes_in_steps_is_taken_at_a_step(value: int) -> None:
    """Both ends and nothing between: a van has one or two 12 V batteries in series."""
    assert checked(VOLTS, value) == value


@pytest.mark.parametrize("value", [13, 18, 36])
def test_what_lies_between_steps_is_refused(value: int) -> None:
    """The message names what may be given."""
    with pytest.raises(ValueError, match=rf"^{value} V is out of range. Give 12 or 24 V.$"):
        checked(VOLTS, value)
