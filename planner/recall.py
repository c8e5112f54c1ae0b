"""Keep what a piece of work gave by what it read, for the next job that reads the same.

Work that depends on facts alone reads the same next fact whenever all that it has read so far is
the same. So its results hang in a tree: each fork is a fact, each branch a value of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import count
from typing import Any

from msgspec import Struct, field

#: A number that stands for a fact's value and origin; equal ones, and only these, share it.
Token = int
#: A result, and the names of all that was read to get it.
Found = tuple[Any, tuple[str, ...]]
#: So many results are kept; then it begins again.
MOST_KEPT = 100_000


class _Node(Struct):
    """A fork, which names the next fact that is read, or an end, which has the result."""

    fact: str = ""
    branches: dict[Token, _Node] = field(default_factory=dict)
    found: Found | None = None


class Recall:
    """Results by work and by what the work read. One serves the jobs of one rule base."""

    def __init__(self) -> None:
        #: What each piece of work is about is held here, so that its identity stays its own.
        self._trees: dict[tuple[Any, int], tuple[object, _Node]] = {}
        self._tokens: dict[Any, Token] = {}
        self._numbers = count()  # never used twice, also after it began again
        self._kept = 0

    def token(self, value: Any, origin: str) -> Token:
        """Return the number of a value, told apart from an equal one of another kind."""
        key: Any = (value.__class__, value, origin)  # 1, 1.0 and True are equal
        try:
            hash(key)
        except TypeError:  # lists and mappings go by how they are written
            key = (repr(value), origin)
        found = self._tokens.get(key)
        if found is None:
            found = self._tokens[key] = next(self._numbers)
        return found

    def find(
        self,
        what: Any,
        about: object,
        tokens: Mapping[str, Token],
        token: Callable[[str], Token],
    ) -> Found | None:
        """Return a kept result, or None.

        Args:
            what: Which work.
            about: What it is about, such as a rule; another object, even an equal one, is another.
            tokens: Tokens of this job's facts, as far as they are known.
            token: Gives the token of any other fact.
        """
        tree = self._trees.get((what, id(about)))
        node = tree[1] if tree else None
        while node is not None and node.found is None:  # runs some hundred thousand times a second
            fact = node.fact
            node = node.branches.get(tokens[fact] if fact in tokens else token(fact))
        return node.found if node else None

    def keep(
        self, what: Any, about: object, path: Iterable[tuple[str, Token]], found: Found
    ) -> None:
        """Keep a result under the facts and values, in order of first read, that led to it."""
        if self._kept >= MOST_KEPT:
            self._trees.clear()
            self._tokens.clear()
            self._kept = 0
        self._kept += 1
        _, node = self._trees.setdefault((what, id(about)), (about, _Node()))
        for fact, token in path:
            node.fact = fact
            branch = node.branches.get(token)
            if branch is None:  # setdefault() would make a node each time
                branch = node.branches[token] = _Node()
            node = branch
        node.found = found
