"""Fill the templates: HTML with everything inside the one file, and Markdown."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from planner import paths
from planner.pack.fonts import font_css
from planner.pack.imperial import beside
from planner.pack.text import breakable, markdown, plain

#: Paper sizes as the print rules name them.
PAPER_SIZES = {"a4": "210mm 297mm", "letter": "215.9mm 279.4mm"}


@lru_cache(maxsize=4)
def environment(*, escapes_html: bool, both_units: bool = False) -> Environment:
    """Return the environment for HTML, or for Markdown: unknown names fail, text is cleaned.

    Whatever a template prints is escaped for its format; only ``Markup`` passes as it is. With
    ``both_units`` every metric figure in it has the imperial one beside it.
    """
    clean = _cleaned if escapes_html else _escaped
    return Environment(
        loader=FileSystemLoader(paths.shipped("templates"), encoding="utf-8"),
        undefined=StrictUndefined,
        autoescape=select_autoescape(enabled_extensions=("html.j2", "svg.j2"), default=False),
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=(lambda value: clean(_beside(value))) if both_units else clean,
    )


def _beside(value: Any) -> Any:
    """Set imperial figures beside metric ones."""
    return beside(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _cleaned(value: Any) -> Any:
    """Take control and direction characters out, let long words break; Jinja escapes the rest."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return breakable(plain(value))


def _escaped(value: Any) -> Any:
    """Escape for Markdown."""
    return markdown(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def html(context: Mapping[str, Any]) -> str:
    """Return the whole pack as one HTML file that needs nothing from outside."""
    script = _asset("pack.js")
    return _environment(context, escapes_html=True).get_template("pack.html.j2").render(
        **context,
        fonts=Markup(font_css()),  # noqa: S704  - made here from the font files
        style=Markup(_asset("pack.css")),  # noqa: S704  - shipped with the templates
        script=Markup(script),  # noqa: S704  - shipped with the templates
        script_hash=_hash(script),
        page_size=PAPER_SIZES[context["meta"]["paper"]],
    )


def markdown_text(context: Mapping[str, Any]) -> str:
    """Return the whole pack as Markdown, without drawings."""
    return _environment(context, escapes_html=False).get_template("pack.md.j2").render(**context)


def _environment(context: Mapping[str, Any], *, escapes_html: bool) -> Environment:
    return environment(escapes_html=escapes_html, both_units=context["meta"]["both_units"])


def _asset(name: str) -> str:
    return (paths.shipped("templates") / name).read_text(encoding="utf-8")


def _hash(script: str) -> str:
    """Return the hash by which the page allows its own script and no other."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
