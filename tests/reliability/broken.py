"""Job files and rule files as they should never be: generators, and what counts as a fair answer.

A broken file must be answered by a message or by a plan: never by a traceback, a hang or a memory
that grows without bounds.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from msgspec.structs import replace

from planner import paths
from planner.engineering.bindings import BINDINGS
from planner.errors import InputError, LidworkError
from planner.job.file import parse_job
from planner.job.nested import path_of, put
from planner.plan.make import make_plan
from planner.rulebase.base import RuleBase
from planner.rulebase.check import check
from planner.rulebase.gather import gather
from planner.rulebase.layers import stack
from planner.rulebase.load import built_in, read_files, texts_of
from planner.rulebase.model import KINDS, FactShape
from planner.survey.flow import pointless

#: Seconds of processor time after which a file counts as having hung the planner.
HANG_S = 2.0
MESSAGE, PLAN = "message", "plan"


class HungError(AssertionError):
    """A file took the planner too long."""


@contextmanager
def no_hang(seconds: float = HANG_S) -> Iterator[None]:
    """Stop what runs inside after so many seconds of processor time, whatever else is running.

    What waits takes no processor time, so there is an alarm by the clock too, with room to spare.
    """

    def stop(_number: int, _frame: object) -> None:
        raise HungError(f"no answer within {seconds} s of processor time, or waiting for ever")

    clocks = ((signal.SIGVTALRM, signal.ITIMER_VIRTUAL, seconds),
              (signal.SIGALRM, signal.ITIMER_REAL, 30 * seconds))  # fmt: skip
    before = [signal.signal(sign, stop) for sign, _, _ in clocks]
    for _, clock, limit in clocks:
        signal.setitimer(clock, limit)
    try:
        yield
    finally:
        for (sign, clock, _), handler in zip(clocks, before, strict=True):
            signal.setitimer(clock, 0)
            signal.signal(sign, handler)


def fair(work: Callable[[], object]) -> str:
    """Return whether the work ended in a plan or in a message; anything else is an error."""
    with no_hang():
        try:
            work()
        except LidworkError as error:
            text = str(error)
            assert text.strip(), "a message must say something"
            assert "\x1b" not in text, "a message must not command the terminal"
            assert len(text) < 40_000, "a message must not bury its reader"
            return MESSAGE
    return PLAN


# ── Job files ────────────────────────────────────────────────────────────────


def try_job(text: str, base: RuleBase) -> str:
    """Read a job and plan it."""
    return fair(lambda: make_plan(parse_job(text, "van.yaml", base), base))


@lru_cache(maxsize=1)
def demos() -> tuple[str, ...]:
    """Return the demo job files' text."""
    return tuple(path.read_text(encoding="utf-8") for path in sorted(paths.DEMOS.glob("*.yaml")))


ODD_WORDS = st.sampled_from(
    ["", "~", "null", "unknown", "true", "no", "NaN", ".inf", "-.inf", "1e308", "1e400", "-0",
     "9" * 18, "9" * 400, "0x1F", "1_000", "010", "1,5", "½", "٣", "１２", "2026-02-30",
     "0001-01-01", "9999-12-31 23:59", "{{7*7}}", "{job.reference}", "=1+1", "<b>", "\u202e",
     "\ufeff", "\u0000", '"\\e[2J"', "&a", "*a", "!!python/name:os.system", "<<", "? ", "- ",
     "|", ">-", "%TAG", "{}", "[]", "[[", "{a: {b: {c: 1}}}", "'", '"', "#",
     "\t", "\r", "\r\n", "---", "..."]
)  # fmt: skip
SMALL = st.integers(0, 400)


def _spliced(text: str, where: int, cut: int, new: str) -> str:
    place = where % (len(text) + 1)
    return text[:place] + new + text[place + cut :]


def _line_changed(text: str, where: int, how: int, word: str) -> str:
    """Cut, double, indent, outdent, move or reword one line."""
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at = where % len(lines)
    line = lines[at]
    key, colon, _ = line.partition(":")
    changed = [
        [],
        [line, line],
        ["  " + line],
        [line.removeprefix(" ").removeprefix(" ")],
        [f"{key}{colon} {word}\n"],
        [line.rstrip("\n")],
    ][how % 6]
    return "".join(lines[:at] + changed + lines[at + 1 :])


def _damage() -> st.SearchStrategy[Callable[[str], str]]:
    place = st.integers(0, 40_000)
    splice = st.tuples(place, SMALL, st.one_of(ODD_WORDS, st.text(max_size=6))).map(
        lambda a: lambda text: _spliced(text, *a)
    )
    flip = st.tuples(place, st.characters(exclude_categories=["Cs"])).map(
        lambda a: lambda text: _spliced(text, a[0], 1, a[1])
    )
    line = st.tuples(place, st.integers(0, 5), ODD_WORDS).map(
        lambda a: lambda text: _line_changed(text, *a)
    )
    return st.one_of(line, flip, splice)


@st.composite
def damaged(draw: st.DrawFn, texts: st.SearchStrategy[str]) -> str:
    """Take a sound text and damage it in a few places."""
    text = draw(texts)
    for change in draw(st.lists(_damage(), min_size=1, max_size=4)):
        text = change(text)
    return text


def _value(shape: FactShape) -> st.SearchStrategy[Any]:
    """Values that fit a fact, often at the ends of its range."""
    if shape.kind == "choice":
        return st.sampled_from(sorted(shape.options))
    if shape.kind in ("number", "integer"):
        return _number(shape)
    if shape.kind == "list":
        return _list(shape)
    if shape.kind == "moment":
        return st.sampled_from(["2026-05-04 08:00", "2000-01-01 00:00", "2099-12-31 23:59"])
    return st.booleans() if shape.kind == "yes_no" else st.one_of(ODD_WORDS, st.text(max_size=30))


def _number(shape: FactShape) -> st.SearchStrategy[Any]:
    low = -1e6 if shape.least is None else shape.least
    high = 1e6 if shape.most is None else shape.most
    if shape.kind == "number":
        return st.one_of(st.sampled_from([low, high]), st.floats(low, high))
    ends = [int(low), int(high)]
    return st.one_of(st.sampled_from(ends), st.integers(*ends))


def _list(shape: FactShape) -> st.SearchStrategy[Any]:
    fields = getattr(shape, "fields", ())
    if not fields:
        return st.lists(st.one_of(st.integers(-1, 14), st.floats(0, 9)), max_size=13)
    item = st.fixed_dictionaries(
        {field.fact: _value(field) for field in fields if field.required},
        optional={field.fact: _value(field) for field in fields if not field.required},
    )
    return st.lists(item, max_size=6)


WRONG = st.one_of(
    ODD_WORDS, st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=20),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=3),
)  # fmt: skip


def _flow(value: Any) -> str:
    """Write plain data as YAML in flow style, whatever it holds."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_flow(k)}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, str):
        return "'" + value.replace("'", "''") + "'"
    if value is None or isinstance(value, bool):
        return str(value).lower().replace("none", "null")
    return repr(value)


@st.composite
def odd_jobs(draw: st.DrawFn, base: RuleBase) -> str:
    """Draw a demo's answers with some changed: mostly to values that fit, now and then to none.

    Answers that the changed ones make pointless are left out, or few drawn jobs would be planned.
    """
    data = dict(parse_job(draw(st.sampled_from(demos())), "demo", base).answers)
    names = draw(st.lists(st.sampled_from(sorted(base.questions)), max_size=6, unique=True))
    wrong = draw(st.integers(0, 3)) == 0
    for name in names:
        data[name] = draw(WRONG if wrong else _value(base.questions[name]))
    if not wrong:
        for name in pointless(base, data):
            del data[name]
    nested: dict[str, Any] = {}
    for name, value in data.items():
        nested = put(nested, path_of(name), value)
    text = "".join(f"{section}: {_flow(content)}\n" for section, content in nested.items())
    return "\n" + text if draw(st.booleans()) else text


def broken_jobs(base: RuleBase) -> st.SearchStrategy[str]:
    """Return every kind of job file that is not as it should be."""
    whole = st.sampled_from(demos())
    return st.one_of(odd_jobs(base), odd_jobs(base), damaged(whole), st.text(max_size=200))


# ── Rule files ───────────────────────────────────────────────────────────────


@lru_cache(maxsize=1)
def rule_texts() -> Mapping[str, str]:
    """Return the text of every shipped rule file."""
    return texts_of(read_files(paths.shipped("rules")))


HEAD = "rules/base.yaml"


def with_file(name: str, text: str) -> RuleBase:
    """Return the shipped rules with one file's text replaced, without reading the others again.

    Raises:
        InputError: If the file is faulty.
    """
    base = built_in()
    texts = {HEAD: rule_texts()[HEAD], name: text}
    head, rules, places = gather(texts, KINDS)
    stays = {key: place for key, place in base.places.items() if _file(place) not in texts}
    merged = {
        kind: {
            **{key: rule for key, rule in getattr(base, kind).items() if (kind, key) in stays},
            **rules[kind],
        }
        for kind in KINDS
    }
    return replace(base, base=head, places={**stays, **places}, **merged)


def _file(place: str) -> str:
    return place.rpartition(":")[0]


def try_rules(name: str, text: str) -> str:
    """Load rules with one file broken, check them, and plan a demo where no fault is found."""

    def work() -> None:
        base = with_file(name, text)
        faults = check(base, BINDINGS)
        if faults:
            raise InputError(*faults[:50])
        make_plan(parse_job(demos()[0], "demo", base), base)

    return fair(work)


def broken_rules() -> st.SearchStrategy[tuple[str, str]]:
    """Return the name of a rule file with its text, damaged."""
    texts = rule_texts()
    return st.sampled_from(sorted(texts)).flatmap(
        lambda name: st.tuples(st.just(name), damaged(st.just(texts[name])))
    )


LAYER = """
base: {name: an invented shop, version: '3', date: '2026-02-01', approved_by: the foreman}
answers:
  - {fact: job.paper, fixed: a4, because: There is one printer and it has one tray.}
  - {fact: job.hours_per_day, usual: 7, because: The doors close at five.}
changes:
  - of: steps
    id: STEP
    add: {lines: [Write the time on the board.]}
    because: The board is how the shop knows.
  - {of: findings, id: NOTE, set: {severity: caution}, because: It went wrong twice.}
withdrawn:
  - {of: tools, id: TOOL, because: Nobody here owns one.}
findings:
  - id: shop-heavy-panel
    severity: note
    when: {panel.mass_kg: {above: 10}, any: [{roof.moves: true}, {roof.material: grp}]}
    says: The panel weighs {panel.mass_kg}; two carry it.
    because: One of us hurt a back.
    source: common practice
    cases:
      - {name: heavy, given: {panel.mass_kg: 12, roof.moves: true}, applies: true}
      - {name: at the limit, given: {panel.mass_kg: 10, roof.moves: true}, applies: false}
"""


@lru_cache(maxsize=1)
def sound_layer() -> str:
    """Return a shop's layer that holds a little of everything a layer may hold."""
    base = built_in()
    step = next(name for name, rule in base.steps.items() if not rule.locked)
    open_ones = [name for name, rule in base.findings.items() if not rule.locked]
    text = LAYER.replace("STEP", step).replace("NOTE", open_ones[0])
    return text.replace("TOOL", next(iter(base.tools)))


def try_layer(text: str, folder: Path) -> str:
    """Lay a broken layer on the shipped rules, check them, and plan a demo if no fault is found."""
    (folder / "shop.yaml").write_text(text, encoding="utf-8")

    def work() -> None:
        base = stack(built_in(), [folder])
        faults = check(base, BINDINGS)
        if faults:
            raise InputError(*faults[:50])
        make_plan(parse_job(demos()[0], "demo", base), base)

    return fair(work)


def broken_layers() -> st.SearchStrategy[str]:
    """Return the text of a shop's layer, damaged."""
    return damaged(st.just(sound_layer()))
