"""The ledger: worked out once, reads recorded, origins kept, cycles named."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from planner.errors import CycleError, InputError, OutOfRangeError
from planner.ledger import NA, Fact, Ledger, Origin, Provider, bind, calculation


def answered(name: str, value: Any) -> Provider:
    """Return a provider of one plain answer."""
    return Provider((name,), Origin.ANSWERED, lambda _: {name: value})


def double(*, length_m: float) -> float:
    """Return twice a length, which must be positive."""
    if not length_m > 0:
        raise OutOfRangeError("length_m", length_m, "more than 0")
    return 2 * length_m


def test_a_calculation_records_what_it_read() -> None:
    """The reads of a fact are those of its work, so that why is a walk over real reads."""
    ledger = Ledger([answered("a.m", 3), calculation(bind(double, "b.m", length_m="a.m"))], {})
    assert ledger.fact("b.m") == Fact("b.m", 6, Origin.CALCULATED, ("a.m",))


def test_work_is_done_once() -> None:
    """Two reads of a fact run its work once."""
    runs: list[int] = []

    def work(_: Ledger) -> Mapping[str, Any]:
        runs.append(1)
        return {"a.x": 1, "a.y": 2}

    ledger = Ledger([Provider(("a.x", "a.y"), Origin.CALCULATED, work)], {})
    assert (ledger.get("a.x"), ledger.get("a.y"), ledger.get("a.x")) == (1, 2, 1)
    assert len(runs) == 1


def test_a_calculation_of_something_inapplicable_does_not_apply() -> None:
    """Without a trailing question mark an inapplicable argument makes the result so too."""
    ledger = Ledger([answered("a.m", None), calculation(bind(double, "b.m", length_m="a.m"))], {})
    assert ledger.get("b.m") is NA
    assert ledger.fact("b.m").origin is Origin.INAPPLICABLE


def test_an_optional_argument_is_passed_as_none() -> None:
    """A trailing question mark passes None instead."""
    binding = bind(lambda *, x: "none" if x is None else x, "b.x", x="a.x?")
    ledger = Ledger([answered("a.x", None), calculation(binding)], {})
    assert ledger.get("b.x") == "none"


def test_a_table_is_read_whole_and_recorded() -> None:
    """Tables are passed as rows, and the read is recorded under the table's name."""
    binding = bind(lambda *, rows: len(rows), "b.n", rows="table.sizes")
    ledger = Ledger([calculation(binding)], {"sizes": ({"mm": 1}, {"mm": 2})})
    assert ledger.fact("b.n") == Fact("b.n", 2, Origin.CALCULATED, ("table.sizes",))


def test_a_cycle_is_named_step_by_step() -> None:
    """Facts that need each other are an error that names them in order."""
    ledger = Ledger(
        [
            calculation(bind(double, "a.m", length_m="b.m")),
            calculation(bind(double, "b.m", length_m="a.m")),
        ],
        {},
    )
    with pytest.raises(CycleError, match=r"a\.m -> b\.m -> a\.m"):
        ledger.get("a.m")


def test_an_unknown_name_suggests_the_nearest() -> None:
    """A mistyped fact name says what was probably meant."""
    ledger = Ledger([answered("roof.material", "grp")], {})
    with pytest.raises(InputError, match=r"unknown fact 'roof.materal'\n  Did you mean 'roof.mat"):
        ledger.get("roof.materal")


def test_a_value_out_of_range_names_the_fact_behind_the_argument() -> None:
    """The fitter sees the answer to correct, not the name of a Python argument."""
    ledger = Ledger([answered("a.m", -1), calculation(bind(double, "b.m", length_m="a.m"))], {})
    with pytest.raises(InputError, match=r"a\.m: -1 is out of range; it must be more than 0"):
        ledger.get("b.m")
