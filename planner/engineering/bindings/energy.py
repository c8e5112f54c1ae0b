"""All bindings of use, sunlight, harvest and days off grid."""

from __future__ import annotations

from planner.engineering.bindings import energy_harvest, energy_offgrid, energy_sun
from planner.ledger import Binding

BINDINGS: tuple[Binding, ...] = (
    *energy_sun.BINDINGS,
    *energy_harvest.BINDINGS,
    *energy_offgrid.BINDINGS,
)
