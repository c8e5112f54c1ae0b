"""A small SVG builder in paper millimetres: shapes, text, hatching and a record of label boxes."""

from __future__ import annotations

from html import escape
from itertools import accumulate, takewhile
from typing import Literal

from msgspec import Struct, field

PENS = {"hair": 0.12, "thin": 0.18, "normal": 0.3, "bold": 0.55, "heavy": 0.9}
INK = "#1d2326"
TINT = "#ecebe6"
FONT = "Pack, 'Source Sans Pro', sans-serif"

Anchor = Literal["start", "middle", "end"]

_NARROW = set("iIjl.,:;|'!()[]{} fr t/-")
_WIDE = set("mwMW@%—→←↑↓≥≤×+=<>−")


def number(value: float) -> str:
    """Return a coordinate with at most three decimals and no idle zeros.

    Examples:
        >>> number(12.0), number(0.12345), number(-0.0001)
        ('12', '0.123', '0')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return a generous estimate of a text's width [mm] at a font size [mm]."""
    widths = (_character_width(character) for character in text)
    return sum(widths) * size * (1.06 if bold else 1.0)


def _character_width(character: str) -> float:
    if character in _NARROW:
        return 0.34
    if character in _WIDE:
        return 0.86
    if ord(character) > 0x2FF:
        return 1.0 if ord(character) > 0x2E7F else 0.7
    return 0.62 if character.isupper() else 0.54


def fit(text: str, size: float, width: float) -> str:
    """Return the text, cut with an ellipsis if it is wider than ``width`` [mm]."""
    if text_width(text, size) <= width:
        return text
    room = width - text_width("…", size)
    ends = accumulate(_character_width(character) * size for character in text)
    return text[: sum(1 for _ in takewhile(lambda end: end <= room, ends))].rstrip() + "…"


def wrap(text: str, size: float, width: float) -> list[str]:
    """Return the text in lines no wider than ``width`` [mm]; a word that is wider is cut."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else ""
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(fit(word, size, width))
    return lines


class Box(Struct, frozen=True):
    """An upright rectangle on the sheet [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether the two boxes share any area."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: Box) -> bool:
        """Whether this box lies wholly inside the other."""
        return (
            self.left >= other.left
            and self.top >= other.top
            and self.right <= other.right
            and self.bottom <= other.bottom
        )


def text_box(
    x: float, y: float, text: str, size: float, *, anchor: Anchor = "start", bold: bool = False
) -> Box:
    """Return the box that a text will take; ``y`` is its baseline."""
    width = text_width(text, size, bold=bold)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return Box(left, y - 0.78 * size, left + width, y + 0.24 * size)


class Sheet(Struct):
    """One drawing under construction; every length is in millimetres on paper.

    Attributes:
        id: Prefix of the ids inside, so that several drawings can share a page.
        width: Width of the sheet.
        height: Height of the sheet.
        title: Short name, read out by a screen reader.
        desc: What the drawing says, in words, for those who cannot see it.
        boxes: Boxes of the labels drawn so far.
    """

    id: str
    width: float
    height: float
    title: str
    desc: str
    boxes: list[Box] = field(default_factory=list)
    _parts: list[str] = field(default_factory=list)

    def add(self, tag: str, attributes: dict[str, str | float], content: str = "") -> None:
        """Add an element; an attribute with an empty text is left out."""
        written = "".join(
            f' {name}="{_attribute(value)}"' for name, value in attributes.items() if value != ""
        )
        self._parts.append(
            f"<{tag}{written}>{content}</{tag}>" if content else f"<{tag}{written}/>"
        )

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, pen: str = "thin", dash: str = ""
    ) -> None:
        """Draw a straight line."""
        self.add("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2, **_stroke(pen, dash)})

    def rect(
        self,
        box: Box,
        *,
        fill: str = "none",
        pen: str = "normal",
        dash: str = "",
        radius: float = 0,
    ) -> None:
        """Draw an upright rectangle; ``fill`` is none, white, tint, ink, hatch or dots."""
        size: dict[str, str | float] = {
            "x": box.left,
            "y": box.top,
            "width": box.right - box.left,
            "height": box.bottom - box.top,
            "rx": radius or "",
        }
        self.add("rect", {**size, "fill": self._fill(fill), **_stroke(pen, dash)})

    def circle(
        self, x: float, y: float, r: float, *, fill: str = "none", pen: str = "normal"
    ) -> None:
        """Draw a circle."""
        self.add("circle", {"cx": x, "cy": y, "r": r, "fill": self._fill(fill), **_stroke(pen)})

    def path(self, d: str, *, fill: str = "none", pen: str = "normal", dash: str = "") -> None:
        """Draw a path; build ``d`` with ``move`` so that numbers are formatted."""
        self.add("path", {"d": d, "fill": self._fill(fill), **_stroke(pen, dash)})

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 2.8,
        anchor: Anchor = "start",
        bold: bool = False,
        backed: bool = False,
        ink: str = "",
    ) -> Box:
        """Write upright text with its baseline at ``y``; return and record its box.

        ``backed`` lays white paper under it, for labels on hatching or over lines; ``ink`` is
        another colour, for labels on black.
        """
        box = text_box(x, y, text, size, anchor=anchor, bold=bold)
        self.boxes.append(box)
        if backed:
            self.rect(box, fill="white", pen="none")
        style: dict[str, str | float] = {
            "font-size": size,
            "text-anchor": "" if anchor == "start" else anchor,
            "font-weight": 600 if bold else "",
            "fill": ink,
        }
        self.add("text", {"x": x, "y": y, **style}, escape(text))
        return box

    def svg(self) -> str:
        """Return the finished drawing."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" id="{self.id}" role="img" '
            f'aria-labelledby="{self.id}-title {self.id}-desc" '
            f'width="{number(self.width)}mm" height="{number(self.height)}mm" '
            f'viewBox="0 0 {number(self.width)} {number(self.height)}" '
            f'font-family="{FONT}" fill="{INK}">'
        )
        names = (
            f'<title id="{self.id}-title">{escape(self.title)}</title>'
            f'<desc id="{self.id}-desc">{escape(self.desc)}</desc>'
        )
        return "\n".join([head, names, self._patterns(), *self._parts, "</svg>"])

    def _fill(self, name: str) -> str:
        if name in {"hatch", "dots"}:
            return f"url(#{self.id}-{name})"
        return {"tint": TINT, "ink": INK, "white": "#fff"}.get(name, name)

    def _patterns(self) -> str:
        hatch = (
            f'<pattern id="{self.id}-hatch" width="1.6" height="1.6" '
            'patternUnits="userSpaceOnUse"><rect width="1.6" height="1.6" fill="#fff"/>'
            f'<path d="M-0.4 0.4L0.4 -0.4M0 1.6L1.6 0M1.2 2L2 1.2" stroke="{INK}" '
            'stroke-width="0.14"/></pattern>'
        )
        dots = (
            f'<pattern id="{self.id}-dots" width="1.4" height="1.4" '
            'patternUnits="userSpaceOnUse"><rect width="1.4" height="1.4" fill="#fff"/>'
            f'<circle cx="0.7" cy="0.7" r="0.22" fill="{INK}"/></pattern>'
        )
        return f"<defs>{hatch}{dots}</defs>"


def strip(width: float, height: float, content: str) -> str:
    """Return a small drawing for one line of a table, which says the same in words."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="strip" aria-hidden="true" '
        f'width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}" font-family="{FONT}" fill="{INK}">'
        f"{content}</svg>"
    )


def move(*steps: str | float) -> str:
    """Return path data from letters and numbers.

    Examples:
        >>> move("M", 1.0, 2.5, "L", 3, 4)
        'M 1 2.5 L 3 4'
    """
    return " ".join(step if isinstance(step, str) else number(step) for step in steps)


def _attribute(value: str | float) -> str:
    return escape(value) if isinstance(value, str) else number(value)


def _stroke(pen: str, dash: str = "") -> dict[str, str | float]:
    if pen == "none":
        return {}
    return {"stroke": INK, "stroke-width": PENS[pen], "stroke-dasharray": dash}
