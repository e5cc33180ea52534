"""Screenshots of the page, to be looked at: `python -m tests.bench.page_looks FOLDER`."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.browser import chromium
from tests.page.test_page import STATES
from tests.serving import served

WIDTHS = (1440, 1024, 390)


def main() -> None:
    """Write each state of the page at each width, light and dark."""
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "looks")
    folder.mkdir(exist_ok=True)
    with served("samples") as server, chromium() as browser:
        for width in WIDTHS:
            for scheme in ("light", "dark"):
                for name, enter in STATES.items():
                    context = browser.new_context(
                        viewport={"width": width, "height": 900}, color_scheme=scheme
                    )
                    page = context.new_page()
                    page.goto(server.address)
                    page.wait_for_selector("body[data-ready]")
                    enter(page)
                    page.screenshot(path=folder / f"{name}-{width}-{scheme}.png", full_page=True)
                    context.close()


if __name__ == "__main__":
    main()
