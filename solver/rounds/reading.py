"""How much a piece is to read, and how often it changes: what plain rounds save."""

from __future__ import annotations

from itertools import groupby, pairwise

from solver.rounds.piece import Piece
from solver.rounds.repeats import told


def words_to_read(piece: Piece) -> int:
    """Return the stitch words with their numbers over all lines, a repeat's counted once.

    Rounds that follow each other and are worked alike share a line.
    """
    rounds = [this for this, _ in groupby(piece.rounds)]
    return sum(len(part.runs) for this in rounds for part in told(this.stitches))


def changes_of_step(piece: Piece) -> int:
    """Return how often a round gains or loses another number of stitches than the round before it."""
    steps = [after - before for before, after in pairwise(piece.counts)]
    return sum(before != after for before, after in pairwise(steps))
