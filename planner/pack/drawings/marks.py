"""Marks that drawings share: scale, scale bar, dimensions, running dimensions, placed labels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.pack.drawings.svg import Anchor, Box, Sheet, move, number, text_box, wrap

#: Scales that a rule or a scale stick knows, largest drawing first.
SCALES = (1, 2, 2.5, 5, 10, 20, 25, 30, 40, 50, 100, 200)


def choose_scale(*, extent_mm: tuple[float, float], room: tuple[float, float]) -> float:
    """Return n of the largest standard scale 1:n at which the extent fits the room [mm]."""
    fits = (n for n in SCALES if all(e / n <= r for e, r in zip(extent_mm, room, strict=True)))
    return next(fits, SCALES[-1])


def scale_text(n: float) -> str:
    """Return the scale as it is written on the drawing."""
    return f"Scale 1:{number(n)}" if n >= 1 else f"Scale {number(1 / n)}:1"


def scale_bar(sheet: Sheet, x: float, y: float, n: float) -> None:
    """Draw a bar with the scale beside it, 20 to 50 mm long on paper, in round lengths."""
    length = next(v for v in (5000, 2000, 1000, 500, 200, 100, 50, 20, 10) if v / n <= 45)
    part = length / n / 4
    for index in range(4):
        box = Box(x + index * part, y, x + (index + 1) * part, y + 1.2)
        sheet.rect(box, fill="ink" if index % 2 == 0 else "white", pen="thin")
    sheet.text(x, y + 4, "0", size=2.4, anchor="middle")
    sheet.text(x + 4 * part, y + 4, f"{length} mm", size=2.4, anchor="middle")
    sheet.text(x + 4 * part + 8, y + 1.6, scale_text(n), size=2.6)


def arrow(sheet: Sheet, x1: float, y1: float, x2: float, y2: float, *, pen: str = "thin") -> None:
    """Draw a line with an arrow head at its end; upright and level lines only need one size."""
    sheet.line(x1, y1, x2, y2, pen=pen)
    length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 0.001)
    ux, uy = (x2 - x1) / length * 1.8, (y2 - y1) / length * 1.8
    head = move(
        "M", x2, y2, "L", x2 - ux - uy / 3, y2 - uy + ux / 3, x2 - ux + uy / 3, y2 - uy - ux / 3
    )
    sheet.path(head + " Z", fill="ink", pen="none")


def dimension_across(sheet: Sheet, x1: float, x2: float, y: float, text: str) -> None:
    """Draw a level dimension line between two points, its figure above the line."""
    for x in (x1, x2):
        sheet.line(x, y - 1.2, x, y + 1.2, pen="hair")
    middle = (x1 + x2) / 2
    arrow(sheet, middle, y, x1, y, pen="hair")
    arrow(sheet, middle, y, x2, y, pen="hair")
    sheet.text(middle, y - 0.9, text, size=2.6, anchor="middle")


def dimension_up(
    sheet: Sheet, x: float, y1: float, y2: float, text: str, *, side: Anchor = "start"
) -> None:
    """Draw an upright dimension line; the figure stands level beside its middle."""
    for y in (y1, y2):
        sheet.line(x - 1.2, y, x + 1.2, y, pen="hair")
    middle = (y1 + y2) / 2
    arrow(sheet, x, middle, x, y1, pen="hair")
    arrow(sheet, x, middle, x, y2, pen="hair")
    away = 1.2 if side == "start" else -1.2
    sheet.text(x + away, middle + 0.9, text, size=2.6, anchor=side)


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return rising positions at least ``gap`` apart, near those wanted and within the limits.

    Examples:
        >>> spread([1.0, 1.5, 9.0], 2.0, 0.0, 10.0)
        [1.0, 3.0, 9.0]
    """
    placed: list[float] = []
    for value in wanted:
        placed.append(max(value, low, placed[-1] + gap if placed else low))
    limit = high
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = min(placed[index], limit)
        limit = placed[index] - gap
    return placed


def running_down(
    sheet: Sheet, *, origin: float, marks: Sequence[tuple[float, str]], edge: float, out: float
) -> None:
    """Write running dimensions beside an upright edge: one figure for each level.

    Args:
        sheet: The drawing.
        origin: Height on paper of the edge that is measured from; its mark is a zero.
        marks: Height on paper and figure for each level, in rising order of height.
        edge: Where the object ends; the mark starts here.
        out: Where the figure stands; left of the edge it is written leftwards.
    """
    levels = sorted({(origin, "0"), *marks})
    places = spread([y for y, _ in levels], 3.3, 2.5, sheet.height - 1.0)
    side: Anchor = "end" if out < edge else "start"
    knee = (edge + out) / 2
    for (level, figure), place in zip(levels, places, strict=True):
        end = out + (0.6 if out < edge else -0.6)
        sheet.path(move("M", edge, level, "L", knee, level, end, place), pen="hair")
        sheet.text(out, place + 0.9, figure, size=2.6, anchor=side, bold=figure == "0")


def running_across(
    sheet: Sheet, *, origin: float, marks: Sequence[tuple[float, str]], edge: float, out: float
) -> None:
    """Write running dimensions above or below a level edge: one figure for each place."""
    levels = sorted({(origin, "0"), *marks})
    places = spread([x for x, _ in levels], 8.0, 5.0, sheet.width - 5.0)
    knee = (edge + out) / 2
    for (level, figure), place in zip(levels, places, strict=True):
        end = out + (0.8 if out < edge else -2.4)
        sheet.path(move("M", level, edge, "L", level, knee, place, end), pen="hair")
        sheet.text(place, out, figure, size=2.6, anchor="middle", bold=figure == "0")


def place_label(
    sheet: Sheet,
    x: float,
    y: float,
    text: str,
    *,
    size: float = 2.6,
    reach: float = 2.0,
    keep_off: Iterable[Box] = (),
    bold: bool = False,
    backed: bool = False,
) -> bool:
    """Write a label near a point where it touches no other label; say whether there was room."""
    taken = [*sheet.boxes, *keep_off]
    frame = Box(0, 0, sheet.width, sheet.height)
    for distance in (reach, reach * 2, reach * 3.5, reach * 5):
        for dx, dy, anchor in _AROUND:
            px, py = x + dx * distance, y + dy * distance + size * 0.3
            box = text_box(px, py, text, size, anchor=anchor, bold=bold)
            if box.within(frame) and not any(box.meets(other) for other in taken):
                if distance > reach:
                    sheet.line(x, y, px, py - size * 0.3, pen="hair")
                sheet.text(px, py, text, size=size, anchor=anchor, bold=bold, backed=backed)
                return True
    return False


_AROUND: tuple[tuple[float, float, Anchor], ...] = (
    (1, 0, "start"),
    (-1, 0, "end"),
    (0.8, -0.8, "start"),
    (0.8, 0.8, "start"),
    (-0.8, -0.8, "end"),
    (-0.8, 0.8, "end"),
    (0, -1, "middle"),
    (0, 1, "middle"),
)


def labels_at_side(
    sheet: Sheet, *, x: float, notes: Sequence[tuple[float, float, str]], low: float, high: float
) -> None:
    """Write notes in a column at ``x``, each led to its point; notes are (x, y, text)."""
    lines: list[tuple[float, float, str, bool]] = []
    for px, py, text in sorted(notes, key=lambda note: note[1]):
        for row, part in enumerate(wrap(text, 2.7, sheet.width - x - 1)):
            lines.append((px, py, part, row == 0))
    places = spread([y for _, y, _, _ in lines], 3.7, low, high)
    for (px, py, text, first), place in zip(lines, places, strict=True):
        if first:
            sheet.path(move("M", px, py, "L", x - 6, place, x - 1, place), pen="hair")
            sheet.circle(px, py, 0.35, fill="ink", pen="none")
        sheet.text(x, place + 0.95, text, size=2.7)
