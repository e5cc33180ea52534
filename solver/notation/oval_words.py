"""Rounds along a chain put into words: where round 1 goes, then each half once."""

from __future__ import annotations

from typing import Protocol

from solver.notation.stitch_words import item
from solver.notation.words import Words
from solver.rounds import Piece, Round
from solver.rounds.along_chain import repeats


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
        "4 sc in the second ch from the hook, sc in each of the next 6 ch, ..." for round 1. What the others
        repeat all round is told once, its like stitches in one run: "(inc, 3 sc, inc, 23 sc) x 2".
    """
    if number == 1:
        return _into_chain(piece, table, "spelled" if spelled else "terse")
    this = piece.rounds[number - 1]
    times = repeats(this.stitches)
    if spelled or times == 1 or len(this.runs) == 1:
        return write(this, table, spelled=spelled)
    once = Round(this.stitches[: len(this.stitches) // times]).runs
    items = [item(table, stitch, n) for stitch, n in once]
    return table.say("terse", "repeat", items=table.say("terse", "between").join(items), n=times)


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
