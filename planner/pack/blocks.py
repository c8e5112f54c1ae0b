"""What a document is made of before it becomes HTML or Markdown: sections of plain text blocks."""

from __future__ import annotations

from msgspec import Struct


class Pair(Struct, frozen=True):
    """A label and its figure; ``note`` marks a value that was not measured."""

    label: str
    text: str
    note: str = ""


class Table(Struct, frozen=True):
    """A table of ready text. ``blank`` adds empty lines to write on."""

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    blank: int = 0

    @property
    def numeric(self) -> tuple[bool, ...]:
        """For each column, whether it holds figures, which stand to the right."""
        return tuple(
            all(_is_figure(row[index]) for row in self.rows) and bool(self.rows)
            for index in range(len(self.head))
        )


def _is_figure(text: str) -> bool:
    bare = text.partition(" (")[0].replace("\N{MINUS SIGN}", "").replace(".", "")
    return bare.isdigit() or text == "—"


class Figure(Struct, frozen=True):
    """A drawing with its caption."""

    svg: str
    caption: str


class Block(Struct, frozen=True):
    """Part of a section: text, figures in pairs, drawings, tables, in that order."""

    title: str = ""
    lead: str = ""
    pairs: tuple[Pair, ...] = ()
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing of it would print but the title."""
        return not (self.pairs or self.figures or self.tables or self.notes)


class Sheet(Struct, frozen=True):
    """A section of blocks, such as setting-out or wiring."""

    blocks: tuple[Block, ...]
    lead: str = ""

    @classmethod
    def of(cls, *blocks: Block, lead: str = "") -> Sheet | None:
        """Return a section of those blocks that hold anything; None if none does."""
        shown = tuple(block for block in blocks if not block.is_empty)
        return cls(shown, lead) if shown else None
