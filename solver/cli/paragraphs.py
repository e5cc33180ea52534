"""Paragraphs of sentences for a terminal."""

from __future__ import annotations

import re

from solver.notation.linebreaks import bound, broken

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
    return broken(bound(text, _LIKE_A_ROUND), first=first, hanging=hanging, long_words=True)
