"""A shop's layer from a stranger: one test for each line of the threat model in DEVELOPERS.md."""

from __future__ import annotations

import os
import resource
import subprocess
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import fields

from planner import paths
from planner.errors import InputError
from planner.job.file import read_job
from planner.pack import render
from planner.pack.compose import compose
from planner.pack.inert import wrong
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check
from planner.rulebase.layers import stack
from planner.rulebase.load import load_rules
from planner.rulebase.picture import PNG

from ..reliability.broken import no_hang
from ..reliability.child import Tell, told_by
from .hostile import CONTROL, Page

MEMORY = 3_000_000_000
HEAD = "base: {name: a shop, version: '1', date: '2026-01-01'}\n"
NOTE = """
findings:
  - id: shop-note
    severity: note
    when: {}
    says: %s
    because: The shop says so.
    source: common practice
    cases: []
"""


def layer(folder: Path, text: str = "", name: str = "shop.yaml") -> Path:
    """Write a layer with one file of rules."""
    folder.mkdir(exist_ok=True)
    (folder / "base.yaml").write_text(HEAD, encoding="utf-8")
    if text:
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def context(base: RuleBase) -> dict[str, Any]:
    """Return what the first demo's pack prints."""
    job = read_job(paths.DEMOS / "lifting-grp.yaml", base)
    return compose(make_plan(job, base, every_fact=True))


def page_of(context: Mapping[str, Any], base: RuleBase) -> str:
    """Return the page as a shop with this rule base has it."""
    return render.html({**context, "house": base.house})


def html_of(base: RuleBase) -> str:
    """Return the first demo's pack under a layer."""
    job = read_job(paths.DEMOS / "lifting-grp.yaml", base)
    return render.html(compose(make_plan(job, base, every_fact=True)))


def test_a_layers_words_are_inert(tmp_path: Path, base: RuleBase) -> None:
    """Threat: the text of a rule becomes markup of the pack."""
    text = NOTE % "\"mark <script>alert(1)</script><img src=x onerror=y>\""
    with_layer = stack(base, [layer(tmp_path / "shop", text)])
    source = html_of(with_layer)
    page = Page(source)
    assert [tag for tag, _ in page.elements].count("script") == 1
    assert "img" not in {tag for tag, _ in page.elements}
    assert "<script>alert(1)</script>" in page.text


SLOTS = ("{job.__class__}", "{__import__('os')}", "{job.reference.__init__}", "{0}", "{}",
         "{job.reference!r}", "{base.places}", "{roof.moves[0]}", "{{7*7}}")  # fmt: skip


def test_slots_reach_facts_and_nothing_else(tmp_path: Path, base: RuleBase) -> None:
    """Threat: a slot in a rule's text walks into the program."""
    one = (NOTE % "'SLOT'").replace("\nfindings:", "")
    notes = [
        one.replace("SLOT", slot.replace("'", "''")).replace("shop-note", f"note-{number}")
        for number, slot in enumerate(SLOTS)
    ]
    with_layer = stack(base, [layer(tmp_path / "shop", "findings:\n" + "".join(notes))])
    said = [str(fault) for fault in check(with_layer, ())]
    for number in range(len(SLOTS)):
        assert any(f"note-{number}:" in line and "slot" in line for line in said), SLOTS[number]


CONDITIONS = (
    "{__class__: 1}", "{roof.moves: {__eq__: 1}}", "{'1 == 1': true}", "'True'", "[1]",
    "{any: {any: {any: {any: 7}}}}",
)  # fmt: skip


@pytest.mark.parametrize("when", CONDITIONS)
def test_conditions_are_data(when: str, tmp_path: Path, base: RuleBase) -> None:
    """Threat: a condition is evaluated as code."""
    text = (NOTE % "text").replace("when: {}", f"when: {when}")
    try:
        faults = check(stack(base, [layer(tmp_path / "shop", text)]), ())
    except InputError as error:
        faults = error.faults
    assert any("shop-note" in str(fault) for fault in faults)


@pytest.mark.parametrize(
    "text", [NOTE % '"a\\e[2Jb"', '"\\e[2J": []', "findings: [{id: x, \"\\e[2J\": 1}]",
             "findings: [{id: \"x\\u202ey\"}]"],
)  # fmt: skip
def test_a_layer_cannot_command_the_terminal(text: str, tmp_path: Path, base: RuleBase) -> None:
    """Threat: rules move the cursor or turn text around in messages and plans."""
    with pytest.raises(InputError) as caught:
        stack(base, [layer(tmp_path / "shop", text)])
    assert not CONTROL.search(str(caught.value).replace("\n", ""))


def test_a_layer_runs_no_code(tmp_path: Path, base: RuleBase) -> None:
    """Threat: Python beside the rules, or a tag in them, is run."""
    folder = layer(tmp_path / "shop", NOTE % "text")
    owned = tmp_path / "owned"
    code = f"open({str(owned)!r}, 'w')"
    for name in ("conftest.py", "__init__.py", "sitecustomize.py", "rules.py"):
        (folder / name).write_text(code, encoding="utf-8")
    stack(base, [folder])
    layer(tmp_path / "tagged", "findings: [!!python/object/apply:os.system ['touch owned']]")
    with pytest.raises(InputError, match="the tag"):
        stack(base, [tmp_path / "tagged"])
    assert not owned.exists()


def _flood(odd: Path) -> None:
    for number in range(2000):
        (odd.parent / f"{number}.yaml").touch()


#: What may lie among the rules under the name of a rule file, or beside it.
ODD: dict[str, Callable[[Path], object]] = {
    "link": lambda odd: odd.symlink_to(odd.parents[1] / "secret"),
    "pipe": os.mkfifo,
    "device": lambda odd: odd.symlink_to("/dev/zero"),
    "huge": lambda odd: odd.write_text("#" * 600_000, encoding="utf-8"),
    "many": _flood,
    "odd name": lambda odd: odd.with_name("\x1b[2J.yaml").write_text("a: 1", encoding="utf-8"),
    "folder": lambda odd: odd.mkdir(),
}


@pytest.mark.parametrize("kind", ODD)
def test_a_layer_is_read_from_its_own_folder_only(
    kind: str, tmp_path: Path, base: RuleBase
) -> None:
    """Threat: a link, pipe, device or flood of files among the rules."""
    folder = layer(tmp_path / "shop")
    (tmp_path / "secret").write_text("password-of-somebody\n", encoding="utf-8")
    ODD[kind](folder / "odd.yaml")
    reads: list[Callable[[], object]] = [
        lambda: stack(base, [folder]), lambda: load_rules(folder)
    ]  # fmt: skip
    for read in reads:
        (told,) = told_by(limited(read))
        assert told.startswith("message: ")
        assert "password-of-somebody" not in told
        assert "\x1b" not in told


def limited(read: Callable[[], object], seconds: float = 2.0) -> Callable[[Tell], None]:
    """Return work that reads within bounds, lest a failing test fill the machine's memory."""

    def work(_tell: Tell) -> None:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        # An alarm is heard between two steps of Python; some single steps take for ever.
        resource.setrlimit(resource.RLIMIT_CPU, (30, 30))
        with no_hang(seconds):
            read()

    return work


def test_a_file_name_that_is_no_text_is_refused(tmp_path: Path, base: RuleBase) -> None:
    """Threat: a file name outside Unicode stops the program instead of being refused."""
    folder = layer(tmp_path / "shop")
    try:
        (folder / os.fsdecode(b"\xff.yaml")).write_text("tools: []\n", encoding="utf-8")
    except OSError:
        pytest.skip("this file system takes only Unicode names")
    with pytest.raises(InputError) as caught:
        stack(base, [folder])
    str(caught.value).encode()


@pytest.mark.parametrize(
    "text",
    ["withdrawn: [{of: findings, id: %s, because: x}]",
     "changes: [{of: findings, id: %s, set: {severity: note}, because: x}]",
     "changes: [{of: findings, id: %s, set: {when: {roof.moves: [true, false]}}, because: x}]",
     "changes: [{of: findings, id: %s, set: {locked: false}, because: x}]",
     "changes: [{of: findings, id: %s, set: {id: other}, because: x}]"],
)  # fmt: skip
def test_a_layer_cannot_weaken_a_safety_rule(text: str, tmp_path: Path, base: RuleBase) -> None:
    """Threat: a layer silences a rule that keeps people unhurt."""
    locked = next(name for name, rule in base.findings.items() if rule.locked)
    with pytest.raises(InputError, match=locked):
        stack(base, [layer(tmp_path / "shop", text % locked)])


PART = "parts/timetable.html.j2"
#: Sections that a shop may word itself.
REPLACED = [f"parts/{name}.html.j2" for name in ("timetable", "materials", "decisions", "basis")]


def with_template(folder: Path, text: str, name: str = PART) -> Path:
    """Return a layer that words one section itself."""
    place = layer(folder) / "templates" / name
    place.parent.mkdir(parents=True)
    place.write_text(text, encoding="utf-8")
    return folder


TEMPLATES = {
    "reaches into Python": "{{ meta.__class__.__mro__ }}",
    "reaches a function's globals": "{{ cycler.__init__.__globals__ }}",
    "reads another file": "{% include '/etc/passwd' %}",
    "climbs out of the folder": "{% include '../../../../etc/passwd' %}",
    "calls itself": "{% include 'parts/timetable.html.j2' %}",
    "divides by nothing": "{{ 1 // 0 }}",
    "asks for what is not there": "{{ nothing_of_this_name }}",
    "loops within loops": "{% for a in range(90000) %}{% for b in range(90000) %}{% endfor %}"
    "{% endfor %}",
    "writes without end": "{% for a in range(90000) %}{{ 'x' * 90000 }}{% endfor %}",
    "fills the memory": "{{ 'x' * 10 ** 10 }}",
    "pads without end": "{{ '%9999999999d' % 1 }}",
    "raises to a power": "{{ 9 ** (9 ** 9) > 1 }}",
    "reaches a method's globals": "{{ meta.get.__globals__ }}",
    "reaches by a filter": "{{ meta|attr('__class__') }}",
    "reaches by a key": "{{ ''['__class__'] }}",
    "reads the program": "{{ self.__init__ }}",
    "reads a shipped file": "{% include 'pack.js' %}",
    "imports": "{% import 'os' as os %}{{ os }}",
    "changes what others print": "{{ meta.update({'title': 'x'}) }}",
}


@pytest.mark.parametrize("kind", TEMPLATES)
def test_a_layers_template_only_prints(
    kind: str, tmp_path: Path, context: dict[str, Any], base: RuleBase
) -> None:
    """Threat: a template in a layer reads the program or the disk, hangs, or fills the memory."""
    folder = with_template(tmp_path / "shop", TEMPLATES[kind])
    (told,) = told_by(limited(lambda: page_of(context, stack(base, [folder])), 8.0))
    assert told.startswith("message: "), told[-600:]
    assert "cannot be filled" in told
    assert "timetable.html.j2" in told
    assert "root:" not in told


@pytest.mark.parametrize("name", ["json.py", "jinja2.py", "planner.py", "sitecustomize.py"])
def test_a_template_brings_no_program_along(
    name: str, tmp_path: Path, context: dict[str, Any], base: RuleBase,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Threat: Python in the folder that somebody works in is run where templates are filled."""
    folder = with_template(tmp_path / "shop", "<h2>Times of {{ meta.title }}</h2>")
    victim = tmp_path / "victim"
    (folder / name).write_text(f"open({str(victim)!r}, 'w')", encoding="utf-8")
    monkeypatch.chdir(folder)
    assert "<h2>Times of Invented" in page_of(context, stack(base, [folder]))
    assert not victim.exists()


ACTIVE = (
    "<img src='http://127.0.0.1:9/x.png'>", "<script>alert(1)</script>",
    "<meta http-equiv=refresh content='0;url=http://127.0.0.1'>", "<p onclick='x()'>a</p>",
    "<form action='http://127.0.0.1'><input name=a></form>", "<base href='http://h/'>",
    "<iframe src='file:///etc/passwd'></iframe>", "<object data='/etc/passwd'></object>",
    "<svg><script>1</script></svg>", "<link rel=stylesheet href='http://h/'>",
    "<!-- the rest of the page", "<p hidden>", "<div class=screen>", "</section></main>",
    "<style>.part-limits{display:none}</style>", "<p style='position:fixed'>a</p>",
    "<a href='javascript:alert(1)'>a</a>", "<textarea>", "<p title='a", "<plaintext>",
    "<svg><path fill='url(http://h/)'/></svg>", "<svg><use href='#a'/></svg>", "<p", "<div/>",
    "<svg><foreignObject></foreignObject></svg>", "<![CDATA[a]]>", "<?php 1 ?>",
    "<svg></p><style>", "<svg><path fill='URL( http://h/)'/></svg>", "<x:script>1</x:script>",
    "<svg><path fill='u\\72l(http://h/)'/></svg>",
)  # fmt: skip


@pytest.mark.parametrize("text", ACTIVE)
def test_markup_that_does_more_than_stand_there_is_found(text: str) -> None:
    """Threat: what a shop's template prints runs, fetches, sends, or swallows what follows it."""
    assert wrong(f"<h2>Times of this shop</h2>{text}")
    assert not wrong("<h2>Times of this <em>shop</em></h2><hr><p>1 &lt; 2<br>and 3</p>")


GREEDY = (
    "<svg><pattern id='a'><rect fill='url(#b)'/></pattern></svg>", "<svg><clipPath/></svg>",
    "<svg><pattern id='a' fill='url(#b)'></pattern></svg>",
    "<svg><g fill='url(#b)'><pattern id='a'></pattern></g></svg>",
    "<svg><pattern id='a'>" + "<rect/>" * 51 + "</pattern></svg>",
    "<table><tr><td>" * 4 + "</td></tr></table>" * 4,
    "<svg><mask/></svg>", "<svg><marker/></svg>", "<td colspan=9999>",
    "<td rowspan='-1'>", "<div>" * 51 + "</div>" * 51, "<br>" * 5001,
)  # fmt: skip


@pytest.mark.parametrize("text", GREEDY)
def test_markup_that_takes_the_page_makers_memory_is_found(text: str) -> None:
    """Threat: a section multiplies itself: patterns within patterns, depth, spans, numbers."""
    assert wrong(text)
    assert not wrong("<div>" * 40 + "</div>" * 40 + "<table><td colspan=3>a</td></table>")


@pytest.mark.parametrize(
    "text",
    ["<p id=progress>", "<p id='step-3'>", "<p class='small step'>", "<p class=tools-bar>"],
)
def test_a_section_takes_no_name_of_the_pages_script(text: str) -> None:
    """Threat: a section that stands before the steps takes the names by which they are found."""
    assert "the page's own script" in wrong(f"{text}a</p>")
    assert not wrong("<p id='timetable' class='small stepped'>a</p>")


def test_a_folder_of_templates_is_no_link(tmp_path: Path, base: RuleBase) -> None:
    """Threat: the folder of templates is a link to the whole disk, which is then looked through."""
    folder = layer(tmp_path / "shop")
    (folder / "templates").symlink_to("/")
    with no_hang(), pytest.raises(InputError, match="templates: this is a link"):
        stack(base, [folder])


def test_a_section_of_a_layer_is_told_as_a_departure(tmp_path: Path, base: RuleBase) -> None:
    """Threat: a layer words a section otherwise, and nobody hears of it."""
    told = stack(base, [with_template(tmp_path / "shop", "<p>All is well.</p>")]).departures
    assert [one.rule for one in told] == ["sections/timetable"]
    assert told[0].what == "worded by this layer"


@pytest.mark.parametrize(
    "text", [ACTIVE[0], "{{ '<script>1</script>'|safe }}", "{{ ('<scr' ~ 'ipt>')|safe }}"]
)
def test_a_layers_template_brings_nothing_active(
    text: str, tmp_path: Path, context: dict[str, Any], base: RuleBase
) -> None:
    """Threat: a template in a layer puts a script, a form or something fetched into the page."""
    folder = with_template(tmp_path / "shop", f"<h2>Times of this shop</h2>{text}")
    with pytest.raises(InputError, match=r"timetable\.html\.j2: .* it prints <"):
        page_of(context, stack(base, [folder]))


@pytest.mark.parametrize("name", REPLACED)
def test_a_section_copied_from_ours_reads_as_ours(
    name: str, tmp_path: Path, context: dict[str, Any], base: RuleBase
) -> None:
    """A shop that begins from a shipped section may use all that it uses."""
    shipped = paths.shipped("templates") / name
    text = shipped.read_text(encoding="utf-8")
    changed = stack(base, [with_template(tmp_path / "shop", text, name)])
    assert list(changed.house.templates) == [name]
    assert page_of(context, changed) == page_of(context, base)


def test_what_templates_see_is_plain(context: dict[str, Any]) -> None:
    """Nothing that they are given can open a file: a sandbox lets every method be called."""
    seen = list(_inside(context))
    plain = (str, int, float, bool, type(None), tuple, list, Mapping, Struct)
    assert len(seen) > 1000
    assert not {type(one) for one in seen if not isinstance(one, plain)}


def _inside(value: Any) -> Iterator[Any]:
    yield value
    held: Iterable[Any] = ()
    if isinstance(value, Mapping):
        held = value.values()
    elif isinstance(value, list | tuple):
        held = value
    elif isinstance(value, Struct):
        held = [getattr(value, one.name) for one in fields(value)]
    for one in held:
        yield from _inside(one)


def test_a_pack_without_sections_of_a_shop_starts_nothing(
    monkeypatch: pytest.MonkeyPatch, context: dict[str, Any], base: RuleBase
) -> None:
    """The limits cost nothing where there is nothing to limit."""
    monkeypatch.setattr(subprocess, "run", None)
    assert "<main" in page_of(context, base)


@pytest.mark.parametrize(
    "name", ["limits", "open_points", "risk", "card", "signoff", "departures", "appendix"]
)
def test_a_layer_cannot_hide_what_keeps_people_safe(
    name: str, tmp_path: Path, base: RuleBase
) -> None:
    """Threat: a layer replaces the section of cautions, or of what the layer changed."""
    folder = with_template(tmp_path / "shop", "<p>All is well.</p>", f"parts/{name}.html.j2")
    with pytest.raises(InputError, match=f"{name}.html.j2: this section"):
        stack(base, [folder])


@pytest.mark.parametrize(
    "name", ["pack.html.j2", "parts/../pack.html.j2", "parts/macros.html.j2"]
)
def test_a_layer_cannot_replace_the_frame_of_the_page(
    name: str, tmp_path: Path, context: dict[str, Any], base: RuleBase
) -> None:
    """Threat: a template replaces the page's head and with it the rule that forbids scripts."""
    folder = layer(tmp_path / "shop")
    place = folder / "templates" / name
    place.parent.mkdir(parents=True, exist_ok=True)
    (folder / "templates" / "parts").mkdir(exist_ok=True)
    place.write_text("<html><script>alert(1)</script></html>", encoding="utf-8")
    with pytest.raises(InputError, match=place.name):
        page_of(context, stack(base, [folder]))


LOGOS = {
    "../secret.svg": "", "/etc/passwd": "", "CON": "", "link.svg": "", "pipe.svg": "",
    "remote.svg": "<svg xmlns='http://www.w3.org/2000/svg'><image href='file:///etc/passwd'/></svg>",
    "script.svg": "<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>",
    "entity.svg": "<!DOCTYPE svg [<!ENTITY a SYSTEM 'file:///etc/passwd'>]><svg>&a;</svg>",
    "no-picture.png": "hello", "flood.png": "\x89PNG\r\n\x1a\n    IHDR" + "\x7f\xff" * 8,
    "style.svg": "<svg><style>@import 'http://127.0.0.1:9/a.css';</style></svg>",
    "place.svg": "<svg><rect fill='url(http://127.0.0.1:9/a)'/></svg>",
    "event.svg": "<svg onload='alert(1)'/>", "broken.svg": "<svg><g></svg>",
    "unfold.svg": "<svg><defs><g id='a'/></defs><use href='#a'/></svg>",
    "pattern.svg": "<svg><pattern id='a'><rect fill='url(#b)'/></pattern></svg>",
    "mask.svg": "<svg><mask id='a'/></svg>",
    "deep.svg": "<svg>" + "<g>" * 60 + "</g>" * 60 + "</svg>",
    "spelt.svg": "<svg><style>@\\69mport 'http://127.0.0.1:9/a.css';</style></svg>",
    "cut.svg": "<svg><style>@im<!-- -->port 'http://127.0.0.1:9/a.css';</style></svg>",
    "letters.svg": "<svg><rect fill='u\\72l(http://127.0.0.1:9/a)'/></svg>",
}  # fmt: skip


@pytest.mark.parametrize("name", LOGOS)
def test_a_logo_is_a_picture_in_the_layers_folder(
    name: str, tmp_path: Path, base: RuleBase
) -> None:
    """Threat: the logo names a file elsewhere, waits for ever, or brings more than a picture."""
    folder = layer(tmp_path / "shop")
    (folder / "base.yaml").write_text(HEAD.replace("}", f", logo: '{name}'}}"), encoding="utf-8")
    (tmp_path / "secret.svg").write_text("<svg>password</svg>", encoding="utf-8")
    (folder / "link.svg").symlink_to(tmp_path / "secret.svg")
    os.mkfifo(folder / "pipe.svg")
    if LOGOS[name]:
        (folder / name).write_bytes(LOGOS[name].encode("latin-1"))
    with no_hang(), pytest.raises(InputError, match="logo"):
        stack(base, [folder])


@pytest.mark.parametrize("name", ["logo.svg", "logo.png"])
def test_a_plain_logo_stands_on_the_pack(name: str, tmp_path: Path, base: RuleBase) -> None:
    """What is refused above is refused for what it holds: these hold none of it."""
    drawn = b"<?xml version='1.0'?><svg xmlns='http://w3.org/svg'><g fill='url(#a)'/></svg>"
    size = (90).to_bytes(4) + (40).to_bytes(4)
    folder = layer(tmp_path / "shop")
    (folder / name).write_bytes({"logo.svg": drawn}.get(name, PNG + b"\0\0\0\rIHDR" + size))
    (folder / "base.yaml").write_text(HEAD.replace("}", f", logo: '{name}'}}"), encoding="utf-8")
    assert stack(base, [folder]).house.logo.startswith("data:image/")
