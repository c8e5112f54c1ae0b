"""Which sections a document has, in order: the whole pack, its short forms, the customer's."""

from __future__ import annotations

from collections.abc import Container, Mapping
from typing import Any

from msgspec import Struct

from planner.errors import InputError, nearest

#: Every section by its id, in the order of the pack.
TITLES = {
    "open-points": "Open points: measure before you start",
    "departures": "Where this plan departs from the built-in rules",
    "findings": "Findings",
    "decisions": "Decisions",
    "risk": "Risk assessment",
    "timetable": "Timetable",
    "method": "Method statement",
    "setting-out": "Setting-out",
    "fixings": "Mount and fixings",
    "sealing": "Sealants and cure",
    "cable": "Cable entry and moving cable",
    "wiring": "Wiring",
    "van": "Van and lifting roof",
    "energy": "Energy, and the panels compared",
    "materials": "Materials and tools",
    "tests": "Test sheet and hold points",
    "card": "Connection card",
    "signoff": "Sign-off",
    "limits": "Cautions and limits of this plan",
    "basis": "Basis of the figures",
    "appendix": "Not needed, and rules",
}
#: Titles that differ where no roof lifts and no cable moves.
TITLES_FIXED = {"cable": "Cable entry", "van": "Height, mass and what shows"}
ALL, SUMMARY = "all", "summary"
#: Sections of each short form; a summary is the front page alone.
SHORT: Mapping[str, tuple[str, ...]] = {
    SUMMARY: (),
    "method": ("method",),
    "risk": ("risk",),
    "setting-out": ("setting-out", "fixings"),
    "wiring": ("cable", "wiring", "card"),
    "materials": ("materials",),
    "tests": ("tests", "signoff"),
}
ONLY = (ALL, *SHORT)
#: What a shop keeps for itself: how it works, what it buys, and which rules it works by.
INTERNAL = frozenset({"departures", "risk", "method", "materials", "tests", "basis", "appendix"})


class Section(Struct, frozen=True):
    """One section of a document, numbered as it stands in it."""

    id: str
    number: int
    title: str


def form(name: str) -> str:
    """Return the name of a form of the pack, as typed.

    Raises:
        InputError: If there is no such form.
    """
    if name not in ONLY:
        cure = nearest(name, ONLY) or f"There are: {', '.join(ONLY)}."
        raise InputError.of("--only", f"the pack has no form '{name[:40]}'", cure)
    return name


def is_whole(only: str, *, customer: bool) -> bool:
    """Whether a document is the whole pack, with plan, prices and template beside it."""
    return only == ALL and not customer


def outline(
    content: Mapping[str, Any], *, only: str = ALL, customer: bool = False, lifting: bool = True
) -> tuple[Section, ...]:
    """Return the sections that hold anything, of those that the document shows.

    Args:
        content: What each section would print, empty where the job has none of it.
        only: ``all``, ``summary`` or the name of a short form.
        customer: Leave out what a shop keeps for itself, unless ``only`` asks for it.
        lifting: Whether the roof lifts; a fixed one has other titles.
    """
    wanted: Container[str] = SHORT.get(only, tuple(TITLES))
    hidden = INTERNAL if customer and only == ALL else frozenset()
    shown = [id_ for id_ in TITLES if id_ in wanted and id_ not in hidden and content.get(id_)]
    titles = TITLES if lifting else {**TITLES, **TITLES_FIXED}
    return tuple(Section(id_, number, titles[id_]) for number, id_ in enumerate(shown, 1))
