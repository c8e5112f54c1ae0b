"""The Markdown pack of each demo, kept as text, so that every change of its words is seen.

A missing file is written and the test fails: look at it, then keep it. To write them all anew after
a change of rules or words, run ``LIDWORK_GOLDEN=rewrite pytest tests/pack/test_golden.py``: the
test fails that once, and ``git diff tests/pack/golden`` shows what the change did.
"""

from __future__ import annotations

import os
from difflib import unified_diff
from pathlib import Path

import pytest

from planner.pack.plan_json import plan_digest

from .packs import DEMOS, Pack, demo

FOLDER = Path(__file__).parent / "golden"
REWRITE = os.environ.get("LIDWORK_GOLDEN") == "rewrite"


def without_digests(pack: Pack) -> str:
    """Return the Markdown with a word in place of each digest."""
    text = pack.documents.markdown.replace(plan_digest(pack.plan), "DIGEST")
    for layer in pack.plan.layers:
        text = text.replace(layer.digest, "DIGEST")
    return text


@pytest.mark.parametrize("name", DEMOS)
def test_the_markdown_pack_is_as_it_was_looked_at(name: str) -> None:
    """Word for word, but for the digests, which change with every rule whether it shows or not."""
    path, text = FOLDER / f"{name}.md", without_digests(demo(name))
    kept = path.read_text(encoding="utf-8") if path.exists() else ""
    if kept == text:
        return
    if REWRITE or not path.exists():
        FOLDER.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        pytest.fail(f"{path.name} was written. Look at it, then keep it.")
    changed = list(unified_diff(kept.splitlines(), text.splitlines(), lineterm="", n=0))
    pytest.fail(
        f"{path.name}: {len(changed)} lines differ. If that is meant, rewrite it with "
        "LIDWORK_GOLDEN=rewrite.\n" + "\n".join(changed[:40])
    )
