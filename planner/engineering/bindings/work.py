"""Facts about who works: how fast, and for how long a day."""

from __future__ import annotations

from planner.ledger import Binding, bind


def pace(*, doer: str, self_build: float, shop: float) -> float:
    """Return the factor on typical working minutes.

    Args:
        doer: ``self_build`` or ``shop``.
        self_build: Factor for somebody doing this once, 1 or more.
        shop: Factor for somebody who does it often.
    """
    return self_build if doer == "self_build" else shop


BINDINGS: tuple[Binding, ...] = (
    bind(
        pace,
        "work.pace",
        doer="job.doer",
        self_build="limit.pace_self_build",
        shop="limit.pace_shop",
    ),
)
