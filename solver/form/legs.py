"""The legs of a piece: which stitch stands on which, and the cells of fabric between neighbouring legs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.arrays import Floats, Ints
from solver.rounds import Finish, Piece, Start, Stitch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from solver.rounds import Heights, Round

_USES = {stitch: stitch.uses for stitch in Stitch}
_MAKES = {stitch: stitch.makes for stitch in Stitch}
_REACH = {stitch: max(stitch.uses, stitch.makes) for stitch in Stitch}


def legs_of(piece: Piece) -> tuple[Ints, Ints]:
    """Return the slots that each leg joins and its round, in working order."""
    first = piece.rounds[0].count
    if piece.start is Start.OPEN:
        below, worked = np.zeros(0, dtype=np.int64), piece.rounds
    else:
        below, worked = np.zeros(first, dtype=np.int64), piece.rounds[1:]
    if piece.start is Start.CHAIN:
        side, (before, far, after) = piece.side, piece.ends
        slots = 2 * side + 2 if piece.foundation > 2 else 1
        worked_into = [before, *[1] * side, far, *[1] * side, after] if slots > 1 else [first, 0]
        below = np.repeat(np.arange(slots + 1) % slots, worked_into)
    legs = [np.stack([below, np.arange(len(below))], axis=1)]
    rounds = [np.ones(len(below), dtype=np.int64)]
    if worked:
        number = 1 + len(piece.rounds) - len(worked)
        joined, of_round = _worked_legs(worked)
        legs.append(joined)
        rounds.append(of_round + number)
    if piece.finish is Finish.CINCHED:
        last = piece.rounds[-1].count
        legs.append(np.stack([np.arange(last), np.zeros(last, dtype=np.int64)], axis=1))
        rounds.append(np.full(last, len(piece.rounds) + 1))
    return np.concatenate(legs), np.concatenate(rounds)


def _worked_legs(rounds: Sequence[Round]) -> tuple[Ints, Ints]:
    """Return slots and index of round of each leg of rounds that are worked into stitches."""
    stitches = [stitch for each in rounds for stitch in each.stitches]
    uses = np.fromiter(map(_USES.__getitem__, stitches), np.int64, len(stitches))
    makes = np.fromiter(map(_MAKES.__getitem__, stitches), np.int64, len(stitches))
    lengths = np.array([len(each.stitches) for each in rounds])
    of_round = np.repeat(np.arange(len(rounds)), lengths)
    begins = np.cumsum(lengths) - lengths
    feet, tops = np.cumsum(uses) - uses, np.cumsum(makes) - makes
    feet, tops = feet - feet[begins][of_round], tops - tops[begins][of_round]
    of_stitch = np.repeat(np.arange(len(stitches)), np.maximum(uses, makes))
    step = np.arange(len(of_stitch)) - np.searchsorted(of_stitch, np.arange(len(stitches)))[of_stitch]
    below = feet[of_stitch] + np.minimum(step, uses[of_stitch] - 1)
    above = tops[of_stitch] + np.minimum(step, makes[of_stitch] - 1)
    return np.stack([below, above], axis=1), of_round[of_stitch]


def leg_rows_of(piece: Piece, heights: Heights) -> Floats:
    """Return how tall the stitch of each leg is, in rows; nothing of the drawn-in closing. (l,)"""
    by_stitch = heights.by_stitch
    stitches = [stitch for each in piece.rounds for stitch in each.stitches]
    rows = np.fromiter(map(by_stitch.__getitem__, stitches), np.float64, len(stitches))
    legs = np.fromiter(map(_REACH.__getitem__, stitches), np.int64, len(stitches))
    last = piece.rounds[-1].count if piece.finish is Finish.CINCHED else 0
    return np.concatenate([np.repeat(rows, legs), np.zeros(last)])


def cells_of(leg_round: Ints, *, spiral: bool) -> Ints:
    """Return the two legs of each cell: each leg and the next, joined by rounds or running on as a spiral."""
    leg = np.arange(len(leg_round))
    if spiral:
        return np.stack([leg[:-1], leg[1:]], axis=1)
    first = np.searchsorted(leg_round, leg_round)
    last = np.append(leg_round[1:] != leg_round[:-1], True)
    return np.stack([leg, np.where(last, first, leg + 1)], axis=1)


def corners_of(piece: Piece) -> tuple[Floats, ...]:
    """Return where the ends and sides of each ring of a piece on a chain begin, in stitches of the ring."""
    if piece.start is not Start.CHAIN:
        return ()
    # The chain itself is all side: its end nodes are the two ends.
    last = 0.5 + min(piece.foundation - 2, piece.side + 1)
    corners = [np.array([0.5, 0.5, last, last]), *(np.array(each) for each in piece.corners())]
    if piece.finish is Finish.CINCHED:
        corners.append(np.full(4, 0.5))
    return tuple(corners)


def turns_of(rings: tuple[Ints, ...], leg_slots: Ints, leg_round: Ints) -> Floats:
    """Return the turn of each ring against evenly spaced places, so that no round leans as a whole."""
    sizes = np.array([len(ring) for ring in rings])
    place = (leg_slots + 0.5) / np.stack([sizes[leg_round - 1], sizes[leg_round]], axis=1)
    apart = place[:, 0] - place[:, 1]
    apart -= np.rint(apart)  # on a chain the last stitches stand in the first place again
    lean = np.bincount(leg_round, apart, len(rings)) / np.maximum(
        np.bincount(leg_round, minlength=len(rings)), 1
    )
    lean[1:][(sizes[1:] == 1) | (sizes[:-1] == 1)] = 0.0
    return np.cumsum(lean)


def rings_of(piece: Piece) -> tuple[tuple[Ints, ...], Ints]:
    """Return the node of each slot of each ring, and the ring of each node."""
    if piece.start is Start.CHAIN:
        last = piece.foundation - 2
        start = np.concatenate([np.arange(last + 1), np.arange(last - 1, 0, -1)])
    else:
        start = np.arange(piece.foundation if piece.start is Start.OPEN else 1)
    sizes = [int(start.max()) + 1, *piece.counts]
    tops = np.split(np.arange(sum(sizes)), np.cumsum(sizes)[:-1])
    rings = [start, *tops[1:]]
    if piece.finish is Finish.SEAMED:
        rings[-1], sizes[-1] = _seam(piece, rings[-1])
    elif piece.finish is Finish.CINCHED:
        rings.append(np.array([sum(sizes)]))
        sizes.append(1)
    return tuple(rings), np.repeat(np.arange(len(sizes)), sizes)


def _seam(piece: Piece, tops: Ints) -> tuple[Ints, int]:
    """Return the last ring folded flat, and its number of nodes: two slots that meet share one."""
    slot = np.arange(len(tops))
    fold = -1  # without a chain the fold is where the rounds begin
    if piece.start is Start.CHAIN:
        corner = corners_of(piece)[-1]
        # The folds halve the ends; slots j and k meet where j + k + 1 is twice the fold.
        fold = int(np.floor((corner.sum() - len(tops)) / 2 - 0.5))
    first = np.minimum(slot, (fold - slot) % len(tops))
    names, node = np.unique(first, return_inverse=True)
    return tops[0] + node, len(names)
