"""What may be left out of a line that does not come out: asides, stories, what follows its count.

Words that nobody knows tell a story. A line is cut into pieces at its signs; those that hold such words and
no number of stitches to work may be remarks, whatever they are about, and are left out one by one, the fewest
first. Such a reading is taken only where the rest uses what is there and makes what is stated.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from collections.abc import Sequence as Seq
from itertools import combinations
from typing import NamedTuple

from solver.notation.brackets import groups, repeats_next
from solver.notation.classes import WORKS
from solver.notation.token import Token, shape

#: What it costs to leave out anything, and each piece.
_LEFT_OUT, _EACH = 2.0, 0.6
#: Most pieces that are weighed, and most that are left out together.
_MOST_PIECES, _MOST_AT_ONCE = 5, 3
_STATES = ("count", "unit", "told", "both", "change", "last", "several")
_SIGNS = frozenset(",;.:/")
#: What says how often, or so many stitches.
_NUMBERED = re.compile(r"x|X|[sid]n|n[sidcl]|r.{0,2}n|nt")
TOLD = "words that say nothing of stitches are a remark"


class _Piece(NamedTuple):
    """A stretch of tokens between signs, or a bracket."""

    start: int
    stop: int


def loosened(found: Seq[Token]) -> Iterator[tuple[list[Token], float, str]]:
    """Yield a line without what may be remarks in it, what leaving them out costs, and how that is told."""
    line = list(found)
    ended = _behind_count(line)
    if ended:
        yield line[:ended], _LEFT_OUT, TOLD
    droppable = [piece for piece in _pieces(line) if _may_be_talk(line, piece)]
    if not droppable or len(droppable) > _MOST_PIECES:
        return
    for many in range(1, min(len(droppable), _MOST_AT_ONCE) + 1):
        for chosen in combinations(droppable, many):
            gone = {i for piece in chosen for i in range(piece.start, piece.stop)}
            kept = [token for i, token in enumerate(line) if i not in gone]
            if _works(kept) or "n" in shape(kept):
                yield kept, _LEFT_OUT + _EACH * many, TOLD


def _behind_count(line: list[Token]) -> int:
    """Return where a line ends by its first count in brackets behind something worked; 0 without one."""
    for group in groups(line):
        if group.kind in _STATES and _works(line[: group.at]) and not repeats_next(line, group.end):
            return group.end + 1 if _works(line[group.end + 1 :]) else 0
    return 0


def _works(found: list[Token]) -> bool:
    return any(token.cls in WORKS for token in found)


def _pieces(line: list[Token]) -> Iterator[_Piece]:
    """Yield the stretches of a line between its signs; a bracket outside of others is one."""
    stating = {i for group in groups(line) if group.kind for i in range(group.at, group.end + 1)}
    depth, start = 0, 0
    for i, token in enumerate(line):
        opens, closes = token.cls in "([{", token.cls in ")]}"
        dash = token.cls == "-" and not token.glued
        if depth == 0 and (opens or token.cls in _SIGNS or dash):
            if i > start:
                yield _Piece(start, i)
            start = i if opens else i + 1
        depth += opens - closes
        if closes and depth <= 0:
            depth = 0
            if not stating & set(range(start, i + 1)):
                yield _Piece(start, i + 1)
            start = i + 1
    if start < len(line) and depth == 0:
        yield _Piece(start, len(line))


def _may_be_talk(line: list[Token], piece: _Piece) -> bool:
    """Tell a piece with words of a story in it, and nothing that is worked a number of times."""
    inner = line[piece.start : piece.stop]
    classes = shape(inner)
    if not any(cls in "zQZKCYu" for cls in classes) or any(cls in "HWOM" for cls in classes):
        return False
    if re.search("o.?c", classes) or any(token.text in ("counts_as", "not_counted") for token in inner):
        # where a round begins, and what its chain counts for
        return False
    if line[piece.start].cls in "([{" and repeats_next(line, piece.stop - 1):
        return False
    return _NUMBERED.search(classes) is None or "Q" in classes[:3]
