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
    TemplateError,
    select_autoescape,
)
from jinja2.exceptions import SecurityError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from planner import paths
from planner.errors import InputError
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
    made = Environment(
        loader=FileSystemLoader(paths.shipped("templates"), encoding="utf-8"),
        autoescape=select_autoescape(enabled_extensions=("html.j2", "svg.j2"), default=False),
    )
    return _set_up(made, escapes_html, both_units)


def _set_up(made: Environment, escapes_html: bool, both_units: bool) -> Environment:
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
    return _filled("pack.html.j2", {**context, **own}, escapes_html=True)


def markdown_text(context: Mapping[str, Any]) -> str:
    """Return the whole pack as Markdown, without drawings.

    Raises:
        InputError: If a shop's own template cannot be filled.
    """
    return _filled("pack.md.j2", context, escapes_html=False)


def _filled(name: str, context: Mapping[str, Any], *, escapes_html: bool) -> str:
    both, templates = context["meta"]["both_units"], context["house"].templates
    if not templates:
        made = environment(escapes_html=escapes_html, both_units=both)
        return made.get_template(name).render(context)
    made = _set_up(_shop_environment(templates), escapes_html, both)
    try:
        return made.get_template(name).render(context)
    except (TemplateError, SecurityError, TypeError, ValueError) as error:
        raise InputError.of(
            "templates",
            f"a shop's own template cannot be filled: {error}",
            f"Its templates are: {', '.join(sorted(templates))}.",
        ) from None


def _shop_environment(templates: Mapping[str, str]) -> Environment:
    """A shop's templates come from a folder of its own, so they may only print."""
    shipped = FileSystemLoader(paths.shipped("templates"), encoding="utf-8")
    return ImmutableSandboxedEnvironment(
        loader=ChoiceLoader([DictLoader(dict(templates)), shipped]),
        autoescape=select_autoescape(enabled_extensions=("html.j2", "svg.j2"), default=False),
    )


def _asset(name: str) -> str:
    return (paths.shipped("templates") / name).read_text(encoding="utf-8")


def _hash(script: str) -> str:
    """Return the hash by which the page allows its own script and no other."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
