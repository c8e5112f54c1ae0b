"""Who signs: the names that were typed, and whether there are as many as the step asks for."""

from __future__ import annotations

import re

MAX_NAME = 80
_BETWEEN = re.compile(r"[,;+&/]|\band\b")


def names(text: str) -> tuple[str, ...]:
    """Return the names in what was typed, each once.

    Examples:
        >>> names("R. Alder, J. Birch"), names("RA + JB"), names(" ")
        (('R. Alder', 'J. Birch'), ('RA', 'JB'), ())
    """
    return tuple(dict.fromkeys(one.strip() for one in _BETWEEN.split(text) if one.strip()))


def too_few(text: str, signers: str, needed: int) -> str:
    """Return why these names do not do for who must sign; empty where they do.

    Examples:
        >>> too_few("RA", "Owner and fitter", 2)
        'Signed by: Owner and fitter. Write both names with a comma between.'
        >>> too_few("RA", "Fitter", 1)
        ''
    """
    given = names(text)
    if any(len(one) > MAX_NAME for one in given):
        return f"A name has at most {MAX_NAME} characters."
    if len(given) >= needed:
        return ""
    what = "both names with a comma between" if needed > 1 else "the name"
    return f"Signed by: {signers}. Write {what}."
