"""Fill the templates: HTML with everything inside the one file, and Markdown."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from jinja2 import (
    ChoiceLoader,
    DictLoader,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    select_autoescape,
)
from markupsafe import Markup

from planner import paths
from planner.pack.compiled import CompiledTemplates
from planner.pack.fonts import font_css
from planner.pack.imperial import beside
from planner.pack.text import breakable, markdown, plain

#: Paper sizes as the print rules name them.
PAPER_SIZES = {"a4": "210mm 297mm", "letter": "215.9mm 279.4mm"}


def _shipped() -> FileSystemLoader:
    return FileSystemLoader(paths.shipped("templates"), encoding="utf-8")


@lru_cache(maxsize=4)
def environment(*, escapes_html: bool, both_units: bool = False) -> Environment:
    """Return the environment for HTML, or for Markdown: unknown names fail, text is cleaned.

    Whatever a template prints is escaped for its format; only ``Markup`` passes as it is. With
    ``both_units`` every metric figure in it has the imperial one beside it.
    """
    way = f"{'html' if escapes_html else 'markdown'}{'both' if both_units else ''}"
    made = Environment(
        loader=_shipped(),
        bytecode_cache=CompiledTemplates(way),
        autoescape=select_autoescape(enabled_extensions=("html.j2", "svg.j2"), default=False),
    )
    return set_up(made, escapes_html=escapes_html, both_units=both_units)


def set_up(made: Environment, *, escapes_html: bool, both_units: bool) -> Environment:
    """Return the environment with what all of ours have in common."""
    clean = _cleaned if escapes_html else _escaped
    made.undefined = StrictUndefined
    made.trim_blocks = made.lstrip_blocks = made.keep_trailing_newline = True
    made.finalize = (lambda value: clean(_beside(value))) if both_units else clean
    return made


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
    """Return the whole pack as one HTML file that needs nothing from outside.

    Raises:
        InputError: If a shop's own template cannot be filled.
    """
    script = _asset("pack.js")
    own = {
        "fonts": Markup(font_css()),  # noqa: S704  - made here from the font files
        "style": Markup(_asset("pack.css")),  # noqa: S704  - shipped with the templates
        "script": Markup(script),  # noqa: S704  - shipped with the templates
        # As it is: a break put into the long word would make the browser refuse the script.
        "script_hash": Markup(_hash(script)),  # noqa: S704  - letters and digits, made here
        "page_size": PAPER_SIZES[context["meta"]["paper"]],
    }
    both, templates = context["meta"]["both_units"], context["house"].templates
    made = environment(escapes_html=True, both_units=both)
    if templates:
        made = _with_own_sections(made, context)
    return made.get_template("pack.html.j2").render({**context, **own})


def markdown_text(context: Mapping[str, Any]) -> str:
    """Return the whole pack as Markdown, without drawings."""
    made = environment(escapes_html=False, both_units=context["meta"]["both_units"])
    return made.get_template("pack.md.j2").render(context)


def _with_own_sections(made: Environment, context: Mapping[str, Any]) -> Environment:
    """Let the finished text of a shop's own sections stand in for the templates that ship."""
    from planner.pack.own_sections import own_sections  # noqa: PLC0415  - few shops have any

    texts = own_sections(
        context, context["house"].templates, both_units=context["meta"]["both_units"]
    )
    stand_ins = {name: "{{ own_sections['" + name + "'] }}" for name in texts}
    made = made.overlay(loader=ChoiceLoader([DictLoader(stand_ins), _shipped()]))
    made.globals["own_sections"] = texts
    return made


def _asset(name: str) -> str:
    return (paths.shipped("templates") / name).read_text(encoding="utf-8")


def _hash(script: str) -> str:
    """Return the hash by which the page allows its own script and no other."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
