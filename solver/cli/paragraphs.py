"""Sentences broken into lines that are easy to read in a terminal and in print."""

from __future__ import annotations

import re
from textwrap import wrap

WIDTH = 88
"""Letters in a line: fits a page at 12 point, and a screen that is enlarged twice."""


_LIKE_A_ROUND = re.compile(
    r"\w+ (?:\w+ )?(?:round|row|stitch(?:es)?)s? \d+(?:(?:,| and| to) \d+)*", re.IGNORECASE
)


def paragraph(text: str, *, first: str = "", hanging: int = 0) -> list[str]:
    """Return the lines of a text, none of which begins like a round.

    Parameters
    ----------
    text : str
    first : str
        What the first line begins with.
    hanging : int
        By how many characters all lines but the first are set in.
    """
    space = "\N{NO-BREAK SPACE}"
    kept = _LIKE_A_ROUND.sub(lambda found: found[0].replace(" ", space), text)
    lines = wrap(kept, WIDTH, initial_indent=first, subsequent_indent=" " * hanging)
    return [line.replace(space, " ") for line in lines]
