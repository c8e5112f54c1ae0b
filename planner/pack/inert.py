"""Markup of a section that a shop worded itself: plain and whole, or it is not used.

A list of what may stand in it, not of what may not. Nothing in it runs, fetches, sends or changes
the look of the rest, and every element is closed where it began, so none swallows what follows.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser


def _names(listed: str) -> frozenset[str]:
    return frozenset(listed.split())


PLAIN = _names(
    "a abbr article aside b blockquote br caption code col colgroup dd div dl dt em figcaption "
    "figure footer h2 h3 h4 h5 h6 header hr i kbd li mark ol p q s section small span strong sub "
    "sup table tbody td tfoot th thead tr u ul"
)
#: What drawings are made of.
DRAWN = _names(
    "svg g path line rect circle ellipse polyline polygon text tspan title desc defs pattern"
)
#: What alone may name a pattern to be filled with.
SHAPES = _names("path line rect circle ellipse polyline polygon")
#: Elements that have no end.
SINGLE = _names("br hr col")
ATTRIBUTES = _names(
    "class id lang title role tabindex colspan rowspan scope start aria-label aria-labelledby "
    "aria-hidden"
)
DRAWING = _names(
    "x y x1 y1 x2 y2 cx cy r rx ry dx dy d points width height viewbox xmlns fill fill-rule "
    "fill-opacity stroke stroke-width stroke-dasharray stroke-linecap stroke-linejoin opacity "
    "font-family font-size font-weight font-style text-anchor dominant-baseline transform "
    "patternunits patterntransform preserveaspectratio"
)
#: What a page maker can lay out without much time and memory; no shipped section has a tenth.
MOST_DEEP, MOST_ELEMENTS, MOST_SPAN = 50, 5000, 30
#: Tables within each other, and elements of all patterns together.
MOST_TABLES, MOST_IN_PATTERNS = 3, 50
#: What the page's own script looks for, and what the page's own edges are made of.
TAKEN_IDS = re.compile(
    r"progress|where|save-record|step-view|all-steps|previous-step|next-step|verdict-word|front"
    r"|(step|title)-\d+"
)
TAKEN_CLASSES = _names("step wait tools-bar step-nav running running-job running-note shown")


def wrong(markup: str) -> str:
    """Return the first thing in the markup that is more than plain, or an empty text."""
    reader = _Reader()
    reader.feed(markup)
    # What is left over after the last whole tag is one that was begun and never ended.
    rest = reader.rawdata
    reader.close()
    if not reader.found and "<" in rest:
        return "a tag that is begun and not ended"
    if not reader.found and reader.open:
        return f"<{reader.open[-1]}> that is never closed"
    return reader.found


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=False)
        self.found = ""
        self.open: list[str] = []
        self.count = 0
        self.in_patterns = 0

    def _note(self, what: str) -> None:
        self.found = self.found or what

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element or attribute that is not on the lists."""
        self._look(tag, attrs)
        if tag not in SINGLE:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A browser takes no notice of the stroke that ends a tag, but in a drawing."""
        if "svg" in self.open:
            self._look(tag, attrs)
        else:
            self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        """Note an end that closes something else than what was opened last."""
        if not self.open or self.open.pop() != tag:
            self._note(f"</{tag}> that closes nothing")

    def handle_comment(self, data: str) -> None:
        """A comment is nothing to print, and browsers disagree where some of them end."""
        self._note(f"<!--{data[:20]}")

    def handle_decl(self, decl: str) -> None:
        """Declarations have no place in a section."""
        self._note(f"<!{decl[:20]}")

    def unknown_decl(self, data: str) -> None:
        """Nor have marked sections."""
        self._note(f"<![{data[:20]}")

    def handle_pi(self, data: str) -> None:
        """Nor have instructions to programs."""
        self._note(f"<?{data[:20]}")

    def _look(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            self._note(f"more than {MOST_ELEMENTS} elements")
        if len(self.open) >= MOST_DEEP:
            self._note(f"elements nested more than {MOST_DEEP} deep")
        self._look_around(tag)
        in_drawing = tag == "svg" or "svg" in self.open
        if tag not in (DRAWN if in_drawing else PLAIN):
            self._note(f"<{tag[:20]}>")
        allowed = ATTRIBUTES | DRAWING if in_drawing else ATTRIBUTES
        for name, value in attrs:
            if not (name in allowed or (name == "href" and (value or "").startswith("#"))):
                self._note(f"'{name[:20]}=' of <{tag[:20]}>")
            elif what := _wrong_value(name, value or "", tag=tag, within=self.open):
                self._note(f"{what} in '{name[:20]}=' of <{tag[:20]}>")


    def _look_around(self, tag: str) -> None:
        """Note what multiplies by standing within its like."""
        if tag == "table" and self.open.count("table") >= MOST_TABLES:
            self._note(f"more than {MOST_TABLES} tables within each other")
        if tag == "pattern" and not SHAPES.isdisjoint(self.open):
            self._note("<pattern> within a shape")
        self.in_patterns += "pattern" in self.open
        if self.in_patterns > MOST_IN_PATTERNS:
            self._note(f"more than {MOST_IN_PATTERNS} elements in patterns")


def _wrong_value(name: str, value: str, *, tag: str, within: list[str]) -> str:
    # A pattern of patterns of patterns draws a thousand times a thousand things; a shape takes its
    # fill from what it stands in, so only a shape outside all patterns may name one.
    may_name = tag in SHAPES and "pattern" not in within
    places = value.replace("url(#", "") if may_name else value
    if "url(" in places.lower() or "\\" in value:
        return "a place elsewhere, or letters that could spell one,"
    if name in ("colspan", "rowspan") and not (value.isdecimal() and int(value) <= MOST_SPAN):
        return f"more than {MOST_SPAN}"
    is_taken = (name == "id" and TAKEN_IDS.fullmatch(value)) or (
        name == "class" and not TAKEN_CLASSES.isdisjoint(value.split())
    )
    return "a name that the page's own script looks for" if is_taken else ""
