"""Rounds along a chain put into words: where round 1 goes, then ends and sides told apart."""

from __future__ import annotations

from typing import Protocol

from solver.notation.words import Words
from solver.rounds import Piece, Round, Stitch

#: Straight stitches of a side from which it is told apart from the ends.
_TOLD_APART = 3


class RoundText(Protocol):
    """Writes what one round does, without its number and its count."""

    def __call__(self, this: Round, table: Words, *, spelled: bool = False) -> str:
        """Write the round."""


def oval_text(piece: Piece, number: int, table: Words, write: RoundText, *, spelled: bool = False) -> str:
    """Write what one round of a piece on a chain does, without its number and its count.

    Parameters
    ----------
    piece : Piece
        Begun along a chain.
    number : int
        Of the round, from 1.
    table : Words
        The words of a language.
    write : callable
        Writes stitches that stand together.
    spelled : bool, optional
        In full.

    Returns
    -------
    str
        "4 sc in the second ch from the hook, sc in each of the next 6 ch, ..." for round 1. For the others
        the ends and the straight sides each by themselves, so that a side always reads alike:
        "(sc, inc) x 4, 6 sc, (inc, sc) x 4, 6 sc"; or the half that both halves are: "(4 inc, 6 sc) x 2".
    """
    if number == 1:
        return _into_chain(piece, table, "spelled" if spelled else "terse")
    whole = piece.rounds[number - 1]
    parts = _parts(piece, number)
    if len(whole.runs) == 1 or len(parts) < 2 or piece.side < _TOLD_APART:
        return write(whole, table, spelled=spelled)
    between = table.say("spelled" if spelled else "terse", "between")
    told = []
    for part in map(Round, parts):
        stitch, times = part.runs[0]
        alone = len(part.runs) == 1 and not spelled
        item = table.say("terse", "item", stitch=table[stitch].short, n=times) if alone else ""
        told.append(item or write(part, table, spelled=spelled))
    half = len(told) // 2
    if not spelled and told[:half] == told[half:] and not any("(" in text for text in told):
        return table.say("terse", "repeat", items=between.join(told[:half]), n=2)
    return between.join(told)


def _parts(piece: Piece, number: int) -> list[tuple[Stitch, ...]]:
    """Return the instructions of a round cut at its corners; uncut where one reaches across a corner."""
    stitches = piece.rounds[number - 1].stitches
    count = piece.rounds[number - 1].count
    corners = {round(corner % count, 6) for corner in piece.corners()[number - 1]}
    parts: list[list[Stitch]] = [[]]
    at = 0
    for stitch in stitches:
        if at in corners and parts[-1]:
            parts.append([])
        corners.discard(at)
        parts[-1].append(stitch)
        at += stitch.makes
    return [tuple(part) for part in parts] if corners <= {0, count} else [tuple(stitches)]


def _into_chain(piece: Piece, table: Words, style: str) -> str:
    """Write the first round: into the second chain from the hook, along, into the last, and back."""
    before, far, after = piece.ends
    between = table.say(style, "between")
    if piece.foundation == 2:
        return table.say(style, "chain_first", n=before + far + after)
    side = [table.say(style, "chain_side", n=piece.side)] if piece.side else []
    there = [table.say(style, "chain_first", n=before), *side, table.say(style, "chain_last", n=far)]
    back = [*side, *([table.say(style, "chain_again", n=after)] if after else [])]
    if back:
        there.append(table.say(style, "chain_turn", items=between.join(back)))
    return between.join(there)
