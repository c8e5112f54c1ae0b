"""Where the shipped rules, templates and demo jobs lie: inside the wheel, or in the checkout."""

from __future__ import annotations

from pathlib import Path

from planner.errors import InputError

_PACKAGE = Path(__file__).parent


def shipped(folder: str) -> Path:
    """Return the folder ``rules`` or ``templates`` of this installation.

    An installed wheel holds them inside the package with a leading underscore; a checkout holds
    them beside it.

    Raises:
        InputError: If the folder is missing from both places.
    """
    for place in (_PACKAGE / f"_{folder}", _PACKAGE.parent / folder):
        if place.is_dir():
            return place
    raise InputError.of(
        str(_PACKAGE.parent / folder),
        f"the folder '{folder}' that belongs to lidwork is missing",
        "Install lidwork again, or restore the folder from the repository.",
    )


DEMOS = _PACKAGE / "demo"
#: The invented jobs, the commonest first.
DEMO_NAMES = ("lifting-grp", "high-roof-steel", "aluminium-lift-flex")


def demos() -> list[Path]:
    """Return the job files of the demos, in the order in which they are shown."""
    return [DEMOS / f"{name}.yaml" for name in DEMO_NAMES]
