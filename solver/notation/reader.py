"""Read a page of written rounds: every line in the way that fits its count and the rounds around it.

Each line has a few possible readings. A chain of readings through the page is found that explains most of it:
a reading costs what its wording makes it unlikely, and ten more where it does not use the stitches that are
there or does not make what is stated. After a line whose count is wrong the stated and the true number go on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from solver.notation.fits import Begun, Step, fitted
from solver.notation.likeliest import Line
from solver.notation.page import Page, page
from solver.notation.parts import Part, parts_of
from solver.notation.token import shape
from solver.notation.ways import ways_of


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
    earlier: list[tuple[str, list[Line]]] = []
    for number, part in enumerate(parts):
        heading = _heading(taken, lines[-1].entry.line if lines else 0, part[0].line)
        here = Part(part, number, earlier, numbered=taken.numbered).read()
        earlier.append((heading, here))
        lines += here
    return Read(taken, tuple(_against_the_page(lines)))


def _heading(taken: Page, after: int, first: int) -> str:
    """Return the last heading between two lines; empty without one."""
    return next((name for at, name in reversed(taken.titles) if after < at <= first), "")


_IN_ALL, _MORE = re.compile(r"\d+ in all"), re.compile(r"once, then \d+ more")


def _against_the_page(lines: list[Line]) -> list[Line]:
    """Mark the one line whose "repeat 5 times" must mean five more, where all the others mean in all."""
    taken = [(line.fit.way.reading.taken if line.fit is not None else ()) for line in lines]
    in_all = [i for i, told in enumerate(taken) if any(map(_IN_ALL.fullmatch, told))]
    more = [i for i, told in enumerate(taken) if any(map(_MORE.fullmatch, told)) and not _says_more(lines[i])]
    if len(more) != 1 or not in_all:
        return lines
    odd = _in_all(lines[more[0]])
    return [odd if i == more[0] else line for i, line in enumerate(lines)]


def _in_all(line: Line) -> Line:
    """Return a line with its "repeat 5 times" taken as 5 in all, whatever comes of it."""
    assert line.fit is not None
    step = Step(line.entry, [], line.rounds, line.labelled, Begun(), False)
    for way in ways_of(line.entry):
        if any(map(_IN_ALL.fullmatch, way.reading.taken)) and way.content.stated:
            fit = fitted(step, way, line.fit.there)
            if fit is not None and not fit.comes_out:
                return replace(line, fit=fit, followed="stated", more_than_said=True)
    return line


def _says_more(line: Line) -> bool:
    """Tell a line that says "more", or whose single star says so."""
    classes = shape(line.entry.tokens)
    return "A" in classes or classes.count("*") == 1 or "f" in classes
