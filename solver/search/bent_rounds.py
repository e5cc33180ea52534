"""The rounds of a part that bends, from its straight ones and how its bends are worked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from solver.arrays import Floats
from solver.form.fabric import stitch_fabric
from solver.rounds import Piece, Round, Start, Stitch
from solver.rounds.shaping import shaped_piece
from solver.search.bent_plan import Straight, Turn
from solver.wanted.swept import Bend


def told_places(straight: Straight, turns: Sequence[Turn]) -> Floats:
    """Return the length along the outline at the start and at each round's edge of the bent part. [mm]"""
    steps = list(np.diff(straight.at))
    for turn in reversed(turns):
        row = straight.row_at(float(straight.at[[turn.first, turn.last]].mean()))
        of = straight.heights.by_stitch
        mean = float(np.mean([of[stitch] for stitch in turn.pattern.stitches(0)]))
        steps[turn.first : turn.last] = [mean * row] * turn.rounds
    at = np.append(0.0, np.cumsum(steps))
    return np.asarray(straight.at[0] + at * (straight.at[-1] - straight.at[0]) / at[-1])


def bent_piece(
    straight: Straight, turns: Sequence[Turn], bends: Sequence[Bend]
) -> tuple[Piece, Floats, float]:
    """Return the rounds of a bent part.

    Returns
    -------
    piece : Piece
    places : (n + 1,) float
        Length along the outline at the start and at each round's edge. [mm]
    forward : float
        Where in the evenly spaced layout the front is. [turns]
    """
    counts = list(straight.counts)
    for turn in turns:
        counts[turn.first - 1] = turn.pattern.count
    for turn in reversed(turns):
        counts[turn.first : turn.last] = [turn.pattern.count] * turn.rounds
    piece = _evenly_worked(counts, straight)
    fabric = stitch_fabric(
        piece, stitch_width=straight.stitch_width, row_height=straight.row_height, lean=straight.lean
    )
    rounds, forward = list(piece.rounds), 0.0
    moves = np.cumsum([0, *(turn.rounds - (turn.last - turn.first) for turn in turns)])
    jobs = list(zip(turns, bends, moves.tolist(), strict=False))
    # increases walk, or stay, as the rounds begin: they tell where the front is, else the first bend does
    for i, (turn, bend, moved) in enumerate(sorted(jobs, key=lambda job: not job[0].pattern.shaped)):
        first, n = turn.first + moved, turn.pattern.count
        turned = float(fabric.place(first + 1)[0] - 0.5 / n)
        behind = 0.0 if bend.angle > 0 else 0.5
        if turn.pattern.shaped:
            forward = (turned + turn.pattern.inside(turn.rounds, lean=straight.lean) + behind) % 1.0
        elif i == 0:
            forward = (turn.pattern.low / 2 / n + turned + behind) % 1.0
            if straight.start is Start.CHAIN:  # its chain lies across: the front is the middle of a side
                forward = MID_SIDE
        begins = ((forward - behind - turned) % 1.0) * n - turn.pattern.low / 2
        rounds[first : first + turn.rounds] = [  # the lean moves stitches on, and the bend stays where it is
            Round(turn.pattern.stitches(round(begins - k * straight.lean))) for k in range(turn.rounds)
        ]
    return replace(piece, rounds=tuple(rounds)), told_places(straight, turns), forward


MID_SIDE = 0.375
"""Where the middle of the first side of a piece on a chain is. [turns]"""


def _evenly_worked(counts: list[int], straight: Straight) -> Piece:
    """Return rounds of these counts, shaped evenly; on a chain from round 2 on."""
    if straight.start is not Start.CHAIN:
        foundation = counts[0] if straight.start is Start.OPEN else 0
        return shaped_piece(
            counts,
            start=straight.start,
            foundation=foundation,
            finish=straight.finish,
            increases=straight.increases,
        )
    rest = shaped_piece(
        counts[1:],
        start=Start.OPEN,
        foundation=counts[0],
        finish=straight.finish,
        increases=straight.increases,
    )
    chain = 3 + (counts[0] - 6 + 1) // 2 if counts[0] > 6 else 3
    piece = Piece(Start.CHAIN, chain, (Round.plain(counts[0]), *rest.rounds), straight.finish)
    more = counts[1] - counts[0]
    if chain == 3 or not 0 < more <= sum(piece.ends):
        return piece
    line = [Stitch.SC] * counts[0]  # the ends of a longer chain stay corners unless it grows there
    before, far, after = piece.ends
    second = before + piece.side
    ends = [*range(second, second + far), *range(before), *range(counts[0] - after, counts[0])]
    for k in range(more):
        line[ends[k * len(ends) // more]] = Stitch.INC
    return replace(piece, rounds=(piece.rounds[0], Round(tuple(line)), *piece.rounds[2:]))
