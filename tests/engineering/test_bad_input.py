"""Bad input of the electrical half: each message says what the fitter probably meant."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from planner import paths
from planner.errors import InputError
from planner.job.file import parse_job, read_job
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.survey import flow

SOUND = {"rated_w": "175", "voc_v": "23.6", "vmp_v": "19.5", "isc_a": "9.55", "imp_a": "8.97"}
LABEL = {"panel.voc_v": 23.6, "panel.isc_a": 9.55}


def message(text: str, base: RuleBase) -> str:
    """Return what the job file is refused with."""
    with pytest.raises(InputError) as caught:
        parse_job(text, "van.yaml", base)
    return str(caught.value)


def label(**changed: str) -> str:
    """Return a job file with one panel's label, a sound one but for what is changed."""
    lines = (f"  {key}: {value}\n" for key, value in {**SOUND, **changed}.items())
    return "panel:\n" + "".join(lines)


def test_a_sound_label_is_taken(base: RuleBase) -> None:
    """What the other tests change is right before they change it."""
    assert parse_job(label(voc_pct_per_c="-0.29"), "van.yaml", base).answers["panel.voc_v"] == 23.6


@pytest.mark.parametrize(
    ("changed", "where", "meant"),
    [
        ({"vmp_v": "23.6", "voc_v": "19.5"}, "van.yaml:4: panel.vmp_v", "probably swapped"),
        ({"imp_a": "9.55", "isc_a": "8.97"}, "van.yaml:6: panel.imp_a", "probably swapped"),
        ({"rated_w": "350"}, "van.yaml:2: panel.rated_w", "the watts of one panel, not of all"),
        ({"voc_pct_per_c": "0.29"}, "van.yaml:7: panel.voc_pct_per_c", "minus sign was probably"),
        # 0.068 V of 23.6 V is 0.288 %, 68 mV likewise; 0.12 V is 0.508 %.
        ({"voc_pct_per_c": "-0.068"}, "panel.voc_pct_per_c", "gives V per °C, write -0.29"),
        ({"voc_pct_per_c": "-68"}, "panel.voc_pct_per_c", "gives mV per °C, write -0.29"),
        ({"voc_pct_per_c": "-0.12"}, "panel.voc_pct_per_c", "gives V per °C, write -0.51"),
        ({"isc_pct_per_c": "4.8"}, "panel.isc_pct_per_c", "gives mA per °C, write 0.050"),
    ],
)
def test_impossible_datasheets(
    base: RuleBase, changed: dict[str, str], where: str, meant: str
) -> None:
    """Vmp above Voc, Imp above Isc, watts of all panels, coefficients in another unit."""
    says = message(label(**changed), base)
    assert where in says
    assert meant in says


@pytest.mark.parametrize("watts", [160, 175, 194])
def test_watts_may_differ_by_a_tenth(base: RuleBase, watts: int) -> None:
    """19.5 V x 8.97 A is 174.9 W, 109 % of 160 W and 90.2 % of 194 W."""
    assert parse_job(label(rated_w=str(watts)), "van.yaml", base).answers["panel.rated_w"] == watts


@pytest.mark.parametrize("watts", [158, 195])
def test_watts_may_not_differ_by_more_than_a_tenth(base: RuleBase, watts: int) -> None:
    """174.9 W is 110.7 % of 158 W and 89.7 % of 195 W."""
    says = message(label(rated_w=str(watts)), base)
    assert f"Vmp x Imp is 175 W but {watts} W was given" in says


@pytest.mark.parametrize(
    ("volts", "meant"),
    [
        ("13", "what a 12 V battery reads on the meter: write 12"),
        ("26", "what a 24 V battery reads on the meter: write 24"),
        ("48", "36 and 48 V are beyond these rules"),
        ("6", "a system of 12 or 24 V"),
    ],
)
def test_a_battery_voltage_that_no_controller_here_charges(
    base: RuleBase, volts: str, meant: str
) -> None:
    """A reading instead of the name, or a system beyond these rules."""
    says = message(f"battery: {{nominal_v: {volts}}}", base)
    assert says.startswith("van.yaml:1: battery.nominal_v")
    assert meant in says


def test_a_controller_made_for_another_battery(base: RuleBase) -> None:
    """12 V controller, 24 V battery: a stop with the two mistakes that are usual."""
    sound = read_job(paths.DEMOS / "lifting-grp.yaml", base)
    answers = {"controller.system_v": "only_12", "battery.nominal_v": 24}
    plan = make_plan(replace(sound, answers={**sound.answers, **answers}), base)
    stop = next(f for f in plan.findings if f.id == "controller-for-other-battery")
    assert stop.severity == "stop"
    assert "12 V only; the battery has 24" in stop.text.replace("\u00a0", " ")
    assert "Many controllers charge both" in stop.cure
    assert "two batteries of 12 V in parallel are a system of 12 V" in stop.cure


@pytest.mark.parametrize(
    ("position", "meant"),
    [
        ("latitude_deg: 151.2, longitude_deg: -33.9", "latitude and longitude changed places"),
        ("latitude_deg: 4806, longitude_deg: 11.6", "48° 6' are written 48.10"),
        ("latitude_deg: 85, longitude_deg: 10", "No van drives there"),
        ("latitude_deg: 50, longitude_deg: 352", "Then write -8"),
        # In the middle of the Atlantic; east instead of west it is on land.
        ("latitude_deg: 45, longitude_deg: -30", "Did you mean 45° N 30° E (45, 30)?"),
        ("latitude_deg: -40, longitude_deg: -20", "Latitude comes first; south and west are"),
    ],
)
def test_positions_off_the_map_and_at_sea(base: RuleBase, position: str, meant: str) -> None:
    """The file and its line are named as for every other answer."""
    says = message(f"use: {{place: by_position, {position}}}", base)
    assert says.startswith("van.yaml:1: use.l")
    assert meant in says


def test_a_place_at_sea_is_called_so(base: RuleBase) -> None:
    """And the twelve monthly values are offered, for an island that the table does not know."""
    says = message("use: {place: by_position, latitude_deg: 0, longitude_deg: -150}", base)
    assert "the place is at sea, or too near a pole" in says
    assert "type the twelve monthly values" in says


def test_a_place_that_is_not_listed(base: RuleBase) -> None:
    """The nearest listed name is offered."""
    assert "Did you mean 'London'?" in message("use: {place: Lodon}", base)


@pytest.mark.parametrize(
    ("values", "meant"),
    [
        ("[1, 2, 3]", "twelve values, January to December"),
        # 18 MJ/m² are 5.0 kWh/m²; 152 kWh/m² in a month are 5.0 a day.
        ("[3, 5, 8, 13, 17, 18, 18, 15, 11, 6, 3, 2]", "MJ/m² a day? Write 3.6"),
        ("[28, 50, 90, 120, 150, 152, 155, 130, 95, 60, 32, 22]", "A month's sum?"),
    ],
)
def test_monthly_values_in_another_unit(base: RuleBase, values: str, meant: str) -> None:
    """Typed from a weather service, which may print megajoules or sums of the month."""
    says = message(f"use: {{place: by_values, sun_kwh_m2_day: {values}}}", base)
    assert says.startswith("van.yaml:1: use.sun_kwh_m2_day")
    assert meant in says


def test_a_load_of_thirty_hours_a_day(base: RuleBase) -> None:
    """Half an hour in minutes, or several lamps added up."""
    text = "use:\n  loads:\n    - {name: lamps, watts: 9, hours_per_day: 30, supply: dc}\n"
    says = message(text, base)
    assert "entry 1: hours_per_day: 30 h is out of range" in says
    assert "Minutes? 30 min are 0.50 h. Several lamps? Add up their watts" in says


@pytest.mark.parametrize(
    ("fact", "said", "meant"),
    [
        ("panel.voc_pct_per_c", "0.29", "minus sign was probably left out"),
        ("panel.voc_pct_per_c", "-0.068 %/°C", "gives V per °C, write -0.29"),
        ("use.latitude_deg", "151.2", "latitude and longitude changed places"),
        ("battery.nominal_v", "26 V", "write 24"),
    ],
)
def test_the_survey_says_it_at_the_prompt(
    base: RuleBase, fact: str, said: str, meant: str
) -> None:
    """The same words, before anything is kept."""
    what, hint = flow.refusal(base.questions[fact], said, LABEL)
    assert "out of range" in what
    assert meant in hint


def test_the_survey_says_it_of_an_entry_of_the_list(base: RuleBase) -> None:
    """Loads are typed one value at a time."""
    loads = base.questions["use.loads"]
    hours = next(field for field in loads.fields if field.fact == "hours_per_day")
    what, hint = flow.refusal(loads, "30 h", {}, hours)
    assert "out of range" in what
    assert "Minutes? 30 min are 0.50 h" in hint
    assert flow.refusal(loads, "8", {}, hours) == ("", "")
    assert flow.refusal(loads, "eight", {}, hours)[1] == ""


@pytest.mark.parametrize(
    ("answers", "fact", "value", "meant"),
    [
        ({"use.place": "by_position", "use.latitude_deg": 45}, "use.longitude_deg", -30, "30° E"),
        ({}, "use.place", "Lodon", "Did you mean 'London'?"),
        ({"panel.rated_w": 175, "panel.voc_v": 19.5, "panel.isc_a": 9.55, "panel.imp_a": 8.97},
         "panel.vmp_v", 23.6, "probably swapped."),
    ],
)  # fmt: skip
def test_the_survey_objects_to_answers_that_do_not_go_together(
    base: RuleBase, answers: dict[str, object], fact: str, value: object, meant: str
) -> None:
    """What is wrong and what was meant, as whole sentences."""
    says = flow.objection(base, answers, fact, value)
    assert meant in says
    assert ".." not in says
    assert says[-1] in ".?"
