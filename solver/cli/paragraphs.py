"""Sentences broken into lines that are easy to read in a terminal and in print."""

from __future__ import annotations

from textwrap import wrap

WIDTH = 88
"""Letters in a line: fits a page at 12 point, and a screen that is enlarged twice."""


def paragraph(text: str, *, hanging: int = 0) -> list[str]:
    """Return the lines of a text.

    Parameters
    ----------
    text : str
    hanging : int
        By how many characters all lines but the first are set in.
    """
    return wrap(text, WIDTH, subsequent_indent=" " * hanging)
