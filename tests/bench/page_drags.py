"""How soon the page follows: `python -m tests.bench.page_drags`.

A point of a part of 30 rounds is dragged by 10 mm: the time until form and rounds are on the screen,
beside the bare solve. Then 200 drags in a row: rounds and sizes at the end are those of the last, and the
memory of all processes has not grown. Then an oval of about 800 stitches.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path
from typing import Any

from solver.partfile import read
from solver.solving.solved import solve
from tests.browser import chromium
from tests.serving import Served, served

PART = """title = "Post"
[gauge]
stitches = 20
rows = 20
[shape]
kind = "outline"
points = [[0, 0], [26, 8], [34, 30], [22, 62], [28, 96], [0, 112]]
"""
OVAL = """title = "Hull"
[gauge]
stitches = 20
rows = 22
[shape]
kind = "oval"
length = 120
width = 56
height = 44
[work]
start = "chain"
"""

WATCH = """() => {
  if (window.anew) return;
  window.seen = {};
  const form = document.querySelector("#drawing .form");
  const line = () => form.querySelector("path")?.getAttribute("d");
  let before = line();
  window.anew = () => { window.seen = {}; before = line(); };
  new MutationObserver(() => {
    if (line() !== before) window.seen.form ??= performance.now();
  }).observe(form, { childList: true });
  const lines = document.querySelector("#lines");
  new MutationObserver(() => { window.seen.rounds = performance.now(); }).observe(lines, { childList: true });
  addEventListener("pointermove", (event) => {
    if (!event.buttons) return;
    window.seen.moved = performance.now();
    window.seen.first ??= window.seen.moved;
  }, true);
}"""
"""Tells when the pointer moved first and last, when a form of another shape came, and the last rounds."""


def memory(server: Served) -> float:
    """Return what the server and its workers hold. [MB]"""
    pids = [server.process.pid]
    for task in Path("/proc").iterdir():
        if task.name.isdigit():
            try:
                parent = int((task / "stat").read_text().rpartition(")")[2].split()[1])
            except OSError:
                continue
            if parent == server.process.pid:
                pids.append(int(task.name))
    total = 0
    for pid in pids:
        status = Path(f"/proc/{pid}/status").read_text()
        total += int(status.partition("VmRSS:")[2].split()[0])
    return total / 1024


def bare(text: str) -> float:
    """Return the time of the bare solve, nothing at hand. [ms]"""
    part = read(text, file="x", title="x")
    start = time.perf_counter()
    solve(part)
    return 1000 * (time.perf_counter() - start)


def settled(page: Any) -> None:
    """Wait until nothing is under way."""
    page.wait_for_function("() => !document.querySelector('#work').dataset.busy", timeout=60_000, polling=5)


def drag(page: Any, *, number: int, across: float, up: float = 0.0, steps: int = 4) -> None:
    """Drag a point across and up. [px]"""
    box = page.locator("#drawing .point .dot").nth(number).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + across, y - up, steps=steps)
    page.mouse.up()


def opened(page: Any, name: str) -> None:
    """Open a file of the folder."""
    page.get_by_role("button", name=name).first.click()
    page.wait_for_selector("body[data-solved]", timeout=60_000)
    settled(page)


def followed(page: Any, *, times: int, steps: int) -> None:
    """Print how soon form and rounds follow a drag by 10 mm to a place where the point has never been."""
    scale = page.evaluate(
        "() => { const b = (n) => document.querySelectorAll('#drawing .dot')[n].getBoundingClientRect();"
        " return Math.abs(b(5).y - b(0).y) / 112; }"
    )
    page.evaluate(WATCH)
    form, rounds, alone = [], [], []
    for turn in range(times):
        page.evaluate("() => window.anew()")
        across = 10 * (-1 if turn % 2 else 1)
        drag(page, number=2, across=across * scale, up=scale * (1 if steps == 1 else -1), steps=steps)
        settled(page)
        seen = page.evaluate("() => window.seen")
        form.append(seen["form"] - seen["first"])
        rounds.append(seen["rounds"] - seen["moved"])
        points = page.evaluate("() => import('/look/draft.js').then((one) => one.draft.points)")
        if turn % 2 == 0 or turn % 5 == 0:
            alone.append(
                bare(PART.replace(PART[PART.index("points") : PART.rindex("]") + 1], f"points = {points}"))
            )
    told, first, base = (statistics.median(each) for each in (rounds, form, alone))
    print(f"drags by 10 mm in {steps} steps: bare solve {base:.0f} ms;")
    print(f"  form {first:.0f} ms ({first / base:.2f} of it), rounds {told:.0f} ms ({told / base:.2f} of it)")


def shown(page: Any) -> str:
    """Return rounds and sizes as they stand on the page."""
    return str(page.inner_text("#lines") + page.inner_text("#sizes"))


def many(page: Any, server: Served, *, times: int) -> None:
    """Print what 200 drags in a row leave."""
    for turn in range(20):
        drag(page, number=3, across=4 * (-1 if turn % 2 else 1), steps=2)
    settled(page)
    before = memory(server)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    for turn in range(times):
        drag(page, number=2 + turn % 3, across=6 * (-1 if turn // 3 % 2 else 1), steps=2)
    settled(page)
    after = memory(server)
    told = shown(page)
    page.reload()
    page.wait_for_selector("body[data-solved]", timeout=60_000)
    settled(page)
    again = shown(page)
    print(f"{times} drags: memory {before:.0f} to {after:.0f} MB, {len(faults)} faults, ", end="")
    print(
        "the form is that of the last"
        if told == again
        else f"THE FORM IS NOT THAT OF THE LAST {told} {again}"
    )


def oval(page: Any) -> None:
    """Print how soon an oval of about 800 stitches follows."""
    taken = []
    for key in ("ArrowRight", "ArrowRight", "ArrowRight"):
        page.locator("[data-grip=width]").focus()
        start = time.perf_counter()
        page.keyboard.press(key)
        settled(page)
        taken.append(time.perf_counter() - start)
        assert not page.locator("#problems li").count(), page.inner_text("#problems")
    stitches = sum(len(each.stitches) for each in solve(read(OVAL, file="x", title="x")).piece.rounds)
    told, alone = statistics.median(taken), statistics.median(bare(OVAL) for _ in range(3)) / 1000
    print(f"oval of {stitches} stitches {told:.2f} s; bare {alone:.2f} s; {told / alone:.2f} of it")


def main() -> None:
    """Print all of it."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "post.toml").write_text(PART)
        (Path(folder) / "hull.toml").write_text(OVAL)
        with served(folder) as server, chromium() as browser:
            page = browser.new_page(viewport={"width": 1440, "height": 950})
            page.goto(server.address)
            page.wait_for_selector("body[data-ready]")
            opened(page, "post")
            for steps in (1, 6):
                followed(page, times=16, steps=steps)
            many(page, server, times=200)
            page = browser.new_context().new_page()
            page.goto(server.address)
            page.wait_for_selector("body[data-ready]")
            opened(page, "hull")
            oval(page)


if __name__ == "__main__":
    main()
