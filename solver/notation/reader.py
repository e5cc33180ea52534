"""Read a page of written rounds: every line in the way that fits its count and the rounds around it.

Each line has a few possible readings. A chain of readings through the page is found that explains most of it:
a reading costs what its wording makes it unlikely, and ten more where it does not use the stitches that are
there or does not make what is stated. After a line whose count is wrong the stated and the true number go on.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.notation.likeliest import Line
from solver.notation.page import Page, page
from solver.notation.parts import Part, parts_of


@dataclass(frozen=True, slots=True)
class Read:
    """A page as it was read."""

    page: Page
    lines: tuple[Line, ...]


def read(text: str) -> Read:
    """Read a page of written rounds.

    Parameters
    ----------
    text : str
        Any text; what holds no rounds is passed over.
    """
    taken = page(text)
    parts = parts_of(taken)
    lines: list[Line] = []
    for number, part in enumerate(parts):
        lines += Part(part, number).read()
    return Read(taken, tuple(lines))
