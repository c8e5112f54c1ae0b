"""The pack's own typeface as data: URIs, so that a machine without fonts prints the same."""

from __future__ import annotations

import base64
from functools import lru_cache
from pathlib import Path

import font_source_sans_pro

#: Weight and file: two weights carry the whole pack; nothing is set in italics.
FACES = ((400, "SourceSansPro"), (600, "SourceSansProSemibold"))
FAMILY = "Pack"


@lru_cache(maxsize=1)
def font_css() -> str:
    """Return the @font-face rules with both faces embedded."""
    return "\n".join(_face(weight, name) for weight, name in FACES)


def _face(weight: int, name: str) -> str:
    data = Path(font_source_sans_pro.font_files_ttf[name]).read_bytes()
    return (
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};font-style:normal;"
        f"src:url(data:font/ttf;base64,{base64.b64encode(data).decode('ascii')})}}"
    )
