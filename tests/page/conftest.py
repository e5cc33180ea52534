"""The page's server, of the folder that each file of tests sets up as its `harbour`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.serving import Served, served


@pytest.fixture(scope="module")
def server(harbour: Path) -> Iterator[Served]:
    """Give the server of that folder."""
    with served(str(harbour)) as running:
        yield running
