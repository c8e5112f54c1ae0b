"""What was built, read from the record: measured values before planned ones."""

from __future__ import annotations

import math
from datetime import date

from msgspec import Struct

from planner.pack.facts import Facts
from planner.pack.text import plain
from planner.record.book import Book
from planner.record.judge import value_text
from planner.record.model import Entry
from planner.record.points import ReadingPoint

#: What a handover tells by its planned fact and by the reading that measures it.
MEASURED = {
    "height.new_mm": "height-after",
    "mass.added_kg": "kit-mass",
    "roof.thickness_mm": "roof-thickness",
    "fixing.torque_final_nm": "final-torque-reached",
    "fixing.projection_mm": "bolt-projection",
    "loop.length_mm": "loop-length",
    "charge.absorb_v": "absorb-set",
    "charge.float_v": "float-set",
    "cure.drive_h": "cure-hours",
}
INCH_MM = 25.4
#: Further from the planned height lies a slip of the pen, or a van that was planned wrong.
LIKELY_MM = 100


class Figure(Struct, frozen=True):
    """A figure of the van as it stands: measured, or else planned, and said to be so."""

    label: str
    text: str
    measured: bool
    value: float | None = None

    @property
    def note(self) -> str:
        """Marks a figure that nobody measured."""
        return "" if self.measured else "planned"


class Built(Struct, frozen=True):
    """A plan's facts and its record together."""

    facts: Facts
    book: Book

    def point(self, reading: str) -> ReadingPoint | None:
        """Return the last place in the order of work that asks for a reading."""
        found = [
            one for point in self.book.points for one in point.readings if one.reading.id == reading
        ]
        return found[-1] if found else None

    def reading(self, name: str) -> Entry | None:
        """Return what stands for a reading."""
        point = self.point(name)
        return self.book.now("reading", point.key) if point else None

    def figure(self, fact: str, label: str) -> Figure | None:
        """Return a figure, measured where it was, or None where the job has none."""
        entry = self.reading(MEASURED.get(fact, ""))
        if entry is not None:
            text = value_text(entry.value, str(entry.more.get("unit", "")))
            return Figure(label, text, True, _number(entry.value))
        text = self.facts.text(fact)
        return Figure(label, text, False, _number(self.facts.value(fact))) if text else None

    def height(self, label: str) -> Figure | None:
        """Return the height of the finished van; one far from the plan does not count as measured.

        Somebody drives under bridges by it: a slip of the pen must not come onto the label.
        """
        height, planned = self.figure("height.new_mm", label), self.planned("height.new_mm")
        if height is None or planned is None or not height.measured:
            return height
        if height.value is not None and abs(height.value - planned) <= LIKELY_MM:
            return height
        return Figure(label, self.facts.text("height.new_mm"), False, planned)

    def planned(self, fact: str) -> float | None:
        """Return a planned figure as a number."""
        return _number(self.facts.value(fact))

    def note(self, label: str) -> str:
        """Return a particular that was written down."""
        entry = self.book.now("note", label)
        return plain(str(entry.value)) if entry else ""

    def finished(self) -> date | None:
        """Return the day of the last step that was accepted or signed."""
        agreed = [entry for point in self.book.points if (entry := self.book.agreed(point))]
        return max((entry.moment.date() for entry in agreed), default=None)


def _number(value: object) -> float | None:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if is_number else None  # type: ignore[arg-type]


def height_words(height_mm: float, units: str) -> str:
    """Return a height as a label in the cab says it, rounded up.

    Args:
        height_mm: Height of the van [mm], more than 0.
        units: ``metric`` or ``both``.

    Examples:
        >>> height_words(2081, "metric"), height_words(2081, "both")
        ('2.09 m', '2.09 m · 6 ft 10 in')
    """
    metres = f"{math.ceil(round(height_mm / 10, 6)) / 100:.2f} m"
    if units != "both":
        return metres
    feet, inches = divmod(math.ceil(round(height_mm / INCH_MM, 6)), 12)
    return f"{metres} · {feet} ft {inches} in"


def months_after(day: date, months: int) -> date:
    """Return the same day some months later, or the last of that month where it is shorter.

    Examples:
        >>> months_after(date(2027, 11, 30), 3), months_after(date(2027, 5, 17), 12)
        (datetime.date(2028, 2, 29), datetime.date(2028, 5, 17))
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    following = date(year + (month + 1) // 12, (month + 1) % 12 + 1, 1)
    last = (following - date(year, month + 1, 1)).days
    return date(year, month + 1, min(day.day, last))
