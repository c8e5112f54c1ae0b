"""Even spacing and snapping of feet against general-purpose numerical libraries."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.engineering.foot_places import even_spacing_mm, nearest_on_flats, snap_to_flats


@given(
    length=st.floats(300, 2500),
    count=st.integers(2, 6),
    share=st.floats(0, 0.3),
)
def test_even_spacing_agrees_with_numpy(length: float, count: int, share: float) -> None:
    """General-purpose library numpy, ``linspace`` from inset to inset."""
    inset = share * length
    expected = np.linspace(inset, length - inset, count)
    found = even_spacing_mm(length_mm=length, count=count, inset_mm=inset)
    assert found == pytest.approx(list(expected))


@given(
    wanted=st.lists(st.floats(0, 1500), min_size=2, max_size=3, unique=True).map(sorted),
    starts=st.lists(st.integers(0, 15), min_size=1, max_size=6, unique=True).map(sorted),
)
def test_snapping_moves_no_more_than_trying_every_flat(
    wanted: list[float], starts: list[int]
) -> None:
    """Trying every flat for every foot (product of the standard library) finds no less movement."""
    foot = 60.0
    bands = [(100.0 * start, 100.0 * start + 75) for start in starts]
    best: float | None = None
    for choice in product(bands, repeat=len(wanted)):
        places = [
            min(max(want, low + 30), high - 30)
            for want, (low, high) in zip(wanted, choice, strict=True)
        ]
        apart = all(b - a >= foot for a, b in pairwise(places))
        moved = sum(abs(a - b) for a, b in zip(places, wanted, strict=True))
        if apart and (best is None or moved < best):
            best = moved
    found = snap_to_flats(wanted_mm=wanted, bands_mm=bands, foot_mm=foot)
    if best is None:
        assert found is None
    else:
        assert found is not None
        total = sum(abs(a - b) for a, b in zip(found, wanted, strict=True))
        assert total == pytest.approx(best)


@given(
    wanted=st.floats(0, 1000),
    foot=st.floats(10, 90),
    bands=st.lists(st.tuples(st.integers(0, 900), st.integers(20, 120)), max_size=6),
)
def test_one_foot_lands_where_a_row_of_one_would(
    wanted: float, foot: float, bands: list[tuple[int, int]]
) -> None:
    """General-purpose library numpy: the nearest of fine steps that stand wholly on a flat."""
    flats = [(float(low), float(low + width)) for low, width in bands]
    steps = np.linspace(0, 1100, 11001)
    whole = [at for at in steps
             if any(low + foot / 2 <= at <= high - foot / 2 for low, high in flats)]
    found = nearest_on_flats(wanted_mm=wanted, bands_mm=flats, foot_mm=foot)
    if whole:
        assert found is not None
        assert abs(found - wanted) == pytest.approx(min(abs(np.array(whole) - wanted)), abs=0.11)
    elif found is not None:  # a flat as wide as the foot, between two steps
        assert any(low + foot / 2 - 1e-9 <= found <= high - foot / 2 + 1e-9 for low, high in flats)
