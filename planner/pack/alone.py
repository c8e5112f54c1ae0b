"""Fill a shop's own sections, in a process of its own that may not take much time or memory.

Started by ``own_sections`` and by nobody else. What to fill comes in as a pickle of the program's
own; what goes out is text. The name of each section is told before it is begun, so whoever waits
knows which one it was if this process is stopped.
"""

from __future__ import annotations

import contextlib
import json
import pickle
import sys
from collections.abc import Mapping
from typing import Any

from jinja2 import DictLoader, Environment, select_autoescape
from jinja2.sandbox import ImmutableSandboxedEnvironment

from planner import paths
from planner.pack.render import set_up

#: Seconds of processor time for all sections of a shop together.
SECONDS = 5
MEMORY = 500_000_000
#: Characters of one section; the longest that ships and may be replaced has half.
MOST_TEXT = 300_000
SHARED = "parts/macros.html.j2"


class TooLongError(Exception):
    """A section grew beyond what anybody reads."""


def limit() -> None:
    """Let the system stop this process: it may not go on, grow or write a file."""
    with contextlib.suppress(ImportError):  # Windows has none; there the clock alone stops it
        import resource  # noqa: PLC0415

        for what, most in (
            (resource.RLIMIT_CPU, SECONDS),
            (resource.RLIMIT_AS, MEMORY),
            (resource.RLIMIT_FSIZE, 0),
        ):
            _, hard = resource.getrlimit(what)
            least = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(what, (least, least))


def filled(name: str, made: Environment, context: Mapping[str, Any]) -> str:
    """Return a section's text; it sees what the shipped ones see."""
    shared = made.get_template(SHARED).make_module(dict(context))
    pieces: list[str] = []
    length = 0
    for piece in made.get_template(name).generate({**context, "m": shared}):
        length += len(piece)
        if length > MOST_TEXT:
            raise TooLongError(f"it writes more than {MOST_TEXT:,} characters")
        pieces.append(piece)
    return "".join(pieces)


def environment(sources: Mapping[str, str], *, both_units: bool) -> Environment:
    """Return a sandbox that holds the shop's sections and the shipped blocks, and no other file."""
    blocks = (paths.shipped("templates") / SHARED).read_text(encoding="utf-8")
    made = ImmutableSandboxedEnvironment(
        loader=DictLoader({**sources, SHARED: blocks}),
        autoescape=select_autoescape(enabled_extensions=("html.j2",), default=True),
    )
    return set_up(made, escapes_html=True, both_units=both_units)


def main() -> None:
    """Fill what comes in, and write what came of it: the texts, or which failed and why."""
    given = pickle.load(sys.stdin.buffer)  # noqa: S301  - made by the process that started this one
    limit()
    json.dump(attempt(**given), sys.stdout)


def attempt(
    sources: Mapping[str, str], contexts: Mapping[str, Mapping[str, Any]], *, both_units: bool
) -> dict[str, str]:
    """Return the text of each section, or under ``failed`` and ``why`` the first that has none."""
    made = environment(sources, both_units=both_units)
    texts: dict[str, str] = {}
    for name, context in contexts.items():
        sys.stderr.write(f"{name}\n")
        sys.stderr.flush()
        try:
            texts[name] = filled(name, made, context)
        except MemoryError:
            return {"failed": name, "why": "it takes too much memory"}
        except Exception as error:  # noqa: BLE001  - whatever it is, the template did it
            return {"failed": name, "why": str(error) or type(error).__name__}
    return texts


if __name__ == "__main__":
    main()
