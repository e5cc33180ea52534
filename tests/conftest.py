"""Fixtures that tests of several folders share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.browser import chromium

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Give a real browser; skip where there is none, see `tests.browser`."""
    with chromium() as running:
        yield running
