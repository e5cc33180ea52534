"""Rows of a piece worked flat, put into words: the first along its chain, and how each one ends."""

from __future__ import annotations

from solver.notation.oval_words import RoundText
from solver.notation.words import Words
from solver.rounds import Piece


def row_line(
    piece: Piece, first: int, last: int, table: Words, write: RoundText, *, spelled: bool = False
) -> str:
    """Write one row, or rows that are worked alike, with number and count.

    Parameters
    ----------
    piece : Piece
        Worked flat in rows.
    first, last : int
        Numbers of the rows, from 1.
    table : Words
        The words of a language.
    write : callable
        Writes stitches that stand together.
    spelled : bool, optional
        In full.

    Returns
    -------
    str
        "Row 1 (RS): sc in the second ch from the hook, sc in each of the next 9 ch; ch 1, turn (10)".
    """
    style = "spelled" if spelled else "terse"
    this = piece.rounds[first - 1]
    if first == 1:
        along = [table.say(style, "chain_side", n=this.count - 1)] if this.count > 1 else []
        items = table.say(style, "between").join([table.say(style, "chain_first", n=1), *along])
    else:
        items = write(this, table, spelled=spelled)
    return table.say(
        style,
        "row" if first == last else "row_range",
        first=first,
        last=last,
        items=items,
        side=table.say(style, "row_side") if first == 1 else "",
        turn=table.say(style, "row_turn") if last < len(piece.rounds) else "",
        count=this.count,
        n=this.count if spelled else last - first + 1,
    )
