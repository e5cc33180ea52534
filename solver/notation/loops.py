"""Loops of an earlier round: "Continue in the back loops of round 3"."""

from __future__ import annotations

import re
from collections.abc import Sequence as Seq

from solver.notation.token import Token, shape

_LOOPS_OF = re.compile(r"[bO][bOzpfRC]{0,3}w(n)(?![vn-])|w(n)[,pzv]{0,3}[bO]")
_ROUND = re.compile(r"w(n)(?![vn-])")
#: Stems of words for loops, and for what was left to be worked in later.
_FREE = re.compile(
    r"\bloop|\bunused|\bunworked|\bfree\b|\bleft (?:over|free)"
    r"|glied|schlaufe|\bbrin|hebra|\blus|стенк|полупетл"
)


def may_be_loops_of(found: Seq[Token], text: str) -> int | None:
    """Return an earlier round that a line names beside a word for loops or what is left; None without."""
    kept = [token for token in found if token.cls != "q"]
    match = _ROUND.search(shape(kept))
    return kept[match.start(1)].value if match and _FREE.search(text) else None


#: A line that says where the next round is worked, and works nothing itself.
_NO_WORK = re.compile(r"[sidEDGMtgSxnkKY]")


def loops_of(found: Seq[Token]) -> int | None:
    """Return the earlier round into whose loops a line is worked; None when it speaks of none."""
    kept = [token for token in found if token.cls != "q"]
    match = _LOOPS_OF.search(shape(kept))
    if match is None:
        return None
    return kept[match.start(1 if match[1] else 2)].value


def only_loops(found: Seq[Token]) -> bool:
    """Tell a line of its own that sends the next round into the loops of an earlier one."""
    kept = shape([token for token in found if token.cls != "q"])
    match = _LOOPS_OF.search(kept)
    if match is None:
        return False
    rest = re.sub(r"[(\[]nt?[)\]]", "", kept[: match.start()] + kept[match.end() :])
    return not _NO_WORK.search(rest)
