"""A real browser for the tests: Debian's Chromium, driven through playwright.

Without it tests skip and say why; where `PLUMPLINE_BROWSER=required`, as in `.ci/run`, they fail instead.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, NoReturn

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ARGUMENTS = (
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-gpu-compositing",
)


def _missing(why: str) -> NoReturn:
    if os.environ.get("PLUMPLINE_BROWSER") == "required":
        pytest.fail(f"{why}, and PLUMPLINE_BROWSER=required asks for one")
    pytest.skip(why)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Give a browser; skip, or fail where one is required, when there is none."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        _missing("there is no chromium on this machine")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("playwright is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        try:
            yield browser
        finally:
            browser.close()


def kept_at_home(page: Page, *, origin: str) -> list[str]:
    """Return a list that grows by every address asked for that is on another machine than `origin`."""
    strangers: list[str] = []

    def see(url: str) -> None:
        if not url.startswith((origin, "data:", "blob:", "about:")):
            strangers.append(url)

    page.on("request", lambda request: see(request.url))
    return strangers
