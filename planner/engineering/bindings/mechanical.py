"""Every binding of holding down, lifting roof, fixings and sealant, and vehicle."""

from __future__ import annotations

from planner.engineering.bindings import (
    mechanical_air,
    mechanical_anchors,
    mechanical_cases,
    mechanical_fixing,
    mechanical_holes,
    mechanical_joints,
    mechanical_layout,
    mechanical_lift,
    mechanical_loop,
    mechanical_mounts,
    mechanical_sealant,
    mechanical_vehicle,
)
from planner.ledger import Binding

BINDINGS: tuple[Binding, ...] = (
    *mechanical_air.BINDINGS,
    *mechanical_mounts.BINDINGS,
    *mechanical_layout.BINDINGS,
    *mechanical_anchors.BINDINGS,
    *mechanical_holes.BINDINGS,
    *mechanical_fixing.BINDINGS,
    *mechanical_cases.BINDINGS,
    *mechanical_sealant.BINDINGS,
    *mechanical_joints.BINDINGS,
    *mechanical_lift.BINDINGS,
    *mechanical_loop.BINDINGS,
    *mechanical_vehicle.BINDINGS,
)
