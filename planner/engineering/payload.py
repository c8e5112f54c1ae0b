"""What the panel does to the vehicle: mass, axle shares and height."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from planner.engineering.guards import not_negative, positive, within

NOTICE_HEIGHT_MM = 3000.0
"""Travelling height above which GB and NI ask for a notice in the cab; confirm before quoting."""


class AddedMass(Struct, frozen=True):
    """Mass added to the roof [kg], as summed and with its allowance, and payload left."""

    mass_kg: float
    with_allowance_kg: float
    payload_left_kg: float


def added_mass(
    *, parts_kg: Mapping[str, float], spare_payload_kg: float, allowance_pct: float = 10.0
) -> AddedMass:
    """Return the mass that the job adds and what is left of the payload.

    Args:
        parts_kg: Mass by part [kg], each 0 or more.
        spare_payload_kg: Payload free before the job, people and luggage counted [kg].
        allowance_pct: Allowance for what has not been weighed [%], 0 to 100.

    Returns:
        The sums; payload left counts the allowance and is negative when overloaded.

    Raises:
        OutOfRangeError: If an argument is out of range.
    """
    for part, mass in parts_kg.items():
        not_negative(f"parts_kg of {part}", mass)
    within("spare_payload_kg", spare_payload_kg, -5000, 5000)
    within("allowance_pct", allowance_pct, 0, 100)
    total = sum(parts_kg.values())
    allowed = total * (1 + allowance_pct / 100)
    return AddedMass(total, allowed, spare_payload_kg - allowed)


class AxleShares(Struct, frozen=True):
    """Share of the added mass on each axle [kg]; a negative share lightens that axle."""

    front_kg: float
    rear_kg: float


def axle_shares(*, mass_kg: float, behind_front_mm: float, wheelbase_mm: float) -> AxleShares:
    """Return how the axles share an added mass.

    Args:
        mass_kg: Added mass [kg], more than 0.
        behind_front_mm: Its distance behind the front axle [mm], -3000 to 10000; negative ahead
            of it.
        wheelbase_mm: Wheelbase [mm], 1500 to 7000.

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        Lever rule: rear m x/L, front m (L - x)/L.
    """
    positive("mass_kg", mass_kg)
    within("behind_front_mm", behind_front_mm, -3000, 10000)
    within("wheelbase_mm", wheelbase_mm, 1500, 7000)
    rear = mass_kg * behind_front_mm / wheelbase_mm
    return AxleShares(mass_kg - rear, rear)


class NewHeight(Struct, frozen=True):
    """Overall height after the job, as planned and as it may be measured, and what it adds [mm].

    ``notice`` says whether the cab needs a notice, should the height be the greatest of these.
    """

    height_mm: float
    low_mm: float
    high_mm: float
    added_mm: float
    notice: bool


def new_height(
    *,
    height_mm: float,
    highest_item_mm: float,
    panel_top_mm: float,
    doubt_mm: float,
    notice_mm: float = NOTICE_HEIGHT_MM,
) -> NewHeight:
    """Return the overall height with the panel on.

    Args:
        height_mm: Overall height before the job [mm], 1000 to 4500.
        highest_item_mm: How far the highest thing on the roof stands above the roof [mm], 0 or
            more and less than the height.
        panel_top_mm: Height of the panel's top face above the roof [mm], 0 or more.
        doubt_mm: How far two measurements of one height may differ [mm], 0 or more.
        notice_mm: Height above which the cab needs a notice [mm], more than 0.

    Returns:
        The greater of old height and roof plus panel, and the band in which a measurement after
        the job should lie.

    Raises:
        OutOfRangeError: If an argument is out of range.

    References:
        .. [1] Notice above 3.0 m: NI Statutory Rule 1998/225, reg. 3; GB SI 1986/1078, reg. 10
           as substituted (confirm before use).
    """
    within("height_mm", height_mm, 1000, 4500)
    within("highest_item_mm", highest_item_mm, 0, height_mm / 2)
    not_negative("panel_top_mm", panel_top_mm)
    not_negative("doubt_mm", doubt_mm)
    positive("notice_mm", notice_mm)
    after = max(height_mm, height_mm - highest_item_mm + panel_top_mm)
    high = after + doubt_mm
    return NewHeight(after, after - doubt_mm, high, after - height_mm, high > notice_mm)
