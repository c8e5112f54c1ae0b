"""All facts of the electrics: array, cables and fuse, controller, bench test."""

from __future__ import annotations

from planner.engineering.bindings import (
    electrics_array,
    electrics_bench,
    electrics_cables,
    electrics_charge,
    electrics_ends,
    electrics_fuse,
    electrics_label,
)
from planner.ledger import Binding

BINDINGS: tuple[Binding, ...] = (
    *electrics_array.BINDINGS,
    *electrics_cables.BINDINGS,
    *electrics_fuse.BINDINGS,
    *electrics_ends.BINDINGS,
    *electrics_charge.BINDINGS,
    *electrics_bench.BINDINGS,
    *electrics_label.BINDINGS,
)
