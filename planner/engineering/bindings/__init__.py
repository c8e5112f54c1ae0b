"""Which calculation gives which fact: fact <- function <- facts."""

from __future__ import annotations

from importlib import import_module
from itertools import chain

from planner.ledger import Binding

#: One module a subject; each holds its own ``BINDINGS``.
SUBJECTS = ("work", "placement", "mechanical", "electrics", "energy")

BINDINGS: tuple[Binding, ...] = tuple(
    chain.from_iterable(import_module(f"{__name__}.{subject}").BINDINGS for subject in SUBJECTS)
)
