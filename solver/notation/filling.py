"""When a piece is stuffed: before each round that makes the opening small."""

from __future__ import annotations

from solver.rounds import Finish, Piece, Start

#: An opening is small below a third of the piece's widest round, and always below so many stitches (common
#: practice, no source: a finger and a pinch of filling pass through twelve).
_SMALL_PART, _SMALL = 3, 12


def stuffing_lines(piece: Piece) -> dict[int, str]:
    """Return the stuffing lines by the number of the round that each stands before.

    A line stands before every round that makes the opening small; where the edge stays wide, at the end.
    """
    counts = piece.counts
    widest = max(counts)
    small = max(min(_SMALL, widest), -(-widest // _SMALL_PART))
    end = len(counts) + 1
    if piece.start is Start.OPEN and not piece.legs and piece.foundation >= small:
        return {end: "stuff_before_sewing"}
    drawn_in = piece.finish is Finish.CINCHED
    lines = {}
    for number in range(2, end):
        if counts[number - 2] >= small > counts[number - 1]:
            closes = drawn_in and max(counts[number - 1 :]) < small
            lines[number] = "stuff_before_closing" if closes else "stuff_before_narrowing"
    if drawn_in:
        lines[end] = "top_up" if counts[-1] < small else "stuff_before_cinching"
    elif counts[-1] >= small:
        lines[end] = "stuff_before_sewing"
    return lines
