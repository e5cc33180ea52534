"""A line on the terminal that tells how far long work has come."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Protocol

PATIENCE = 0.5
"""Work that is done before this needs no line. [s]"""


class Report(Protocol):
    """What long work calls now and then."""

    def __call__(self, share: float) -> None:
        """Tell which share of the work is done, 0 to 1."""


@contextmanager
def progress(what: str) -> Iterator[Report]:
    """Give a function that shows the share done on a terminal, in a line that goes when the work is over.

    Nothing is shown where messages go to a file or a pipe, nor for work that is soon done.

    Parameters
    ----------
    what : str
        What is being done: "Solving the rounds".
    """
    begun, shown = time.monotonic(), False

    def report(share: float) -> None:
        nonlocal shown
        if sys.stderr.isatty() and time.monotonic() - begun >= PATIENCE:
            print(f"\r{what}: {share:4.0%}", end="", file=sys.stderr, flush=True)  # noqa: T201 - a terminal line
            shown = True

    try:
        yield report
    finally:
        if shown:
            print("\r" + " " * (len(what) + 6), end="\r", file=sys.stderr, flush=True)  # noqa: T201 - wipes it
