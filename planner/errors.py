"""Every error that bad input can cause: what is wrong, where, and how to mend it.

Nothing here prints. ``cli.py`` catches ``LidworkError`` in one place, shows its text and exits 2.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from msgspec import Struct

#: Exit codes beside 0: our own fault; bad input; written, but the work must not be started.
OUR_FAULT, BAD_INPUT, NOT_TO_BE_STARTED = 1, 2, 3


class LidworkError(Exception):
    """Base of every error that is the input's fault, not ours."""


class Fault(Struct, frozen=True):
    """One thing wrong in a file that people edit.

    Attributes:
        where: The place, ready to print, such as ``rules/steps/holes.yaml:6: pilot-drill``.
        what: What is wrong, in one sentence.
        cure: What to do about it, in one sentence; may be empty when ``what`` says it.
    """

    where: str
    what: str
    cure: str = ""

    def __str__(self) -> str:
        """Return the fault as it is shown to a person."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head}\n  {self.cure}" if self.cure else head


class InputError(LidworkError):
    """One or more faults in a job file, a rule layer or a command's arguments."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))

    @classmethod
    def of(cls, where: str, what: str, cure: str = "") -> InputError:
        """Return an error that holds a single fault."""
        return cls(Fault(where, what, cure))


class OutOfRangeError(LidworkError, ValueError):
    """A calculation was given a value outside its valid range.

    Attributes:
        argument: Name of the argument, with its unit as the suffix.
        value: What was given.
        allowed: The valid range in words, such as ``more than 0`` or ``-40 to 105``.
    """

    def __init__(self, argument: str, value: object, allowed: str) -> None:
        self.argument = argument
        self.value = value
        self.allowed = allowed
        super().__init__(f"{argument} is {value}; it must be {allowed}")


class CycleError(LidworkError):
    """Facts or steps that wait for each other."""

    def __init__(self, names: Iterable[str], what: str = "These facts need each other") -> None:
        self.names = tuple(names)
        super().__init__(f"{what}: " + " -> ".join(self.names))


def nearest(name: str, known: Iterable[str]) -> str:
    """Return ``Did you mean 'x'?`` for the nearest known name, or an empty text.

    Examples:
        >>> nearest("roof.materal", ["roof.material", "panel.mass_kg"])
        "Did you mean 'roof.material'?"
    """
    match = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return f"Did you mean '{match[0]}'?" if match else ""
