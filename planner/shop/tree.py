"""The tree of an explanation: its lines, and how a terminal draws it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct


class Node(Struct, frozen=True):
    """One line of the explanation, with what it rests on."""

    text: str
    children: tuple[Node, ...] = ()


def lines(node: Node, depth: int = 0) -> Iterator[str]:
    """Yield the tree as indented text."""
    yield "  " * depth + node.text
    for child in node.children:
        yield from lines(child, depth + 1)


def as_tree(node: Node) -> Any:
    """Return the tree as the terminal draws it."""
    from rich.markup import escape  # noqa: PLC0415  - only the terminal needs it
    from rich.tree import Tree  # noqa: PLC0415

    tree = Tree(escape(node.text))
    for child in node.children:
        tree.children.append(as_tree(child))
    return tree


def cut(node: Node, depth: int) -> Node:
    """Return the tree down to so many levels below its head."""
    if depth <= 0:
        return Node(f"{node.text} …" if node.children else node.text)
    return Node(node.text, tuple(cut(child, depth - 1) for child in node.children))
