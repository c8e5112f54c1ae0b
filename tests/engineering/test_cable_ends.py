"""Every cable end of a circuit: both poles, both ends, no end forgotten."""

from __future__ import annotations

from collections import Counter

import pytest
from msgspec.structs import replace

from planner.engineering.cable_ends import Circuit, Run, cable_ends, end_finish, words_of
from planner.errors import OutOfRangeError

ONE = Circuit(
    strings=((1,),),
    pv=Run(4.5, 4.0),
    battery=Run(1.2, 10.0),
    fuse_lug="crimped ring lug, M5",
    fuse_on_post=False,
    fuse_distance_mm=178,
)
SHAPES = (((1,),), ((1, 2),), ((1,), (2,)), ((1, 2), (3, 4)), ((1, 2, 3, 4),))


@pytest.mark.parametrize("strings", SHAPES)
@pytest.mark.parametrize("on_post", [False, True])
def test_every_core_made_has_an_even_number_of_ends(
    strings: tuple[tuple[int, ...], ...], on_post: bool
) -> None:
    """A cable has two ends; the solar cores are parted once, at the isolator."""
    ends = cable_ends(replace(ONE, strings=strings, fuse_on_post=on_post))
    made = Counter(end.cable for end in ends if end.section_mm2 is not None)
    assert made["PV+"] == made["PV−"] == 4
    assert made["BAT+"] == made["BAT−"] == 2
    assert made["FUSE+"] == (0 if on_post else 2)


@pytest.mark.parametrize("strings", SHAPES)
def test_no_core_changes_its_pole(strings: tuple[tuple[int, ...], ...]) -> None:
    """Only a link in series joins a minus to a plus; a string shows both at its branch."""
    for end in cable_ends(replace(ONE, strings=strings)):
        if end.cable[-1] in "+−":
            assert end.pole == end.cable[-1]
        if end.terminal[-1] in "+−":
            assert end.pole == end.terminal[-1]


def test_four_panels_as_two_pairs() -> None:
    """Two links in series, and two strings with two ends each at the branches."""
    ends = cable_ends(replace(ONE, strings=((1, 2), (3, 4)), string_fuse_a=15))
    cables = Counter(end.cable for end in ends)
    assert (cables["link 1–2"], cables["link 3–4"]) == (2, 2)
    assert (cables["string 1 + 2"], cables["string 3 + 4"]) == (2, 2)
    fused = [end for end in ends if "15 A string fuse" in end.terminal]
    assert [end.pole for end in fused] == ["+", "+"]


def test_the_piece_before_the_fuse_is_as_short_as_allowed() -> None:
    """178 mm from the post; none at all where the fuse sits on the post."""
    tail = [end for end in cable_ends(ONE) if end.cable == "FUSE+"]
    assert {end.run_m for end in tail} == {0.178}
    assert {end.section_mm2 for end in tail} == {10.0}
    on_post = cable_ends(replace(ONE, fuse_on_post=True))
    assert any(end.terminal == "fuse on the battery's + post" for end in on_post)


def test_an_inlet_takes_the_place_of_the_plugs() -> None:
    """A portable panel: the fixed cable begins behind the inlet."""
    ends = cable_ends(replace(ONE, inlet=True))
    assert [end.finish for end in ends if end.terminal == "inlet, back"] == ["ferrule 4 mm²"] * 2
    assert not any(end.finish.startswith("solar plug") for end in ends)


def test_finishes() -> None:
    """A ferrule up to 16 mm², a lug above."""
    assert end_finish(16.0) == "ferrule 16 mm²"
    assert end_finish(25.0).startswith("pin or fork lug 25 mm²")
    assert words_of((3,)) == "3"


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"strings": ()}, "strings"),
        ({"strings": ((),)}, "strings"),
        ({"pv": Run(0, 4.0)}, "length_m"),
        ({"battery": Run(1.0, float("nan"))}, "section_mm2"),
        ({"fuse_distance_mm": -1}, "fuse_distance_mm"),
    ],
)
def test_refusals(change: dict[str, object], named: str) -> None:
    """Each argument is named."""
    with pytest.raises(OutOfRangeError, match=named):
        cable_ends(replace(ONE, **change))
