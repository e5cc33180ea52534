"""Whether the rounds of a part are joined with a slip stitch, or run on as a spiral."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from solver.notation.token import shape
from solver.notation.words import words

if TYPE_CHECKING:
    from solver.notation.proof import Proof, ProofLine

#: A clause that joins: "join with sl st to first sc", or a slip stitch that is not counted.
_JOINS = re.compile(r"[,;.](?:j|l(?:[vp][Foc][tscid]*)?(?=[,;.]|$))")


def joined_parts(found: Proof, text: str) -> tuple[bool, ...]:
    """Return for each part of a page whether most of its rounds end joined, or the page says it of all.

    Parameters
    ----------
    found : Proof
    text : str
        The page; our own words for joined rounds are looked for in it.
    """
    spoken = " ".join(words(found.language or "US").say("notes", "joined").split())
    if spoken in " ".join(text.split()):
        return (True,) * max(len(found.parts), 1)
    told: list[list[bool]] = [[] for _ in range(max(len(found.parts), 1))]
    for line in found.lines:
        if line.counts and line.part < len(told):
            told[line.part] += [_joins(line)] * len(line.counts)
    return tuple(sum(own) > len(own) / 2 for own in told)


def _joins(line: ProofLine) -> bool:
    if line.fit is None:
        return False
    return _JOINS.search(shape(line.fit.way.content.body)) is not None
