"""One thing that is wrong with a line, and where it stands in it."""

from __future__ import annotations

from dataclasses import dataclass

from solver.notation.likeliest import Line

KINDS = ("count", "consumes", "repeat", "numbering", "range", "terms", "unread")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong with a line.

    Attributes
    ----------
    kind : str
        One of `KINDS`.
    message : str
        What is wrong, in one plain sentence.
    fix : str
        The smallest change that would mend it; empty when none is known.
    mended : str
        The line with the change made; empty when it can't be told.
    start, end : int
        The place in the line as it was written.
    sure : bool
        Whether it is certain; otherwise it hangs on how the line, or the one before, was taken.
    """

    kind: str
    message: str
    fix: str = ""
    mended: str = ""
    start: int = 0
    end: int = 0
    sure: bool = True


def columns(line: Line, start: int, end: int) -> tuple[int, int]:
    """Return where a stretch of a folded line stands in the line as it was written."""
    folded, offset = line.entry.folded, line.entry.offset
    return max(folded.place(start) - offset, 0), max(folded.place(max(end - 1, start)) + 1 - offset, 0)
