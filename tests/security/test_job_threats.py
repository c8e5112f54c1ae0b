"""A job file from a stranger: one test for each line of the threat model in DEVELOPERS.md."""

from __future__ import annotations

import contextlib
import csv
import importlib
import io
import os
import pkgutil
import re
import subprocess
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path

import markdown
import pytest
from msgspec.structs import replace

import planner
from planner.errors import InputError
from planner.job.desk import Desk
from planner.job.file import parse_job, read_job
from planner.pack.bom import safe
from planner.pack.pdf import FetchRefusedError, pdf
from planner.pack.write import write_pack
from planner.plan.make import make_plan
from planner.plan.model import Finding, Plan
from planner.plan.show import show
from planner.rulebase.base import RuleBase
from planner.rulebase.values import MAX_TEXT
from planner.yamltext import read_text

from ..reliability.broken import no_hang
from .hostile import CONTROL, TEXTS, Page, hostile_job, tree

PACK = {"pack.html", "pack.pdf", "pack.md", "plan.json", "bom.csv", "drilling-template.pdf"}
#: Elements and attributes through which a page could run or fetch something.
ACTIVE = {"script", "iframe", "object", "embed", "link", "base", "form", "meta", "img", "image",
          "foreignobject", "use", "animate", "set", "audio", "video", "source"}  # fmt: skip
FETCHING = {"src", "srcset", "href", "xlink:href", "action", "formaction", "data", "poster", "ping"}


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the hostile job file, in a folder of its own."""
    return hostile_job(tmp_path_factory.mktemp("post"))


@pytest.fixture(scope="module")
def plan(sent: Path, base: RuleBase) -> Plan:
    """Return the hostile job's plan."""
    return make_plan(read_job(sent, base), base, every_fact=True)


@pytest.fixture(scope="module")
def pack(sent: Path, plan: Plan) -> dict[str, bytes]:
    """Return every file of the hostile job's pack."""
    out = sent.parent / "pack"
    write_pack(plan, out)
    return tree(out)


@pytest.mark.parametrize(
    "tag", ["!!python/object/apply:os.system ['touch owned']", "!!python/name:os.system x",
            "!!map {}", "!custom x", "!!binary aGk=", "!!timestamp 2026-01-01"],
)  # fmt: skip
def test_tags_build_nothing(tag: str, base: RuleBase) -> None:
    """Threat: a YAML tag makes the reader build an object or call a function."""
    with pytest.raises(InputError, match=r"the tag .* is not used here"):
        parse_job(f"job: {{reference: {tag}}}", "van.yaml", base)


@pytest.mark.parametrize(
    "bomb",
    ["a: &a [x,x]\nb: &b [*a,*a]\nc: [*b,*b]\n", "a: " + "[" * 5000, "a: " + "{b: " * 5000,
     "- " * 5000, "? " * 5000, "a:\n  <<: {b: 1}\nroof: {}", "x: 1\n" * 50_000, "%TAG ! x\n" * 999],
)  # fmt: skip
def test_bombs_do_not_go_off(bomb: str, base: RuleBase) -> None:
    """Threat: aliases, depth, repetition or directives blow up in memory or time."""
    with no_hang(1.0), pytest.raises(InputError):
        parse_job(bomb, "van.yaml", base)


def test_no_more_than_a_small_file_is_read(tmp_path: Path, base: RuleBase) -> None:
    """Threat: a huge file, or a device without end, fills the memory."""
    (tmp_path / "van.yaml").symlink_to("/dev/zero")
    with no_hang(), pytest.raises(InputError, match="over 500 kB"):
        read_job(tmp_path / "van.yaml", base)
    os.mkfifo(tmp_path / "pipe.yaml")
    with no_hang(), pytest.raises(InputError, match="this is a pipe, not a file"):
        read_job(tmp_path / "pipe.yaml", base)


@pytest.mark.parametrize(
    "number", ["1e308", "-1e308", "1e400", "9" * 18, "1" + "0" * 400, ".inf", "-.inf", ".nan",
               "NaN", "1e-400", "0x7fffffff", "1_000", "-0.0", "٣", "true", "[[1]]", "{a: 1}"],
)  # fmt: skip
def test_huge_and_odd_numbers_are_refused(number: str, base: RuleBase) -> None:
    """Threat: a number overflows, never compares, or turns into something else."""
    for fact in ("panel: {mass_kg: ", "job: {crew: ", "roof: {length_mm: ", "use: {months: "):
        with pytest.raises(InputError, match=r"van.yaml:1: \w+.\w+: "):
            parse_job(f"{fact}{number}}}", "van.yaml", base)


@pytest.mark.parametrize(
    "moment", ["0001-01-01 00:00", "1999-12-31 23:59", "9999-12-31 23:59", "10000-01-01",
               "2026-05-04T08:00Z", "2026-05-04T08:00+99:00", "9" * 400, "2026-13-01", "-1"],
)  # fmt: skip
def test_years_out_of_reach_are_refused(moment: str, base: RuleBase) -> None:
    """Threat: a date at the end of the calendar overflows when days are added."""
    with pytest.raises(InputError, match=r"job.start: .*Write"):
        parse_job(f"job: {{start: '{moment}'}}", "van.yaml", base)


def patterns() -> Iterator[re.Pattern[str]]:
    """Yield every compiled pattern that a module of the planner holds."""
    for found in pkgutil.walk_packages(planner.__path__, "planner."):
        if found.name == "planner.__main__" or "derive" in found.name:
            continue
        for value in vars(importlib.import_module(found.name)).values():
            if isinstance(value, re.Pattern) and isinstance(value.pattern, str):
                yield value


def test_no_pattern_is_slow() -> None:
    """Threat: a text on which a pattern backtracks for ever."""
    pieces = ["a", "1", "1-", "-a", "a-1", "{", "{a", "}", " ", "_", "a.", ".", "e+", "1e", "*",
              "[", "\\", "(", "<", "&", ", ", " and ", "\n", "#", "é"]  # fmt: skip
    tried = list(patterns())
    assert len(tried) >= 8
    for pattern in tried:
        for piece in pieces:
            for end in ("", "!", "\x00"):
                text = (piece * MAX_TEXT)[:MAX_TEXT] + end
                with no_hang(0.5):
                    pattern.fullmatch(text)
                    pattern.sub("", text)


def test_markup_is_inert_in_html(pack: dict[str, bytes]) -> None:
    """Threat: an answer becomes an element, an attribute or a script of the page."""
    page = Page(pack["pack.html"].decode())
    tags = [tag for tag, _ in page.elements]
    assert tags.count("script") == 1, "the page's own script, and no other"
    assert not {"iframe", "object", "embed", "base", "link", "foreignobject"} & set(tags)
    for tag, attributes in page.elements:
        assert not [name for name in attributes if name.startswith("on")], (tag, attributes)
        for name in FETCHING & set(attributes):
            assert (attributes[name] or "").startswith(("#", "data:")), (tag, attributes)
    for mark in ("script", "breakout", "attribute", "fetch", "markdown"):
        assert TEXTS[mark].split()[0] in page.text
    policy = [a["content"] for _, a in page.elements if a.get("http-equiv")]
    assert policy
    assert "default-src 'none'" in str(policy[0])


def test_drawings_hold_answers_as_text_only(pack: dict[str, bytes]) -> None:
    """Threat: a name in a drawing becomes an element of the drawing."""
    drawings = re.findall(r"<svg.*?</svg>", pack["pack.html"].decode(), re.DOTALL)
    assert any("mark6" in drawing for drawing in drawings), "panels compared are named in drawings"
    for drawing in drawings:
        inside = {tag for tag, _ in Page(drawing).elements}
        assert not inside & (ACTIVE | {"style", "a", "textarea"})


def test_markup_is_inert_in_markdown(pack: dict[str, bytes]) -> None:
    """Threat: an answer becomes a link, picture or element where the Markdown is shown."""
    made = markdown.markdown(pack["pack.md"].decode(), extensions=["tables"])
    page = Page(made)
    assert not (ACTIVE | {"a", "style"}) & {tag for tag, _ in page.elements}
    assert "**bold**" in page.text
    assert TEXTS["script"] in page.text


def test_no_cell_becomes_a_formula(pack: dict[str, bytes]) -> None:
    """Threat: a spreadsheet runs a cell of the list of materials."""
    rows = list(csv.reader(io.StringIO(pack["bom.csv"].decode())))
    assert len(rows) > 20
    cells = [cell for row in rows for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    for text in (TEXTS["formula"], "+1", "-1", "@x", "\t=1", "\r=1", " =1", "\u200b=1", "\ufeff=1"):
        assert not safe(text).startswith(("=", "+", "-", "@"))


def test_answers_are_never_templates(pack: dict[str, bytes]) -> None:
    """Threat: braces in an answer are filled in, and show what they should not or run code."""
    for name in ("pack.html", "plan.json"):
        text = pack[name].decode()
        assert "{{7*7}} {% for x in range(9) %}x{% endfor %} {# c #} ${7*7} {panel.mass_kg}" in text
        assert "mark5 49" not in text
    assert "mark6 {job.reference} {job.reference:bare} {0.__class__}" in pack["plan.json"].decode()


def run_cli(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command line as a person would."""
    return subprocess.run(
        [sys.executable, "-m", "planner", *arguments],
        env={**os.environ, **environment}, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_nothing_commands_the_terminal(sent: Path, tmp_path: Path, base: RuleBase) -> None:
    """Threat: an answer moves the cursor, renames the window or hides text in the terminal."""
    done = run_cli("plan", str(sent))
    assert done.returncode in (0, 3), done.stderr
    assert not CONTROL.search(done.stdout + done.stderr)
    for text in ('job: {reference: "a\\e[2Jb"}', '"\\e]0;x\\a": 1', 'job: {"\\x9b2J": 1}',
                 "job: {reference: !<tag:%1B[2J> x}", 'roof: {material: "\\u202Egrp"}',
                 'candidates: [{"\\b": 1}]', "roof: {'a\u202eb': 1}"):  # fmt: skip
        with pytest.raises(InputError, match=r"faulty.yaml:1: ") as caught:
            parse_job(text, "faulty.yaml", base)
        assert not CONTROL.search(str(caught.value)), text
    faulty = tmp_path / "faulty.yaml"
    faulty.write_bytes(b'"\\e]0;renamed\\a": 1')
    done = run_cli("plan", str(faulty))
    assert done.returncode == 2
    assert "faulty.yaml:1: the character '\\x1b' is not text" in done.stderr
    assert not CONTROL.search(done.stdout + done.stderr)


def test_answers_are_shown_as_typed_in_the_terminal(plan: Plan) -> None:
    """Threat: square brackets in an answer colour, hide or link the text around them."""
    text = "[red]red[/red] [link=http://h]l[/link] [/] [blink]"
    finding = Finding("x", "note", text, "because", "common practice", cure=text)
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        show(replace(plan, findings=(finding,)))
    assert text in " ".join(out.getvalue().split())


def test_direction_marks_cannot_reorder_text(base: RuleBase) -> None:
    """Threat: marks that turn the direction of text show another figure than the one meant."""
    for mark in "\u202a\u202b\u202d\u202e\u2066\u2067\u2068\u2069\u2028":
        with pytest.raises(InputError, match=r"van.yaml:1: the character '\\u20"):
            read_text(f"job: {{vehicle: 'van {mark}gpj'}}", "van.yaml")
    hidden = parse_job("job: {vehicle: 'v\u200ba\u200bn\ufeff'}", "van.yaml", base)
    assert hidden.answers["job.vehicle"] == "van"


@pytest.mark.parametrize(
    "inside",
    ["<img src='file:///etc/passwd'>", "<img src='http://127.0.0.1:9/x.png'>",
     "<link rel=stylesheet href='file:///etc/passwd'>", "<style>@import 'http://127.0.0.1:9/';</style>",
     "<style>p{background:url(file:///etc/passwd)}</style>", "<img src='near.png'>",
     "<style>p{background:url(/etc/passwd)}</style>", "<img src='//127.0.0.1:9/x.png'>",
     "<svg><image href='file:///etc/passwd'/></svg>",
     "<style>@font-face{font-family:q;src:url(file:///etc/passwd)} p{font-family:q}</style>"],
)  # fmt: skip
def test_the_pdf_fetches_nothing(inside: str) -> None:
    """Threat: what makes the PDF reads a file or a URL that the page names."""
    with pytest.raises(FetchRefusedError):
        pdf(f"<html><body><p>text</p>{inside}</body></html>", title="t", paper="a4")


WATCHED = """
import sys
from msgspec.structs import replace
from pathlib import Path
from planner.job.file import read_job
from planner.pack.write import write_pack
from planner.plan.make import make_plan
from planner.rulebase.load import built_in
base = built_in()
job, out = Path(sys.argv[1]), Path(sys.argv[2])
touched = []
WATCHED = ("open", "os.", "socket.", "subprocess.", "shutil.", "urllib.", "ftplib.", "exec")
def watch(event, arguments):
    if event.startswith(WATCHED) and event != "exec":
        touched.append((event, str(arguments[0]) if arguments else ""))
sys.addaudithook(watch)
plan = make_plan(read_job(job, base), base, every_fact=True)
write_pack(plan, out, both_cores=False)  # a copy of the process could not be watched from here
for event, what in list(touched):
    print(event, what, sep="\\t")
"""


def test_a_pack_reads_the_job_and_the_program_and_writes_into_its_folder(
    sent: Path, tmp_path: Path
) -> None:
    """Threat: making a pack opens files elsewhere, starts programs or talks to the network."""
    out = tmp_path / "pack"
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, str(sent), str(out)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    events = [line.split("\t") for line in done.stdout.splitlines()]
    assert any(what == str(sent) for _, what in events)
    outward = ("socket", "subprocess", "urllib", "os.system", "os.exec", "os.posix", "os.fork")
    assert not [event for event, _ in events if event.startswith(outward)]
    homes = [str(tmp_path), str(sent), str(Path(planner.__file__).parents[1]), sys.prefix,
             sys.base_prefix, "/usr/share/zoneinfo", "/etc/localtime", "/dev/urandom"]  # fmt: skip
    opened = {what for event, what in events if event == "open" and what.startswith("/")}
    assert not {what for what in opened if not what.startswith(tuple(homes))}


def test_names_in_a_job_lead_to_no_path(sent: Path, plan: Plan, tmp_path: Path) -> None:
    """Threat: a reference such as ../../x makes a pack write elsewhere."""
    assert TEXTS["path"] in sent.read_text(encoding="utf-8").replace("\\\\", "\\")
    here = tmp_path / "deep" / "deeper"
    here.mkdir(parents=True)
    before = tree(tmp_path)
    write_pack(plan, here / "pack")
    new = set(tree(tmp_path)) - set(before)
    assert len(new) >= len(PACK) - 1
    assert all(name.startswith("deep/deeper/pack/") for name in new)
    assert {Path(name).name for name in new} <= PACK


@pytest.mark.parametrize("name", [".van.yaml.lock", ".van.yaml.holder", "van.yaml", "pack"])
def test_links_that_lie_in_wait_are_not_written_through(
    name: str, tmp_path: Path, plan: Plan, base: RuleBase
) -> None:
    """Threat: a folder sent along holds links where the planner writes."""
    victim = tmp_path / "victim"
    victim.mkdir()
    (victim / "letter").write_text("roof: {moves: true}\n", encoding="utf-8")
    folder = tmp_path / "sent"
    folder.mkdir()
    (folder / name).symlink_to(victim if name == "pack" else victim / "letter")
    before = tree(victim)
    with contextlib.suppress(InputError), Desk(folder / "van.yaml", base) as desk:
        desk.keep({"roof.moves": False})
    with contextlib.suppress(InputError):
        write_pack(plan, folder / "pack")
    assert tree(victim) == before


def test_outputs_name_no_home_and_no_user(tmp_path: Path, sent: Path) -> None:
    """Threat: a pack handed on tells who made it, and where on whose disk."""
    home = tmp_path / "home" / "zebulon-quux"
    home.mkdir(parents=True)
    job = home / "van.yaml"
    job.write_bytes(sent.read_bytes())
    secret = {"HOME": str(home), "USER": "zebulon-quux", "LOGNAME": "zebulon-quux",
              "USERNAME": "zebulon-quux", "LIDWORK_TOKEN": "open-sesame-9431"}  # fmt: skip
    done = run_cli("pack", str(job), "-o", str(home / "pack"), **secret)
    assert done.returncode in (0, 3), done.stderr
    files = tree(home / "pack")
    assert len(files) >= 5
    for name, data in files.items():
        for word in (b"zebulon", b"open-sesame", str(tmp_path).encode(), b"site-packages"):
            assert word not in data, (name, word)
            assert word not in _unpacked(data), (name, word)


def _unpacked(data: bytes) -> bytes:
    """Return the streams of a PDF, unpacked; empty for anything else."""
    found = b""
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", data, re.DOTALL):
        try:
            found += zlib.decompress(stream)
        except zlib.error:
            continue
    return found
