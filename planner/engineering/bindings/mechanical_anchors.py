"""Bind where the anchors of the second retention go to their facts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from planner.engineering.bindings.mechanical_air import Rows
from planner.engineering.bindings.mechanical_layout import RIB_FACTS, flats_of
from planner.engineering.bindings.mechanical_mounts import ANCHORS
from planner.engineering.foot_places import Flats, nearest_on_flats
from planner.ledger import Binding, bind

Spot = tuple[float, float]


def anchors(
    *,
    retention: str,
    placed: Rows,
    obstacles: Rows,
    off_mm: float,
    inside: Rows | None,
    plate_mm: float,
    slack_mm: float,
    **roof: Any,
) -> dict[str, Any]:
    """Return the places of the second retention: beside the panel, on free and flat roof.

    From things on the roof they keep as far as from the panel: their flanges and seals lie there.
    Their plates keep off what is fixed below the roof; where none of the places does, the check of
    the holes says so. On a ribbed roof each moves to the nearest flat that takes its whole plate,
    as feet do; where there is none it stays where it was, and that is said.
    """
    flats = flats_of(roof)
    taken = [
        *placed,
        *(_grown(row, off_mm) for row in obstacles),
        *(_grown(row, plate_mm / 2 + slack_mm) for row in inside or ()),
    ]

    def free(spot: Spot) -> bool:
        x, y = spot
        on_roof = 0 <= x <= roof["roof_length_mm"] and 0 <= y <= roof["roof_width_mm"]
        return on_roof and not any(_on(x, y, thing) for thing in taken)

    found: list[Spot] = []
    for row in placed:
        moved = [[_onto_flat(spot, flats, plate_mm) for spot in pair]
                 for pair in _beside(row, off_mm)]
        pairs = [pair for pair in moved if all(spot and free(spot) for spot in pair)]
        under = _under(row, off_mm)
        spots = pairs[0] if pairs else [_onto_flat(spot, flats, plate_mm) for spot in under]
        kept = [spot or wanted for spot, wanted in zip(spots, under, strict=True)]
        found.extend(kept[: ANCHORS.get(retention, 0)])
    return {
        "rows": [
            {"name": f"R{number}", "x_mm": round(x, 1), "y_mm": round(y, 1)}
            for number, (x, y) in enumerate(found, 1)
        ],
        "on_flats": _all_on(found, flats, plate_mm) if found and flats else None,
    }


def _onto_flat(spot: Spot, flats: Flats | None, plate_mm: float) -> Spot | None:
    """Return the place moved on to the nearest flat, or None where no flat takes the plate."""
    if flats is None:
        return spot
    x, y = spot
    moved = nearest_on_flats(
        wanted_mm=x if flats.axis == "x" else y, bands_mm=flats.bands_mm, foot_mm=plate_mm
    )
    if moved is None:
        return None
    return (moved, y) if flats.axis == "x" else (x, moved)


def _all_on(spots: list[Spot], flats: Flats, plate_mm: float) -> bool:
    return all(_onto_flat(spot, flats, plate_mm) == spot for spot in spots)


def _extent(row: Mapping[str, Any]) -> tuple[float, float, float, float]:
    return row["x_mm"], row["y_mm"], row["length_mm"], row["width_mm"]


def _grown(row: Mapping[str, Any], by_mm: float) -> dict[str, float]:
    x, y, along, across = _extent(row)
    return {"x_mm": x - by_mm, "y_mm": y - by_mm,
            "length_mm": along + 2 * by_mm, "width_mm": across + 2 * by_mm}


def _on(x_mm: float, y_mm: float, row: Mapping[str, Any]) -> bool:
    x, y, along, across = _extent(row)
    return x <= x_mm <= x + along and y <= y_mm <= y + across


def _beside(row: Mapping[str, Any], off_mm: float) -> Iterator[list[Spot]]:
    """Yield pairs of places beside a panel: front, left and right near the front, then rear.

    Peeling begins at the front edge, so that is where a second retention helps first.
    """
    x, y, along, across = _extent(row)
    yield [(x - off_mm, y + across * part) for part in (0.25, 0.75)]
    yield [(x + along / 4, side) for side in (y - off_mm, y + across + off_mm)]
    yield [(x + along + off_mm, y + across * part) for part in (0.25, 0.75)]


def _under(row: Mapping[str, Any], off_mm: float) -> list[Spot]:
    """Return places under the panel's own front corners, where no roof is free beside it."""
    x, y, _, across = _extent(row)
    return [(x + off_mm, y + off_mm), (x + off_mm, y + across - off_mm)]


BINDINGS: tuple[Binding, ...] = (
    bind(
        anchors,
        {"retention.anchors": "rows", "retention.on_flats": "on_flats"},
        retention="mount.retention",
        placed="place.panels",
        obstacles="roof.obstacles",
        off_mm="limit.anchor_off_mm",
        inside="roof.inside?",
        plate_mm="limit.plate_mm",
        slack_mm="limit.inside_slack_mm",
        **RIB_FACTS,
    ),
)
