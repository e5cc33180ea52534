"""The sheet in a real browser: ticks, the counter, sizes, the keyboard, scripts off, axe-core's rules.

WCAG 2.1 as axe-core checks it (1.4.3, contrast AA); 1.4.10, reflow: 400 % at 1280 px is 320 CSS pixels.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sheets import HOSTILE, read_back, sheet, solved

from solver.sheet.model import Copy
from solver.sheet.webpage import as_page
from tests.browser import chromium

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Give the browser."""
    with chromium() as started:
        yield started


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """Give a page of its own."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    yield context.new_page()
    context.close()


def written(tmp_path: Path, copy: Copy, *, name: str = "gull-head", title: str = "") -> str:
    """Write a sheet to a file and return its address."""
    path = tmp_path / "sheet.html"
    path.write_text(as_page(sheet(name, copy, title=title, forms=True)), encoding="utf-8")
    return path.as_uri()


def test_ticks_survive_a_reload_and_the_counter_follows(page: Page, tmp_path: Path) -> None:
    """Ticks are kept by the browser; clearing asks twice."""
    page.goto(written(tmp_path, Copy()))
    assert "No round is done yet" in page.inner_text("[data-here]")
    for _ in range(3):
        page.click("button[data-act=next]")
    assert "Rnd 4" in page.inner_text("[data-here]")
    page.reload()
    assert page.locator("input:checked").count() == 3
    assert "Rnd 4" in page.inner_text("li.now")
    page.click("button[data-act=back]")
    assert page.locator("input:checked").count() == 2
    page.click("button[data-act=again]")
    assert page.locator("input:checked").count() == 2
    page.click("button[data-act=again]")
    assert page.locator("input:checked").count() == 0


def test_keyboard_alone(page: Page, tmp_path: Path) -> None:
    """The rounds are reached, ticked and left by keys alone."""
    page.goto(written(tmp_path, Copy()))
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # to the rounds
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # round done
    page.keyboard.press("n")
    assert page.locator("input:checked").count() == 2
    page.keyboard.press("w")
    assert page.evaluate("document.activeElement.dataset.round") == "3"
    page.keyboard.press("Space")
    assert page.locator("input:checked").count() == 3
    page.keyboard.press("b")
    assert page.locator("input:checked").count() == 2


@pytest.mark.parametrize("copy", [Copy(), Copy(large=True, spelled=True), Copy(terms="de", tester=True)])
def test_no_sideways_scrolling(page: Page, tmp_path: Path, copy: Copy) -> None:
    """Neither at 400 % of the browser nor at the page's own largest letters."""
    page.goto(written(tmp_path, copy, name="tug-hull"))
    page.set_viewport_size({"width": 320, "height": 600})
    wide = "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    assert page.evaluate(wide)
    page.set_viewport_size({"width": 1280, "height": 900})
    for _ in range(8):
        page.click("button[data-act=larger]")
    assert page.evaluate(wide)
    size = page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)")
    assert size >= 4 * 16


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("terms", ["US", "ru"])
def test_axe_finds_nothing(page: Page, tmp_path: Path, scheme: str, terms: str) -> None:
    """No rule that axe-core knows is broken, contrast among them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page.emulate_media(color_scheme=scheme)
    page.goto(written(tmp_path, Copy(terms=terms, tester=True)))
    page.click("button[data-act=next]")
    found = axe.Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("scripts", [True, False])
def test_text_reads_back(browser: Browser, tmp_path: Path, scripts: bool) -> None:
    """The visible text of every copy is clean in the proof and gives the same stitches."""
    context = browser.new_context(java_script_enabled=scripts)
    page = context.new_page()
    for name in ("gull-head", "puffin-foot"):
        page.goto(written(tmp_path, Copy(spelled=name == "gull-head"), name=name))
        assert page.locator("[data-act]").first.is_visible() is scripts
        shown = page.locator("main").inner_text()
        # the counter says the round at hand once more
        shown = shown[shown.index("Before you begin") :]
        if scripts:
            page.evaluate("document.querySelector('.place').remove()")
            shown = page.locator("main").inner_text()
        assert read_back(shown).rounds == solved(name).piece.rounds
    context.close()


def test_hostile_title_is_text_and_nothing_is_fetched(page: Page, tmp_path: Path) -> None:
    """What looks like a program is shown as it is; no address is asked for."""
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: pytest.fail(str(error)))
    address = written(tmp_path, Copy(), title=HOSTILE)
    page.goto(address)
    assert page.inner_text("h1") == " ".join(HOSTILE.split())
    page.click("button[data-act=next]")
    assert [url for url in asked if not url.startswith(("data:", address))] == []


def test_the_round_at_hand_is_lit(page: Page, tmp_path: Path) -> None:
    """Dark faces are drawn where the round at hand is, and turn with the form."""
    page.goto(written(tmp_path, Copy()))
    count = """() => { const c = document.querySelector("canvas"), d = c.getContext("2d")
        .getImageData(0, 0, c.width, c.height).data; let n = 0;
        for (let i = 0; i < d.length; i += 4) if (d[i + 3] > 200 && d[i + 2] > d[i] + 15) n++; return n; }"""
    page.wait_for_timeout(100)
    assert page.evaluate("document.querySelector('canvas').width") > 100
    for _ in range(9):
        page.click("button[data-act=next]")
    page.wait_for_timeout(150)
    assert page.evaluate(count) > 50
