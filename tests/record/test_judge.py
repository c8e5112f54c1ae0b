"""A reading is read as it was meant, and judged by the limit that stands on paper."""

from __future__ import annotations

import pytest

from planner.plan.model import Reading
from planner.record.desk import RecordDesk
from planner.record.judge import FREE_UNIT, judge, said, typed

from .conftest import reading_of

VOLTS = Reading("voc", "Open-circuit voltage", "V", 20.4, 22.6)
DROP = Reading("drop", "Drop", "V", None, 0.12839)
FREE = Reading("damp", "Moisture", FREE_UNIT)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("19.1", 19.1),
        (" 19.1 V ", 19.1),
        ("19,1", 19.1),
        ("+3", 3.0),
        ("-4", -4.0),
        ("\N{MINUS SIGN}4.5", -4.5),
        (".5", 0.5),
        ("1e3", 1000.0),
    ],
)
def test_numbers_as_people_write_them(text: str, value: float) -> None:
    """Units, spaces, a decimal comma and a true minus sign are understood."""
    assert typed(text, VOLTS) == value


@pytest.mark.parametrize(
    "text",
    ["", "abc", "1,2,3", "1,4800,0", "nan", "inf", "1e99", "12 A", "0x10", "1_000", "--1", "٣"],
)
def test_what_is_no_number_is_refused_with_an_example(text: str) -> None:
    """What to write instead stands beside it."""
    with pytest.raises(ValueError, match=r"is not a number\. Write one such as 19\.1 in V"):
        typed(text, VOLTS)


@pytest.mark.parametrize("text", ["1,480", "4,200 V", "-1,480,000"])
def test_a_comma_before_three_digits_is_asked_again(text: str) -> None:
    """It could part thousands or be the decimal sign: nobody guesses, and the reason is told."""
    with pytest.raises(ValueError, match=r"reads two ways\. Write it without a comma"):
        typed(text, VOLTS)


def test_a_meter_with_its_own_scale_may_give_words() -> None:
    """Moisture meters show marks or words."""
    assert typed("dry", FREE) == "dry"
    assert judge("dry", FREE) == "noted"
    for text in ("", "x" * 81):
        with pytest.raises(ValueError, match="what the meter shows"):
            typed(text, FREE)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(20.4, "within"), (22.6, "within"), (21, "within"), (20.39, "below"), (22.61, "above")],
)
def test_the_limits_themselves_are_within(value: float, verdict: str) -> None:
    """At the limit is right, beyond it is not."""
    assert judge(value, VOLTS) == verdict


def test_a_limit_counts_as_it_is_printed() -> None:
    """The paper says at most 0.13 V: who finds 0.13 V has met it, though 0.128 was worked out."""
    assert judge(0.13, DROP) == "within"
    assert judge(0.131, DROP) == "above"


def test_the_judgement_says_value_side_limit_and_what_to_check() -> None:
    """One sentence that a fitter can act on."""
    text = said(19.1, VOLTS, "Each panel lies within its band.")
    assert text.startswith("19.1 V is below the limit, 20.4 to 22.6 V: check the meter")
    assert text.endswith("It is right when: Each panel lies within its band.")
    assert said(21.0, VOLTS, "") == "21 V is within the limit: 20.4 to 22.6 V."
    assert said("dry", FREE, "") == "dry written down."


@pytest.mark.parametrize(
    ("name", "value", "verdict"),
    [
        ("height-after", 2015, "within"),
        ("height-after", 2016, "above"),
        ("height-after", 1974, "below"),
        ("absorb-set", 14.4, "within"),
        ("absorb-set", 14.6, "above"),
        ("float-set", 13.6, "within"),
        ("float-set", 13.8, "above"),
    ],
)
def test_what_is_set_and_measured_last_is_judged(
    name: str, value: float, verdict: str, desk: RecordDesk
) -> None:
    """The panel is as high as the vent, 1995 mm, give or take 20 (planning assumption).

    Lithium iron phosphate: 14.0 to 14.4 V, float up to 13.6 V or off (from memory).
    """
    assert judge(value, reading_of(desk, name).reading) == verdict
