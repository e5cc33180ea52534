"""Whether the rounds of a piece are worked alike all round."""

from __future__ import annotations

import numpy as np

from solver.rounds.piece import Finish, Piece, Round, Start

UNEVEN = 1.25
"""Stitches by which the shaping of one round may run ahead of, or behind, shaping spread evenly round it."""

ONE_SIDED = 6.0
"""Stitches by which the shaping of all rounds together may be on one side: what single increases that are set
off from round to round come to at the most (of 400 parts shaped at random)."""


def alike_all_round(piece: Piece) -> bool:
    """Whether rounds are shaped alike all round, so that rings tell their form.

    Not along a chain, nor sewn flat. The shaping of a round that is spread evenly over its stitches runs at
    most a stitch ahead of or behind the share of the round that is worked; what sits on one side runs
    further, and what sits on the same side round after round adds up. Stitches of several heights in one
    round tilt it.
    """
    if piece.start in (Start.CHAIN, Start.ROWS) or piece.finish is Finish.SEAMED:
        return False
    if any(len({stitch.plain for stitch in this.stitches}) > 1 for this in piece.rounds):
        return False
    together = 0j
    for this in piece.rounds:
        changes = np.array([stitch.makes - stitch.uses for stitch in this.stitches])
        if not changes.any():
            continue
        makes = np.array([stitch.makes for stitch in this.stitches])
        for stitches in (makes, makes - changes):  # by the round itself, and by the one below
            done = np.cumsum(changes) - changes.sum() * np.cumsum(stitches) / stitches.sum()
            if np.ptp(done) > UNEVEN:
                return False
        together += _side(this)
        if abs(together) > ONE_SIDED:
            return False
    return True


def bends(this: Round) -> bool:
    """Whether a round bends a part: by stitches of several heights, or by increases opposite decreases."""
    if len({stitch.plain for stitch in this.stitches}) > 1:
        return True
    if this.increases != this.decreases or this.increases < 2:
        return False
    return abs(_side(this)) > MOSTLY * (this.increases + this.decreases)


MOSTLY = 0.6
"""Part of a round's increases and decreases that its one-sidedness is, from which it bends the part."""


def _side(this: Round) -> complex:
    """Return the increases less the decreases of a round, each in its direction round the part."""
    changes = np.array([stitch.makes - stitch.uses for stitch in this.stitches])
    makes = np.array([stitch.makes for stitch in this.stitches])
    middle = np.cumsum(makes) - makes / 2
    return complex(changes @ np.exp(2j * np.pi * middle / makes.sum()))
