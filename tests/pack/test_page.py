"""The pack in a real browser, on a phone and on a desk: Chromium from Debian, nothing fetched."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Dialog, Page, sync_playwright

from planner.pack.compose import compose
from planner.pack.sequence import entries
from planner.pack.text import printed
from planner.record.judge import judge

from .packs import DEMOS, HOSTILE, demo, hostile

CHROMIUM = Path("/usr/bin/chromium")
#: Outside CI a machine may lack the browser; there it must be present.
pytestmark = pytest.mark.skipif(
    not CHROMIUM.exists() and "CI" not in os.environ, reason="needs Debian's chromium"
)
#: Widths of phones in use, in CSS pixels, and of a desk.
PHONES, DESK = (360, 390, 430), 1280
#: Browsers on a busy machine take their time; nothing here measures it.
PATIENCE_MS = 120_000
ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Start the browser once."""
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Write the page of each demo; return their addresses."""
    folder = tmp_path_factory.mktemp("pages")
    found = {}
    for name in DEMOS:
        path = folder / f"{name}.html"
        path.write_text(demo(name).documents.html, encoding="utf-8")
        found[name] = path.as_uri()
    return found


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """Return a phone with nothing stored."""
    made = browser.new_context(viewport={"width": 390, "height": 800}, accept_downloads=True)
    made.set_default_timeout(PATIENCE_MS)
    yield made
    made.close()


def wider_than_the_window(page: Page) -> list[str]:
    """Return what sticks out to the side, outside the boxes that scroll by themselves."""
    return list(page.evaluate("""() => [...document.querySelectorAll('body *')]
        .filter((e) => !e.closest('.scroll, .hide, .skip, .running')
                       && e.getBoundingClientRect().right > window.innerWidth + 0.5)
        .map((e) => e.tagName + '.' + e.className)"""))


def scrolls_sideways(page: Page) -> bool:
    """Whether the page is wider than the window."""
    return bool(page.evaluate(
        "document.documentElement.scrollWidth > document.documentElement.clientWidth"))


@pytest.mark.parametrize("name", DEMOS)
def test_no_sideways_scroll_at_any_width(
    name: str, context: BrowserContext, files: dict[str, str]
) -> None:
    """On phones of 360 to 430 px and on a desk the page itself never scrolls sideways."""
    page = context.new_page()
    page.goto(files[name])
    for width in (*PHONES, DESK):
        page.set_viewport_size({"width": width, "height": 800})
        assert not scrolls_sideways(page)
        assert wider_than_the_window(page) == []


@pytest.mark.parametrize("index", range(len(HOSTILE)))
def test_hostile_names_neither_run_nor_widen_the_page(
    index: int, context: BrowserContext, tmp_path: Path
) -> None:
    """What was typed is shown, no dialogue opens, nothing is asked for."""
    page, asked, opened = context.new_page(), list[str](), list[str]()

    def refuse(dialog: Dialog) -> None:
        opened.append(dialog.message)
        dialog.dismiss()

    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", refuse)
    path = tmp_path / "pack.html"
    path.write_text(hostile(index).documents.html, encoding="utf-8")
    page.goto(path.as_uri())
    assert [url for url in asked if not url.startswith("data:")] == [path.as_uri()]
    assert opened == []
    assert not scrolls_sideways(page)
    if index == 1:
        assert "{{ 7 * 7 }}" in page.locator("h1").inner_text()


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_is_asked_from_anywhere(
    name: str, context: BrowserContext, files: dict[str, str]
) -> None:
    """One file holds all of it: it works in a field without a signal."""
    page, asked, errors = context.new_page(), list[str](), list[str]()
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(files[name])
    page.click("#step-view")
    page.click("#next-step")
    page.wait_for_timeout(200)
    assert [url for url in asked if not url.startswith("data:")] == [files[name]]
    assert errors == []
    fonts = page.evaluate("[...document.fonts].map((font) => font.status)")
    assert set(fonts) == {"loaded"}


def test_ticks_initials_readings_and_timers_survive_a_reload(
    context: BrowserContext, files: dict[str, str]
) -> None:
    """They are kept in the browser for this plan; the test sheet shows the readings too."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    first = page.locator(".step").nth(0)
    first.locator("[data-tick]").check()
    first.locator("[data-initials]").fill("RH")
    reading = page.locator("[data-reading]").nth(0)
    reading.fill("12.5")
    key = reading.get_attribute("data-reading")
    page.locator(".start-timer").nth(0).click()
    page.reload()
    first = page.locator(".step").nth(0)
    assert first.locator("[data-tick]").is_checked()
    assert first.locator("[data-initials]").input_value() == "RH"
    assert page.locator("[data-reading]").nth(0).input_value() == "12.5"
    assert page.locator(f'[data-mirror="{key}"]').inner_text() == "12.5"
    assert page.locator(".left").nth(0).inner_text().endswith("left")
    assert page.locator("#progress").inner_text().startswith("1 of ")


def test_the_page_judges_a_reading_as_the_record_does(
    context: BrowserContext, files: dict[str, str]
) -> None:
    """At once, by the limits as printed; what is no number is called so, and kept."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    words = {"within": "Within the limit.", "below": "Below the limit", "above": "Above the limit"}
    looked_at = 0
    for entry in entries(demo(DEMOS[0]).plan):
        for reading in entry.text.readings if entry.text else ():
            ends = [end for end in (reading.low, reading.high) if end is not None]
            box = page.locator(f'[data-reading="{entry.number}-{reading.id}"]')
            said = page.locator(".reading", has=box).locator(".judged")
            for value in (printed(end) * share for end in ends for share in (0.9, 1, 1.1)):
                box.fill(f"{value:.4f}")
                assert said.inner_text().startswith(words[judge(float(f"{value:.4f}"), reading)])
                looked_at += 1
            if not ends:
                assert said.count() == 0
    assert looked_at > 30
    row = page.locator(".reading:has([data-high])").first
    box = row.locator("input")
    for typed, heard in (("0,5", "limit"), ("about 3", "Not a number."), ("", "")):
        box.fill(typed)
        assert heard in row.locator(".judged").inner_text()


def test_another_plan_starts_blank(context: BrowserContext, files: dict[str, str]) -> None:
    """Ticks belong to one plan: the page of another one does not show them."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    page.locator("[data-tick]").nth(0).check()
    page.goto(files[DEMOS[1]])
    assert not page.locator("[data-tick]").nth(0).is_checked()


def test_the_saved_record_holds_what_was_written(
    context: BrowserContext, files: dict[str, str]
) -> None:
    """The file names the plan and holds ticks, initials, readings and their moments."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    step = page.locator(".step").nth(2)
    step.locator("[data-tick]").check()
    step.locator("[data-initials]").fill("RH")
    reading = page.locator("[data-reading]").nth(0)
    reading.fill("7,5")
    with page.expect_download() as saved:
        page.click("#save-record")
    record: dict[str, Any] = json.loads(Path(saved.value.path()).read_text(encoding="utf-8"))
    meta = compose(demo(DEMOS[0]).plan)["meta"]
    assert record["lidwork_record"] == 1
    assert (record["plan"], record["revision"]) == (meta["digest"], meta["revision"])
    ticked = record["steps"][step.get_attribute("data-step")]
    assert (ticked["done"], ticked["initials"]) == (True, "RH")
    assert ticked["at"].endswith("Z")
    assert record["readings"][reading.get_attribute("data-reading")]["value"] == "7,5"


@pytest.mark.parametrize("name", DEMOS)
def test_the_page_names_steps_and_readings_as_the_record_reads_them(
    name: str, context: BrowserContext, files: dict[str, str]
) -> None:
    """Step number and id, untouched by what lets long words break."""
    page = context.new_page()
    page.goto(files[name])
    pack = demo(name).plan
    steps = [f"{e.number}-{e.slot.move.task}" for e in entries(pack) if e.number]
    readings = [
        f"{e.number}-{reading.id}" for e in entries(pack) if e.text for reading in e.text.readings
    ]
    script = "(name) => [...document.querySelectorAll(`[data-${name}]`)].map(e => e.dataset[name])"
    assert page.evaluate(script, "step") == steps
    assert page.evaluate(script, "reading") == readings


def test_one_step_at_a_time(context: BrowserContext, files: dict[str, str]) -> None:
    """The step view shows one step with its banners, moves by button and key, and ends."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    page.locator("[data-tick]").nth(0).check()
    page.click("#step-view")
    shown = page.locator(".step:visible")
    assert shown.count() == 1
    assert shown.locator(".n").inner_text() == "2"
    page.click("#next-step")
    assert page.locator(".step:visible .n").inner_text() == "3"
    page.keyboard.press("ArrowLeft")
    assert page.locator(".step:visible .n").inner_text() == "2"
    assert not scrolls_sideways(page)
    page.keyboard.press("Escape")
    assert page.locator(".step:visible").count() > 50


def test_all_of_it_is_reached_by_keyboard(context: BrowserContext, files: dict[str, str]) -> None:
    """The first stop skips to the method statement; a step is ticked by the space bar."""
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#method"
    page.locator("[data-tick]").nth(0).focus()
    page.keyboard.press("Space")
    assert page.locator("[data-tick]").nth(0).is_checked()


def test_it_reads_the_same_without_script(browser: Browser, files: dict[str, str]) -> None:
    """Every section and step is there; only the buttons stay hidden."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(files[DEMOS[0]])
    sections = compose(demo(DEMOS[0]).plan)["sections"]
    assert page.locator("h2 .sn").count() == len(sections)
    assert page.locator(".step:visible").count() == page.locator(".step").count()
    assert page.locator("button:visible").count() == 0
    context.close()


@pytest.mark.parametrize(("name", "width"), [(DEMOS[0], 390), (DEMOS[1], DESK)])
def test_no_serious_fault_for_those_who_cannot_see_or_point(
    name: str, width: int, context: BrowserContext, files: dict[str, str]
) -> None:
    """axe-core, rules of WCAG 2.1 A and AA: no serious and no critical fault."""
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(files[name])
    faults = Axe().run(page).response["violations"]
    grave = [
        (fault["id"], fault["nodes"][0]["html"][:120])
        for fault in faults
        if fault["impact"] in ("serious", "critical")
    ]
    assert grave == []


@pytest.mark.parametrize("name", DEMOS)
def test_printing_from_the_browser_has_every_section(
    name: str, context: BrowserContext, files: dict[str, str], tmp_path: Path
) -> None:
    """Whoever prints the page itself gets the whole pack."""
    page = context.new_page()
    page.goto(files[name])
    target = tmp_path / "printed.pdf"
    page.pdf(path=str(target), format="A4", prefer_css_page_size=True)
    with pdfplumber.open(target) as book:
        text = "".join("".join(page.extract_text() for page in book.pages).split())
    for section in compose(demo(name).plan)["sections"]:
        assert "".join(f"{section.number}{section.title}".split()) in text
