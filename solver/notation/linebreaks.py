"""Sentences and rounds broken into lines that are easy to read in a terminal and in print."""

from __future__ import annotations

import re
from textwrap import wrap

WIDTH = 88
"""Letters in a line: fits a page at 12 point, and a screen that is enlarged twice."""

_BOUND = "\N{NO-BREAK SPACE}"


def bound(text: str, what: re.Pattern[str]) -> str:
    """Return a text in which no line breaks inside what is found."""
    return what.sub(lambda found: found[0].replace(" ", _BOUND), text)


def broken(
    text: str, *, width: int = WIDTH, first: str = "", hanging: int = 4, long_words: bool = False
) -> list[str]:
    """Return the lines of a text, what is bound in it kept together.

    Parameters
    ----------
    text : str
    width : int
        Letters in a line, > 0.
    first : str
        What the first line begins with.
    hanging : int
        By how many characters all lines but the first are set in.
    long_words : bool
        Whether words may be broken, at their hyphens or where they are longer than a line.
    """
    lines = wrap(
        text,
        width,
        initial_indent=first,
        subsequent_indent=" " * hanging,
        break_long_words=long_words,
        break_on_hyphens=long_words,
    )
    return [line.replace(_BOUND, " ") for line in lines]
