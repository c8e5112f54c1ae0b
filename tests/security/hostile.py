"""A job file and a shop's layer as somebody who means harm would send them by e-mail."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from planner import paths
from planner.job.nested import path_of, put
from planner.yamltext import read_file

#: Characters that command a terminal or turn text around; line ends and tabs do not.
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
#: Written where a job takes free text; each begins with a word by which it is found again.
TEXTS: Mapping[str, str] = {
    "script": "mark1 <script>alert(1)</script><img src=x onerror=alert(1)>",
    "breakout": "mark2 </title></style></textarea></text></svg>--><!--]]><script src=//h></script>",
    "attribute": "mark3 \" onmouseover=\"alert(1)\" x=' onfocus=alert(1) autofocus='",
    "fetch": "mark4 <link rel=stylesheet href=file:///etc/passwd><iframe src=http://127.0.0.1/>",
    "template": "mark5 {{7*7}} {% for x in range(9) %}x{% endfor %} {# c #} ${7*7} {panel.mass_kg}",
    "slot": "mark6 {job.reference} {job.reference:bare} {0.__class__} %s %(name)s",
    "markdown": "mark7 [a](javascript:alert(1)) ![b](http://127.0.0.1/b) **bold** `c` | d <http://e>",
    "terminal": "mark8 [red]red[/red] [link=http://h]l[/link] [/] [blink]",
    "formula": "=HYPERLINK(\"http://h\",\"mark9\")",
    "path": "../../../../mark10/../etc/CON.txt\\..\\x",
}  # fmt: skip
PLACES = {
    "job.reference": "script",
    "job.vehicle": "breakout",
    "job.place_of_work": "template",
}
LISTED = ("attribute", "fetch", "slot", "markdown", "terminal", "formula", "path")


def hostile_answers() -> dict[str, Any]:
    """Return a demo's answers with hostile text wherever a job takes text."""
    data: Any = read_file(paths.DEMOS / "lifting-grp.yaml").value
    for fact, which in PLACES.items():
        data = put(data, path_of(fact), TEXTS[which])
    for which, vent in zip(LISTED, data["roof"]["obstacles"], strict=False):
        vent["name"] = TEXTS[which]
    for which, panel in zip(LISTED[2:], data["candidates"], strict=False):
        panel["name"] = TEXTS[which]
    for which, load in zip(reversed(LISTED), data["use"]["loads"], strict=False):
        load["name"] = TEXTS[which]
    return dict(data)


def hostile_job(folder: Path) -> Path:
    """Write the hostile job; JSON is YAML too, and quotes everything."""
    path = folder / "van.yaml"
    text = "".join(
        f"{section}: {json.dumps(held, ensure_ascii=False)}\n"
        for section, held in hostile_answers().items()
    )
    path.write_text(text, encoding="utf-8")
    return path


def tree(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder with what it holds, and where every link leads."""
    found: dict[str, bytes] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            found[name] = b"-> " + str(path.readlink()).encode()
        elif path.is_file():
            found[name] = path.read_bytes()
    return found


class Page(HTMLParser):
    """What a browser makes of a page: its elements with attributes, and its text."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        """Note text, without the places where a long word may be broken."""
        self.text += data.replace("\u200b", "")
