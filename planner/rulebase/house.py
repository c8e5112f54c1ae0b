"""What a shop's folder holds besides rules: its logo, and its own wording of single sections."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from planner import paths
from planner.errors import Fault, nearest
from planner.rulebase import picture
from planner.rulebase.base import House
from planner.rulebase.model import BaseRule

#: How a browser names the pictures that a logo may be.
PICTURES = {".svg": "image/svg+xml", ".png": "image/png"}
MOST_BYTES = 200_000
TEMPLATES = "templates"
MOST_TEMPLATES = 100
#: What may be worded otherwise: parts of the pack, but not those that carry what keeps people safe
#: or what the shop changed, nor those that the others share.
PARTS = "parts/"
FIRM = ("front", "limits", "open_points", "findings", "risk", "method", "tests", "card", "signoff",
        "departures", "appendix")  # fmt: skip
SHARED = ("macros", "short_head")


def furnish(house: House, head: BaseRule, folder: Path, faults: list[Fault]) -> House:
    """Return what stands on the packs once a layer lies on the ones below it."""
    where = f"{folder.name}/base: {head.name}"
    logo = _logo(head.logo, folder, where, faults) if head.logo else ""
    return House(
        logo=logo or house.logo,
        sign_off=head.sign_off or house.sign_off,
        currency=head.currency or house.currency,
        templates={**house.templates, **dict(_templates(folder, faults))},
    )


def _logo(name: str, folder: Path, where: str, faults: list[Fault]) -> str:
    kind = PICTURES.get(Path(name).suffix.lower())
    if kind is None:
        faults.append(Fault(where, f"the logo '{name}' is no picture", "Use a .png or .svg file."))
        return ""
    content = _content(folder / name, folder)
    if content is None:
        cure = f"Put the file itself into the layer's folder; at most {MOST_BYTES // 1000} kB."
        faults.append(Fault(where, f"the logo '{name}' cannot be used", cure))
        return ""
    what = picture.wrong(content, drawn=kind == PICTURES[".svg"])
    if what:
        cure = "Use a plain PNG, or an SVG without scripts, entities and places outside it."
        faults.append(Fault(where, f"the logo '{name}' cannot be used: {what}", cure))
        return ""
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"


def _content(path: Path, folder: Path) -> bytes | None:
    """Return a file's bytes; None if it lies elsewhere, is too large, or cannot be read."""
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
        # A pipe or device would be waited for.
        if not inside or not path.is_file() or path.stat().st_size > MOST_BYTES:
            return None
        return path.read_bytes()
    except (OSError, ValueError):
        return None


def _templates(folder: Path, faults: list[Fault]) -> Iterator[tuple[str, str]]:
    """Yield each template of the layer that takes the place of a shipped one."""
    own = folder / TEMPLATES
    shipped = paths.shipped(TEMPLATES)
    known = {
        path.relative_to(shipped).as_posix()
        for path in shipped.glob(f"{PARTS}*.html.j2")
        if path.name.partition(".")[0] not in SHARED
    }
    if own.is_symlink():
        what = "this is a link, and could lead anywhere"
        faults.append(Fault(f"{folder.name}/{TEMPLATES}", what, "Put the folder itself there."))
        return
    found = sorted(islice(own.rglob("*.j2"), MOST_TEMPLATES + 1))
    if len(found) > MOST_TEMPLATES:
        what = f"more than {MOST_TEMPLATES} templates"
        faults.append(Fault(f"{folder.name}/{TEMPLATES}", what, "Is it the right folder?"))
        return
    for path in found:
        name = path.relative_to(own).as_posix()
        where = f"{folder.name}/{TEMPLATES}/{name if name.isprintable() else ascii(name)}"
        content = _content(path, folder)
        if name not in known:
            cure = nearest(name, known) or f"Known: {', '.join(sorted(known))}."
            faults.append(Fault(where, "replaces no section of the pack", cure))
        elif name.removeprefix(PARTS).partition(".")[0] in FIRM:
            what = "this section keeps people safe and cannot be replaced"
            faults.append(Fault(where, what, "Add to it by findings, steps and hazards of yours."))
        elif content is None:
            faults.append(Fault(where, "cannot be read", "Keep it small, inside the folder."))
        elif fault := _wrong(content, where):
            faults.append(fault)
        else:
            yield name, content.decode("utf-8")


def _wrong(content: bytes, where: str) -> Fault | None:
    """Return what is wrong with the writing of a template, if anything."""
    from jinja2.exceptions import TemplateSyntaxError  # noqa: PLC0415  - few layers need it
    from jinja2.sandbox import ImmutableSandboxedEnvironment  # noqa: PLC0415

    try:
        ImmutableSandboxedEnvironment(autoescape=True).parse(content.decode("utf-8"))
    except UnicodeDecodeError:
        return Fault(where, "is not UTF-8 text", "Save it as UTF-8.")
    except TemplateSyntaxError as error:
        return Fault(f"{where}:{error.lineno}", str(error.message), "Correct it there.")
    except RecursionError:
        return Fault(where, "is nested too deep", "Simplify it.")
    return None


def assets(house: House) -> dict[str, bytes]:
    """Return what counts towards the layer's digest besides its rules."""
    texts = {"logo": house.logo, **house.templates}
    return {name: text.encode() for name, text in texts.items()}
