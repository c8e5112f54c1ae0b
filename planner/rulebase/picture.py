"""A layer's logo: a plain picture, or the reason why it is none.

It comes by e-mail and stands on every pack, so it may be drawn and nothing else: no scripts, no
entities, nothing fetched, and no more points of colour than a logo has.
"""

from __future__ import annotations

import re
from xml.parsers import expat


def _names(listed: str) -> frozenset[str]:
    return frozenset(listed.split())


PNG = b"\x89PNG\r\n\x1a\n"
#: A small file can unfold into more points than a machine has memory for.
MOST_POINTS = 4_000_000
DRAWN = _names(
    "svg g path line rect circle ellipse polyline polygon text tspan title desc metadata defs "
    "lineargradient radialgradient stop style"
)
#: Drawings within drawings within drawings take a drawing program's memory.
MOST_DEEP = 50
#: Ways to name something outside the picture: any place but one within it, or a letter written as
#: its number, which could spell such a way.
OUTSIDE = re.compile(r"url\s*\(\s*['\"]?\s*(?!['\"#\s])|@import|\\", re.IGNORECASE)


class NoPictureError(ValueError):
    """What a picture holds that it must not; ends with its text."""


def wrong(content: bytes, *, drawn: bool) -> str:
    """Return why this is no plain picture, or an empty text.

    Args:
        content: The file.
        drawn: Whether it is a drawing (SVG) or points of colour (PNG).
    """
    return _wrong_drawing(content) if drawn else _wrong_points(content)


def _wrong_points(content: bytes) -> str:
    if not content.startswith(PNG) or content[12:16] != b"IHDR":
        return "it is no PNG picture"
    width, height = (int.from_bytes(content[at : at + 4]) for at in (16, 20))
    if not 0 < width * height <= MOST_POINTS:
        return f"it is {width} by {height} points; {MOST_POINTS:,} are allowed"
    return ""


def _wrong_drawing(content: bytes) -> str:
    parser = expat.ParserCreate()
    texts: list[str] = []
    depth = _Depth()
    parser.StartDoctypeDeclHandler = _refuse_declarations
    parser.ProcessingInstructionHandler = _refuse_instructions
    parser.StartElementHandler = depth.enter
    parser.EndElementHandler = depth.leave
    parser.CharacterDataHandler = texts.append
    try:
        parser.Parse(content, True)
        _look_at_text("".join(texts))  # in one: a remark or a buffer's end may cut a word in two
    except NoPictureError as error:
        return str(error)
    except (expat.ExpatError, ValueError, LookupError) as error:
        return f"it is no SVG drawing: {error}"
    return ""


def _refuse_declarations(*_declared: object) -> None:
    raise NoPictureError("it holds <!DOCTYPE, which may stand for anything")


def _refuse_instructions(target: str, _data: str) -> None:
    raise NoPictureError(f"it holds <?{target[:20]}")


class _Depth:
    """How deep the reader is in elements within elements."""

    def __init__(self) -> None:
        self._open = 0

    def enter(self, name: str, attributes: dict[str, str]) -> None:
        """Look at an element, and refuse one too deep."""
        self._open += 1
        if self._open > MOST_DEEP:
            raise NoPictureError(f"it is nested more than {MOST_DEEP} deep")
        _look(name, attributes)

    def leave(self, _name: str) -> None:
        """Come out of an element."""
        self._open -= 1


def _look(name: str, attributes: dict[str, str]) -> None:
    if _bare(name) not in DRAWN:
        raise NoPictureError(f"it holds <{name[:30]}>; save it as a plain drawing")
    for attribute, value in attributes.items():
        bare = _bare(attribute)
        leads = bare in {"href", "src"} and not value.startswith("#")
        if leads or bare.startswith("on") or OUTSIDE.search(value):
            raise NoPictureError(f"it names or does something by '{attribute[:30]}='")


def _look_at_text(text: str) -> None:
    if OUTSIDE.search(text):
        raise NoPictureError("its style names something outside it")


def _bare(name: str) -> str:
    return name.rpartition(":")[2].lower()
