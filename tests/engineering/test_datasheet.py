"""Labels that cannot be right: each fault names its field and the likely slip."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from planner.engineering.datasheet import datasheet_faults
from planner.engineering.strings import Module
from planner.errors import OutOfRangeError

GOOD = Module(120, 22.5, 18.5, 7.0, 6.5, 15, -0.30)
NAN = float("nan")


def fields(module: Module, **more: object) -> list[str]:
    """Return the fields at fault."""
    return [field for field, _ in datasheet_faults(module=module, **more)]  # type: ignore[arg-type]


def test_a_good_label_has_no_fault() -> None:
    """Nothing is said about a label that can stand."""
    assert fields(GOOD, isc_pct_per_c=0.05, area_m2=0.68) == []


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"voc_v": 18.5, "vmp_v": 22.5, "imp_a": 5.4}, "panel.vmp_v", "probably swapped"),
        ({"vmp_v": 13.0, "imp_a": 6.8, "rated_w": 88}, "panel.vmp_v", "is 58% of Voc"),
        ({"isc_a": 6.5, "imp_a": 7.0}, "panel.imp_a", "probably swapped"),
        ({"isc_a": 11.0}, "panel.imp_a", "is 59% of Isc"),
        ({"rated_w": 240}, "panel.rated_w", "is 120 W but 240 W was given"),
        ({"voc_pct_per_c": 0.30}, "panel.voc_pct_per_c", "the minus sign was probably left out"),
        ({"voc_pct_per_c": 0.0}, "panel.voc_pct_per_c", "the minus sign"),
        ({"voc_pct_per_c": -0.0675}, "panel.voc_pct_per_c", "V per °C, write -0.30"),
        ({"voc_pct_per_c": -67.5}, "panel.voc_pct_per_c", "mV per °C, write -0.30"),
        ({"max_series_fuse_a": 8}, "panel.max_series_fuse_a", "under 1.25 x Isc = 8.8 A"),
    ],
)
def test_each_slip_is_named(change: dict[str, float], field: str, says: str) -> None:
    """The field at fault comes with what the fitter probably meant."""
    faults = dict(datasheet_faults(module=replace(GOOD, **change)))
    assert says in faults[field]


def test_current_coefficient_in_milliamps() -> None:
    """3.5 mA per °C of 7 A is 0.05 %."""
    faults = dict(datasheet_faults(module=GOOD, isc_pct_per_c=3.5))
    assert "write 0.050" in faults["panel.isc_pct_per_c"]


def test_area_that_cannot_give_the_watts() -> None:
    """120 W from 0.3 m² would be 400 W/m²."""
    faults = dict(datasheet_faults(module=GOOD, area_m2=0.3))
    assert "400 W/m²" in faults["panel.length_mm"]


def test_pwm_needs_panels_made_for_the_battery() -> None:
    """37 V is wasted on 12 V; 18.5 V cannot fill 24 V alone but two in series can."""
    tall = replace(GOOD, voc_v=45, vmp_v=37, isc_a=3.5, imp_a=3.25)
    pwm = {"controller_kind": "pwm", "battery_nominal_v": 12.0}
    assert "would be mostly wasted on" in dict(datasheet_faults(module=tall, **pwm))[  # type: ignore[arg-type]
        "controller.kind"
    ]
    assert fields(GOOD, **pwm) == []
    alone = {"controller_kind": "pwm", "battery_nominal_v": 24.0}
    assert fields(GOOD, **alone) == ["controller.kind"]
    assert fields(GOOD, count=2, **alone) == []
    assert fields(tall, controller_kind="mppt", battery_nominal_v=12.0) == []


@pytest.mark.parametrize(
    "name", ["rated_w", "voc_v", "vmp_v", "isc_a", "imp_a", "max_series_fuse_a", "voc_pct_per_c"]
)
def test_not_a_number_is_refused(name: str) -> None:
    """A NaN is an error, not a fault of the label."""
    with pytest.raises(OutOfRangeError, match=name):
        datasheet_faults(module=replace(GOOD, **{name: NAN}))


def test_other_refusals() -> None:
    """Area, count, battery and the second coefficient are guarded."""
    for argument, value in {"area_m2": NAN, "count": 0, "isc_pct_per_c": NAN}.items():
        with pytest.raises(OutOfRangeError, match=argument):
            fields(GOOD, **{argument: value})
    with pytest.raises(OutOfRangeError, match="battery_nominal_v"):
        fields(GOOD, controller_kind="pwm", battery_nominal_v=NAN)
