"""The page in a real browser: whole ways of its user, from the first address to what she keeps."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner

from solver.cli import main
from solver.page.told import form_told
from solver.partfile import read
from solver.solving.solved import solve
from tests.browser import kept_at_home
from tests.serving import ROOT, Served, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

MOST = 40_000
"""Patience with a machine that others use too. [ms]"""


@pytest.fixture(scope="module")
def harbour(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with files of hers."""
    folder = tmp_path_factory.mktemp("harbour")
    for name in ("bollard", "buoy", "seal-snout"):
        shutil.copy(ROOT / "samples" / f"{name}.toml", folder)
    return folder


@pytest.fixture
def open_page(browser: Browser, server: Served) -> Iterator[Callable[..., Page]]:
    """Give what opens pages in one profile; nothing is asked of another machine, and no script fails."""
    context = browser.new_context(viewport={"width": 1440, "height": 950}, accept_downloads=True)
    context.set_default_timeout(MOST)
    faults: list[str] = []
    strangers: list[list[str]] = []

    def opened(address: str = "", width: int = 1440) -> Page:
        page = context.new_page()
        page.set_viewport_size({"width": width, "height": 950})
        page.on("pageerror", lambda error: faults.append(str(error)))
        strangers.append(kept_at_home(page, origin=server.origin))
        page.goto(address or server.address)
        page.wait_for_selector("body[data-ready]")
        return page

    yield opened
    context.close()
    assert not faults
    assert not any(strangers)


def settled(page: Page, after: int = 0) -> int:
    """Wait until everything that was drawn is solved, and return how often something was."""
    page.wait_for_function(
        "n => Number(document.body.dataset.solved || 0) > n && !document.querySelector('#work').dataset.busy",
        arg=after,
    )
    return solved(page)


def solved(page: Page) -> int:
    """Return how often something was solved."""
    return int(page.evaluate("Number(document.body.dataset.solved || 0)"))


def let_through(page: Page, held: list[Any]) -> None:
    """Let requests to solve through that were held back, and wait for what they find."""
    before = solved(page)
    while held:
        held.pop(0).continue_()
    page.unroute("**/api/solve")
    settled(page, before)


def begun(page: Page, name: str) -> None:
    """Begin with a file, a shape or a sample by its name."""
    page.get_by_role("button", name=name).first.click()
    settled(page)


def lines(page: Page) -> list[str]:
    """Return the rounds as they are shown."""
    return page.locator("#lines li.round").all_inner_texts()


def told_by_command(file: Path) -> list[str]:
    """Return the rounds that the command writes."""
    shown = CliRunner().invoke(main, ["rounds", str(file)])
    assert shown.exit_code == 0, shown.output
    body = re.sub(r"\n {4}", " ", shown.output)
    return [line for line in body.splitlines() if re.match(r"(Rnd|Row)s? \d", line)]


def points(page: Page) -> Locator:
    """Return the handles of the drawn points."""
    return page.locator("#drawing .point")


def drag_a_point(page: Page) -> None:
    """Drag the fifth point of the outline outwards and a little down."""
    box = points(page).nth(4).bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y + 4, steps=6)
    page.mouse.up()


def test_blank_to_saved_with_keys_alone(open_page: Callable[..., Page], harbour: Path) -> None:
    """From a blank plumb line to a saved file and a text to work from, without a pointer."""
    page = open_page()

    def tab_to(selector: str) -> None:
        for _ in range(120):
            page.keyboard.press("Tab")
            if page.evaluate("s => document.activeElement?.matches(s)", selector):
                return
        pytest.fail(f"the key Tab does not lead to {selector}")

    tab_to("#blank")
    page.keyboard.press("Enter")
    before = settled(page)
    tab_to("#drawing .point")
    page.keyboard.press("PageDown")
    page.keyboard.press("PageDown")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Insert")
    page.keyboard.press("ArrowRight")
    before = settled(page, before)
    assert points(page).count() == 6
    page.keyboard.press("Delete")
    before = settled(page, before)
    assert points(page).nth(2).get_attribute("aria-valuetext") == "31 mm from the line, height 30 mm"
    page.keyboard.press("Control+s")
    page.keyboard.press("Control+a")
    page.keyboard.type("mooring post")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'mooring post.toml'")
    saved = harbour / "mooring post.toml"
    assert told_by_command(saved) == lines(page)
    page.evaluate("document.querySelector('#work').focus()")
    tab_to("#lines")
    page.keyboard.press("End")
    page.keyboard.press("ArrowUp")
    assert page.locator("#lines [aria-selected=true]").count() == 1
    page.keyboard.press("Shift+Tab")
    page.locator("#keep").focus()
    page.keyboard.press("Enter")
    tab_to("#box button[aria-label='The rounds as text, txt']")
    with page.expect_download() as coming:
        page.keyboard.press("Enter")
    text = Path(coming.value.path()).read_text(encoding="utf-8")
    assert all(line in text for line in lines(page))
    if find_spec("solver.sheet") is None:
        pytest.skip("there is no writer of sheets here")
    tab_to("#box button[aria-label='A sheet to sell or to work from, pdf']")
    with page.expect_download() as coming:
        page.keyboard.press("Enter")
    assert coming.value.suggested_filename.endswith(".pdf")
    assert Path(coming.value.path()).read_bytes().startswith(b"%PDF-")


def test_opened_changed_saved(open_page: Callable[..., Page], harbour: Path) -> None:
    """A file of hers keeps her comments and her order; the command gives the very rounds that were shown."""
    file = harbour / "bollard.toml"
    before = file.read_text(encoding="utf-8")
    page = open_page()
    begun(page, "bollard")
    count, drawn = solved(page), page.locator("#drawing .form path").get_attribute("d")
    drag_a_point(page)
    count = settled(page, count)
    assert page.locator("#drawing .form path").get_attribute("d") != drawn
    page.select_option("#firmness", "firm")
    count = settled(page, count)
    page.fill("#stitches", "21")
    page.keyboard.press("Tab")
    settled(page, count)
    page.click("#save")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'bollard.toml'")
    after = file.read_text(encoding="utf-8")
    for comment in re.findall(r"#.*", before):
        assert comment in after
    changed = {line for line in after.splitlines() if line not in before.splitlines()}
    assert len(changed) == 4  # a point, the stitches, and [stuffing] with its firmness
    assert told_by_command(file) == lines(page)
    file.write_text(before, encoding="utf-8")


def test_first_look_until_the_rounds_come(open_page: Callable[..., Page]) -> None:
    """While rounds are worked out a form of whole rounds stands in, and says so."""
    page = open_page()
    begun(page, "buoy")
    held: list[Any] = []
    page.route("**/api/solve", lambda route: held.append(route))
    page.click("#topoints")
    points(page).nth(2).focus()
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_function("() => document.querySelector('#formis').textContent.includes('whole rounds')")
    form = page.locator("#drawing .form path")
    first = form.get_attribute("d")
    assert page.locator("#lines.pending").count() == 1
    page.locator("#drawing").hover(position={"x": 400, "y": 300})
    assert page.locator("#lines [aria-selected=true]").count() == 0
    let_through(page, held)
    assert page.inner_text("#formis") == "as it is when stuffed"
    assert page.locator("#lines.pending").count() == 0
    assert form.get_attribute("d") != first


def test_first_look_at_an_oval(open_page: Callable[..., Page]) -> None:
    """An oval too is seen at once, about, and says so; then as its written rounds make it."""
    page = open_page()
    begun(page, "seal-snout")
    held: list[Any] = []
    page.route("**/api/solve", lambda route: held.append(route))
    form = page.locator("#views .formed").first
    before = form.get_attribute("d")
    page.fill("#size-length", "60")
    page.keyboard.press("Tab")
    page.wait_for_function("() => document.querySelector('#formis').textContent.includes('follow')")
    first = form.get_attribute("d")
    assert first != before
    assert page.locator("#sheet.first").count() == 1
    let_through(page, held)
    assert form.get_attribute("d") != first
    assert page.locator("#sheet.first").count() == 0


def test_lights_both_ways(open_page: Callable[..., Page]) -> None:
    """A round under the pointer lights up on the form, and the form's round in the list."""
    page = open_page()
    begun(page, "buoy")
    page.locator("#lines li.round").nth(5).hover()
    assert page.locator("#drawing .band path").count() == 1
    page.locator("#drawing").hover(position={"x": 400, "y": 300})
    lit = page.locator("#lines [aria-selected=true]")
    assert lit.count() == 1
    assert lit.inner_text().startswith("Rnd")


def test_lights_in_the_views(open_page: Callable[..., Page]) -> None:
    """Rounds of an oval light up in its views, and in the list where the pointer is."""
    page = open_page()
    begun(page, "seal-snout")
    page.locator("#lines li.round").nth(2).hover()
    lit = page.locator("#views .lit")
    assert all(one.get_attribute("d") for one in lit.all())
    box = page.locator("[data-view=front] .lit").bounding_box()
    assert box
    chosen = page.locator("#lines [aria-selected=true]")
    wanted = chosen.inner_text()
    page.mouse.move(4, 4)
    assert chosen.count() == 0
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert chosen.inner_text() == wanted


def test_fault_stands_at_its_point(open_page: Callable[..., Page]) -> None:
    """What is wrong stands at its point, in words; undone it is gone, done again it is back."""
    page = open_page()
    begun(page, "A blank plumb line")
    shown = lines(page)
    points(page).nth(2).focus()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowDown")
    page.wait_for_selector("#problems li")
    assert "Heights never go back" in page.locator("#drawing .faults text").first.text_content()
    assert page.locator("#drawing .point.fault").count() >= 1
    for _ in range(3):
        page.keyboard.press("Control+z")
    page.wait_for_function("() => !document.querySelector('#problems li')")
    settled(page)
    assert lines(page) == shown
    assert page.locator("#undo").is_disabled()
    for _ in range(3):
        page.keyboard.press("Control+Shift+z")
    page.wait_for_selector("#problems li")


def test_finished_size_is_hit(open_page: Callable[..., Page]) -> None:
    """A typed size is hit within 1 % or half a round, and what is shown is what would be saved."""
    page = open_page()
    begun(page, "egg")
    before = solved(page)
    page.fill("#aim-height", "9.5 cm")
    page.keyboard.press("Enter")
    settled(page, before)
    got = page.locator("#sizes tbody tr").first.locator("td").nth(1)
    page.wait_for_function("() => document.querySelector('#news').textContent.includes('comes')")
    assert abs(float(got.inner_text().split()[0]) - 95) <= 2.5


def test_photograph_to_part(open_page: Callable[..., Page], harbour: Path) -> None:
    """Her sketch is read, its check picture shown, and taken as points that can be drawn on and saved."""
    page = open_page()
    with page.expect_file_chooser() as chosen:
        page.click("#photo")
    chosen.value.set_files(ROOT / "samples" / "sketches" / "gull.jpg")
    page.fill("#picture-height", "7 cm")
    page.get_by_role("button", name="Read it").click()
    page.wait_for_selector("img.check")
    assert page.evaluate("document.querySelector('img.check').naturalWidth") > 200
    page.click("#take")
    settled(page)
    assert points(page).count() > 5
    page.click("#save")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'gull.toml'")
    assert told_by_command(harbour / "gull.toml") == lines(page)


def test_picture_under_it_comes_back(open_page: Callable[..., Page]) -> None:
    """A picture laid under the drawing is there, and where it was, after the page is loaded anew."""
    page = open_page()
    begun(page, "A blank plumb line")
    with page.expect_file_chooser() as chosen:
        page.select_option("#underlay", "own")
    chosen.value.set_files(ROOT / "samples" / "sketches" / "gull.jpg")
    picture = page.locator("#drawing .under image")
    picture.wait_for()
    page.fill("#under-aside", "4")
    page.keyboard.press("Tab")
    laid = [page.input_value(f"#under-{key}") for key in ("height", "low", "aside")]
    page.reload()
    page.wait_for_selector("body[data-ready]")
    picture.wait_for()
    settled(page)
    assert [page.input_value(f"#under-{key}") for key in ("height", "low", "aside")] == laid
    assert page.evaluate(
        "async () => { const one = new Image(); one.src = document.querySelector('#drawing image')"
        ".getAttribute('href'); await one.decode(); return one.naturalWidth; }"
    )
    assert laid[2] == "4 mm"


def test_fake_photograph(open_page: Callable[..., Page], tmp_path: Path) -> None:
    """A picture that is none is told in words."""
    page = open_page()
    (tmp_path / "gull.png").write_bytes(b"\x89PNG\r\n\x1a\n no picture")
    with page.expect_file_chooser() as chosen:
        page.click("#photo")
    chosen.value.set_files(tmp_path / "gull.png")
    page.get_by_role("button", name="Read it").click()
    page.wait_for_selector("#box .fault")
    assert "tmp" not in page.locator("#box").inner_text()


FLIPPER = """title = "Flipper"
[gauge]
stitches = 20
rows = 20
[shape]
kind = "outline"
points = [[0, 0], [10, 4], [13, 16], [9, 34]]
"""

PAGE = """Rnd 1: 6 sc in a magic ring (6)
Rnd 2: inc x 6 (12)
Rnd 3: (sc, inc) x 6 (19)
Rnds 4-6: 18 sc (18)
Rnd 7: (sc, dec) x 6 (12)
Rnd 8: dec x 6 (6)"""


def test_pasted_mended_laid_out(open_page: Callable[..., Page]) -> None:
    """Somebody's rounds are proof-read, mended at one press, and their form is shown."""
    page = open_page()
    page.click("#paste")
    page.fill("#written", PAGE)
    wrong = page.locator("#proof li.wrong")
    wrong.wait_for()
    assert wrong.count() == 1
    assert "Makes 18, says 19" in wrong.inner_text()
    before = solved(page)
    page.get_by_role("button", name="Mend line 3").click()
    settled(page, before)
    page.wait_for_function("() => !document.querySelector('#proof li.wrong')")
    assert "(18)" in page.input_value("#written").splitlines()[2]
    assert "mm" in page.locator("#sizes").inner_text()
    form = page.locator("#drawing .form path").bounding_box()
    assert form
    assert form["height"] > 100
    if find_spec("solver.sheet") is None:
        pytest.skip("there is no writer of sheets here")
    page.click("#keep")
    with page.expect_download() as coming:
        page.get_by_role("button", name="A sheet to sell or to work from, txt").click()
    text = Path(coming.value.path()).read_text(encoding="utf-8")
    assert "(sc, inc) x 6 (18)" in text


def test_own_rounds_and_solved_again(open_page: Callable[..., Page]) -> None:
    """Rounds changed by hand show their own form, faults under the line; then they are solved again."""
    page = open_page()
    begun(page, "buoy")
    ours, form = lines(page), page.locator("#drawing .form path").get_attribute("d")
    page.click("#write")
    text = page.input_value("#written")
    before = settled(page)
    page.fill("#written", text.replace("Rnd 5: ", "Rnd 5: 3 sc, "))
    page.wait_for_selector("#proof .fault")
    page.fill("#written", PAGE.replace("(19)", "(18)"))
    page.wait_for_function(
        "d => document.querySelector('#drawing .form path').getAttribute('d') !== d", arg=form
    )
    before = solved(page)
    page.click("#solveagain")
    settled(page, before)
    assert lines(page) == ours


def test_two_windows_on_one_file(open_page: Callable[..., Page], harbour: Path) -> None:
    """The window that saves second is told, and nothing is overwritten; it can save under another name."""
    one = open_page()
    begun(one, "seal snout" if one.get_by_role("button", name="seal-snout").count() == 0 else "seal-snout")
    two = open_page()
    begun(two, "seal-snout")
    one.wait_for_function("() => document.querySelector('#news').textContent.includes('two windows')")
    for page, width in ((one, "31 mm"), (two, "29 mm")):
        before = solved(page)
        page.fill("#size-width", width)
        page.keyboard.press("Tab")
        settled(page, before)
        page.click("#save")
        if page is one:
            page.wait_for_function("() => document.querySelector('#kept').textContent === 'seal-snout.toml'")
    two.wait_for_selector("#box[open]")
    assert "Nothing was overwritten" in two.locator("#box").inner_text()
    assert '"31 mm"' in (harbour / "seal-snout.toml").read_text(encoding="utf-8")
    two.get_by_role("button", name="Save mine under another name").click()
    two.keyboard.press("Enter")
    two.wait_for_function("() => document.querySelector('#kept').textContent === 'seal-snout-2.toml'")
    assert '"29 mm"' in (harbour / "seal-snout-2.toml").read_text(encoding="utf-8")


def test_server_killed_and_back(browser: Browser, tmp_path: Path) -> None:
    """With the server killed the page says so and goes on drawing; when it is back nothing is lost."""
    context = browser.new_context()
    context.set_default_timeout(MOST)
    page = context.new_page()
    with served(str(tmp_path)) as first:
        port = first.port
        page.goto(first.address)
        page.wait_for_selector("body[data-ready]")
        begun(page, "A blank plumb line")
        first.process.kill()
        first.process.wait()
    points(page).nth(2).focus()
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_function("() => document.querySelector('#news').textContent.includes('not answering')")
    assert points(page).nth(2).get_attribute("aria-valuetext").startswith("38 mm")
    with served(str(tmp_path), port=port) as second:
        other = context.new_page()
        other.goto(second.address)
        other.wait_for_selector("body[data-ready]")
        before = solved(page)
        settled(page, before)
        assert page.locator("#work").get_attribute("data-server") == "there"
        assert points(page).nth(2).get_attribute("aria-valuetext").startswith("38 mm")
        page.close()  # as in a crash: the window is gone, and not saved
        other.wait_for_timeout(200)
        other.reload()
        other.get_by_role("button", name=re.compile("New part, ")).first.click()
        settled(other)
        assert points(other).nth(2).get_attribute("aria-valuetext").startswith("38 mm")
        other.reload()
        settled(other)
        assert points(other).nth(2).get_attribute("aria-valuetext").startswith("38 mm")
    context.close()


def test_in_space(open_page: Callable[..., Page]) -> None:
    """In space every stitch is drawn; keys turn it, and stretch colours it."""
    page = open_page()
    begun(page, "buoy")
    page.select_option("#look", "space")
    page.wait_for_selector("#turn[data-stitches]")
    canvas = page.locator("#turn")
    told = page.locator("#notes").inner_text()
    stitches = int(re.search(r"Stitches in all: ([\d,]+)", told)[1].replace(",", ""))
    assert abs(int(canvas.get_attribute("data-stitches")) - stitches) <= 0.15 * stitches

    def seen() -> str:
        return str(page.evaluate("document.querySelector('#turn').toDataURL()"))

    first = seen()
    canvas.focus()
    page.keyboard.press("ArrowUp")
    turned = seen()
    assert turned != first
    page.select_option("#shade", "stretch")
    assert seen() != turned


def test_ovals_from_above(open_page: Callable[..., Page]) -> None:
    """An oval is seen from above and from the front; its ends are dragged by keys, and its rounds follow."""
    page = open_page()
    begun(page, "flat oval")
    shown = lines(page)
    grip = page.locator("[data-grip=length]")
    grip.focus()
    before = solved(page)
    page.keyboard.press("Shift+ArrowRight")
    settled(page, before)
    page.wait_for_function("() => document.querySelector('#size-length').value === '100'")
    assert lines(page) != shown


def test_lines_in_the_views(open_page: Callable[..., Page], harbour: Path) -> None:
    """The front of a belly is dragged, the edge of rows moved by keys: the views and the rounds follow."""
    page = open_page()
    begun(page, "a belly")
    shown = lines(page)
    box = page.locator("[data-line=front-3]").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = solved(page)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 12, y + 2, steps=2)
    before = settled(page, before)
    page.mouse.move(x + 24, y + 2, steps=2)  # still held after the view was drawn anew
    page.mouse.up()
    settled(page, before)
    assert lines(page) != shown
    assert page.locator("#problems li").count() == 0
    page.locator("details[data-of=front] summary").click()
    assert float(page.input_value("#line-of-front-3-0")) > 38
    before = solved(page)
    page.select_option("#kind", "flat")
    settled(page, before)
    assert page.inner_text("#rounds-h") == "Rows"
    assert page.locator("#firmness").count() == 0  # nothing is stuffed
    shown = lines(page)
    page.locator("[data-line=right-1]").focus()
    before = solved(page)
    page.keyboard.press("Shift+ArrowRight")
    settled(page, before)
    assert lines(page) != shown
    handle = page.locator("[data-line=right-1]")
    assert handle.get_attribute("aria-valuetext") == "to the right 30 mm, height 25 mm"
    assert handle.evaluate("one => one === document.activeElement")
    page.keyboard.press("Insert")
    settled(page, before)
    assert handle.get_attribute("aria-label") == "Right edge, point 2 of 5"
    page.keyboard.press("Control+s")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'belly.toml'")
    assert told_by_command(harbour / "belly.toml") == lines(page)


def test_parts_to_toy_with_twins(open_page: Callable[..., Page], harbour: Path) -> None:
    """Parts of the folder become a toy with two placed twins, told as the command tells them."""
    (harbour / "flipper.toml").write_text(FLIPPER, encoding="utf-8")
    page = open_page()
    page.click("#newtoy")
    page.select_option("#newpart", "buoy.toml")
    page.click("#addpart")
    before = settled(page)
    page.select_option("#newpart", "flipper.toml")
    page.click("#addpart")
    settled(page, before)
    before = solved(page)
    page.fill("#toy-flipper-turn", "60")
    page.keyboard.press("Tab")
    settled(page, before)
    before = solved(page)
    page.select_option("#toy-flipper-join", "flat")
    settled(page, before)
    before = solved(page)
    page.check("#toy-flipper-twins")
    settled(page, before)
    assert "× 2" in page.locator("[data-part=flipper] legend").inner_text()
    joined = page.locator("[data-part=flipper] .joined").inner_text()
    assert "between rounds" in joined or "round" in joined
    page.fill("#toy-flipper-height", "40")
    page.keyboard.press("Tab")
    page.wait_for_function(
        "t => document.querySelector('[data-part=flipper] .joined').textContent !== t", arg=joined
    )
    page.click("#keep")
    with page.expect_download() as coming:
        page.get_by_label("A mesh, stl").click()
    assert Path(coming.value.path()).stat().st_size > 10_000
    page.get_by_text("Close", exact=True).click()
    page.fill("#title", "Round seal")
    page.keyboard.press("Control+s")
    page.keyboard.press("Enter")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'round-seal.toml'")
    shown = CliRunner().invoke(main, ["rounds", str(harbour / "round-seal.toml")])
    assert shown.exit_code == 0, shown.output
    words = " ".join(shown.output.split())
    for sentence in page.locator("[data-part=flipper] .joined").inner_text().split(". "):
        assert sentence.rstrip(".") in words


def test_a_part_is_dragged(open_page: Callable[..., Page]) -> None:
    """A part follows the pointer on the part that carries it, and its place is told."""
    page = open_page()
    begun(page, "puffin")
    seen = page.locator("#turn").bounding_box()
    assert seen
    at = page.input_value("#toy-beak-turn"), page.input_value("#toy-beak-height")
    where = page.evaluate(
        """() => import("/look/space.js").then((space) => {
          const beak = document.querySelector("[data-part=beak]").dataset.number;
          const box = space.home.getBoundingClientRect();
          for (let y = 8; y < box.height; y += 6) for (let x = 8; x < box.width; x += 6) {
            const hit = space.pick({ clientX: box.left + x, clientY: box.top + y });
            if (hit && String(hit.part) === beak) return [box.left + x + 4, box.top + y + 4];
          }
        })"""
    )
    page.mouse.move(*where)
    page.mouse.down()
    before = solved(page)
    page.mouse.move(where[0] + 16, where[1] + 5, steps=3)
    settled(page, before)
    page.mouse.up()
    page.wait_for_function("v => document.querySelector('#toy-beak-turn').value !== v", arg=at[0])
    at = page.input_value("#toy-beak-turn"), page.input_value("#toy-beak-height")
    page.wait_for_function("() => !document.querySelector('#work').dataset.busy")
    page.mouse.dblclick(where[0] - 40, where[1] - 40)  # on the head, which can be dragged itself
    page.wait_for_function("v => document.querySelector('#toy-beak-height').value !== v", arg=at[1])


STATES: dict[str, Callable[[Any], None]] = {
    "begin": lambda page: page.wait_for_function("() => document.querySelectorAll('.card path').length > 3"),
    "drawing": lambda page: begun(page, "bollard"),
    "fault": lambda page: (
        begun(page, "A blank plumb line"),
        points(page).nth(2).focus(),
        [page.keyboard.press("Shift+ArrowDown") for _ in range(3)],
        page.wait_for_selector("#problems li"),
    ),
    "oval": lambda page: begun(page, "flat oval"),
    "belly": lambda page: begun(page, "a belly"),
    "space": lambda page: (
        begun(page, "buoy"),
        page.select_option("#look", "space"),
        page.select_option("#shade", "stretch"),
        page.wait_for_selector("#turn[data-stitches]"),
    ),
    "written": lambda page: (
        page.click("#paste"),
        page.fill("#written", PAGE),
        page.locator("#proof li.wrong").wait_for(),
    ),
    "toy": lambda page: begun(page, "puffin"),
    "taking": lambda page: (begun(page, "buoy"), page.click("#keep")),
    "saving": lambda page: (begun(page, "egg"), page.click("#save")),
}


@pytest.mark.parametrize("state", STATES)
def test_axe(open_page: Callable[..., Page], state: str) -> None:
    """Axe-core finds nothing in any state of the page, in light and in dark, wide and narrow."""
    from axe_playwright_python.sync_playwright import Axe

    page = open_page(width=390 if state in ("fault", "written") else 1440)
    STATES[state](page)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_patches_follow_the_drawing(open_page: Callable[..., Page], harbour: Path) -> None:
    """Patches stay on a part whose drawing is changed; its saved file gives the very rounds, with colours."""
    file = harbour / "moored-seal.toml"
    shutil.copy(ROOT / "samples" / file.name, file)
    page = open_page()
    begun(page, "moored-seal")
    count = solved(page)
    page.get_by_role("button", name="Draw on it").click()
    count = settled(page, count)
    drag_a_point(page)
    settled(page, count)
    assert any("(white)" in line and "(slate)" in line for line in lines(page))
    page.click("#save")
    page.wait_for_function("() => document.querySelector('#kept').textContent === 'moored-seal.toml'")
    assert told_by_command(file) == lines(page)
    got = solve(read(file.read_text(encoding="utf-8"), file=file.name, title="Seal"))
    told = form_told(got.standing, colours=got.colours, shade=got.part.supplies.shade)
    assert told["colours"] == ["black", "grey", "slate", "white"]  # her words, over their shades
    assert told["shades"] == ["#26282b", "#8a8d91", "#4d545c", "#f4f1e8"]


def test_space_opens_at_the_front(open_page: Callable[..., Page]) -> None:
    """In space a part is first seen from its front, where its belly is, not its back stripe."""
    page = open_page()
    begun(page, "moored seal")
    page.select_option("#look", "space")
    page.wait_for_selector("#turn[data-stitches]")
    page.select_option("#shade", "colour")
    shades = page.evaluate(
        """() => {
          const home = document.querySelector("#turn"), one = document.createElement("canvas");
          [one.width, one.height] = [home.width, home.height];
          const brush = one.getContext("2d");
          brush.drawImage(home, 0, 0);
          const seen = brush.getImageData(0, 0, one.width, one.height).data;
          let [light, all] = [0, 0];
          for (let i = 0; i < seen.length; i += 4) if (seen[i + 3] > 200) {
            all += 1;
            if (Math.min(seen[i], seen[i + 1], seen[i + 2]) > 165) light += 1;
          }
          return light / all;
        }"""
    )
    assert shades > 0.06
