"""Sections that a shop words itself: filled apart, within limits, and looked at before use.

A layer comes by e-mail: its templates may print what the plan holds, and nothing else.
"""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup

import planner
from planner.errors import InputError
from planner.pack.inert import wrong
from planner.pack.text import plain

#: By the clock, for a machine that is busy with other things; the processor's limit comes first.
WAIT_S = 60


def own_sections(
    context: Mapping[str, Any], templates: Mapping[str, str], *, both_units: bool
) -> dict[str, Markup]:
    """Return the finished text of every section of this document that the shop words itself.

    Args:
        context: What the templates print.
        templates: Text of each of the shop's templates, by the name that it replaces.
        both_units: Whether metric figures have the imperial ones beside them.

    Raises:
        InputError: Naming the template, if it cannot be filled, takes too long or too much
            memory, writes too much, or prints more than plain markup.
    """
    by_name = {f"parts/{one.id.replace('-', '_')}.html.j2": one for one in context["sections"]}
    contexts = {
        name: {**context, "section": by_name[name]} for name in templates if name in by_name
    }
    if not contexts:
        return {}
    given = {"sources": dict(templates), "contexts": contexts, "both_units": both_units}
    texts = _filled(given)
    for name, text in texts.items():
        what = wrong(text)
        if what:
            raise _refused(name, f"it prints {what}; only plain, whole elements may stand there")
    return {name: Markup(text) for name, text in texts.items()}  # noqa: S704  - looked at above


def _filled(given: Mapping[str, Any]) -> dict[str, str]:
    # Nothing of the folder that somebody happens to work in is imported.
    command = [sys.executable, "-P", "-m", "planner.pack.alone"]
    here = [str(Path(planner.__file__).parents[1]), *filter(None, [os.environ.get("PYTHONPATH")])]
    try:
        done = subprocess.run(  # noqa: S603  - this program's own module
            command, input=pickle.dumps(given), capture_output=True, timeout=WAIT_S, check=False,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(here), "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise _refused(_last(error.stderr or b"", given), "it does not come to an end") from None
    if done.returncode:
        raise _refused(_last(done.stderr, given), "it takes too much time or memory")
    texts: dict[str, str] = json.loads(done.stdout)
    if "failed" in texts:
        raise _refused(texts["failed"], plain(texts["why"])[:400])
    return texts


def _last(told: bytes, given: Mapping[str, Any]) -> str:
    """Return the section that was begun last: each is told before it is begun."""
    begun = [line for line in told.decode("utf-8", "replace").split() if line in given["contexts"]]
    return begun[-1] if begun else next(iter(given["contexts"]))


def _refused(name: str, why: str) -> InputError:
    return InputError.of(
        f"templates/{name}",
        f"a shop's own template cannot be filled: {why}",
        "Correct that template in the shop's layer, or take it out.",
    )
