"""Share out the lines of a form over columns and pages, so that no line is cut by a page's end."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from planner.pack.drawings.svg import text_width

COLUMNS = 2
#: Paper left free at the foot of each column [mm]: heights are estimates.
SPARE_MM = 3.0


class Line(Struct, frozen=True):
    """One line of the form, or a heading, with its height on paper.

    Attributes:
        height_mm: Height [mm].
        title: The heading; empty for a field.
        letter: Letter of the field on the sketches.
        label: What is written down.
        unit: Its unit.
        options: What to choose from, set under the label; empty where a value is written.
        inline: Options short enough to stand beside the label.
        how: How to measure it.
    """

    height_mm: float
    title: str = ""
    letter: str = ""
    label: str = ""
    unit: str = ""
    options: tuple[str, ...] = ()
    inline: tuple[str, ...] = ()
    how: str = ""


Page = tuple[tuple[Line, ...], ...]


def rows_of(texts: Sequence[str], *, width_mm: float, size_mm: float, gap_mm: float) -> int:
    """Return on how many rows these texts come to stand, side by side and never broken."""
    rows, used = 1, 0.0
    for text in texts:
        width = text_width(text, size_mm) + gap_mm
        if used and used + width > width_mm:
            rows, used = rows + 1, 0.0
        used += width
    return rows


def share_out(lines: Sequence[Line], *, first_mm: float, page_mm: float) -> tuple[Page, ...]:
    """Return the lines on pages of two columns each, in reading order.

    Args:
        lines: The lines.
        first_mm: Height that is left on the first page [mm]; 0 leaves its columns empty.
        page_mm: Height of a whole page [mm], more than that of the tallest line.
    """
    pages: list[Page] = []
    rest, room = list(lines), first_mm
    while rest:
        columns: list[tuple[Line, ...]] = []
        target = _target(rest, room - SPARE_MM)
        for _ in range(COLUMNS):
            taken = _fill(rest, target)
            columns.append(tuple(rest[:taken]))
            rest = rest[taken:]
        pages.append(tuple(columns))
        room = page_mm
    return tuple(pages)


def _target(lines: Sequence[Line], room: float) -> float:
    """The height to fill: all of it, or the least that holds what is left in even columns."""
    if room <= 0:
        return 0.0
    least = sum(line.height_mm for line in lines) / COLUMNS
    while least < room:
        taken = 0
        for _ in range(COLUMNS):
            taken += _fill(lines[taken:], least)
        if taken == len(lines):
            return least
        least += 1.0
    return room


def _fill(lines: Sequence[Line], room: float) -> int:
    """How many lines fit; a heading never stands last."""
    used, count = 0.0, 0
    for line in lines:
        if used + line.height_mm > room:
            break
        used, count = used + line.height_mm, count + 1
    while 0 < count < len(lines) and lines[count - 1].title:
        count -= 1
    return count
