"""Flat ovals: soles, bases and patches, and whether they will lie flat.

A flat oval of N rounds is 2 N rows wide, and as much longer as its chain. It moves in steps of two rows, so
its last round may be half doubles instead, which halves the step. Slip stitches are only read.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from solver.errors import InputError, Problem
from solver.rounds import Begin, Finish, Increases, Piece, Round, Stitch
from solver.rounds.along_chain import first_end, flat_end, oval_piece
from solver.rounds.stitch import WORKED

CUPS, RUFFLES = 0.95, 1.10
"""Stitches over those that lie flat below which a piece cups and above which it ruffles (common practice, no
source)."""


class LastRound(StrEnum):
    """Stitches of the last round of a flat piece."""

    PLAIN = "single crochets"
    SLIP = "slip stitches"
    TALL = "half double crochets"


TALL_AS = {LastRound.PLAIN: 1.0, LastRound.SLIP: 0.3, LastRound.TALL: 1.5}
"""Height of a last round, in row heights. The latter two are ASSUMED."""


@dataclass(frozen=True, slots=True)
class Flatness:
    """Whether a piece lies flat.

    Attributes
    ----------
    more : float
        Stitches more a round, in both ends together, over all rounds.
    least, most : float
        Stitches more a round between which it lies flat at this gauge.
    ratio : float
        Stitches more a round over those of a flat circle, n w / (2 pi h).
    """

    more: float
    least: float
    most: float
    ratio: float

    @property
    def word(self) -> str:
        """What the piece does: "cups", "lies flat" or "ruffles"."""
        return "cups" if self.ratio < CUPS else "ruffles" if self.ratio > RUFFLES else "lies flat"

    @property
    def is_flat(self) -> bool:
        """Whether it lies flat."""
        return CUPS <= self.ratio <= RUFFLES

    @property
    def note(self) -> str:
        """What to tell the maker, with the margin."""
        told = f"{self.more:.3g} more stitches a round, over all rounds: the piece {self.word}"
        if self.word == "lies flat":
            spare = min(self.more - self.least, self.most - self.more)
            told += f", with {spare:.1f} stitches a round to spare"
        return f"{told} (at this gauge {self.least:.1f} to {self.most:.1f} lie flat)."


@dataclass(frozen=True, slots=True)
class FlatOval:
    """A flat oval in whole stitches.

    Attributes
    ----------
    piece : Piece
    last : LastRound
        Stitches of its last round.
    length, width : float
        Relaxed, along the chain and across it. [mm]
    flatness : Flatness
    """

    piece: Piece
    last: LastRound
    length: float
    width: float
    flatness: Flatness


def flatness(ends: tuple[float, ...], *, stitch_width: float, row_height: float) -> Flatness:
    """Return whether rounds with these stitches in each end lie flat.

    Parameters
    ----------
    ends : tuple of float
        Stitches in each end, round by round, at least one.
    stitch_width, row_height : float
        [mm]
    """
    circle = 2 * np.pi * row_height / stitch_width
    # one stitch of each end is the chain's own, as each side is one stitch shorter than the chain
    more = 2 * (ends[-1] - 1) / len(ends)
    return Flatness(more=more, least=CUPS * circle, most=RUFFLES * circle, ratio=more / circle)


def flat_oval(
    *,
    length: float,
    width: float,
    stitch_width: float,
    row_height: float,
    chain: int | None = None,
    end: int | None = None,
    begin: Begin = Begin.SIDE,
    increases: Increases = Increases.STAGGERED,
    multiple: int = 1,
) -> FlatOval:
    """Return the flat oval nearest to a length and a width.

    Parameters
    ----------
    length, width : float
        Along the chain and across it, length >= width > 0. [mm]
    stitch_width, row_height : float
        [mm]
    chain, end : int, optional
        Chains, and stitches in each end chain. With `end` given every round has so many more in each end, as
        common practice has it; left out, as many as lie flat.
    begin : Begin
        Where rounds begin.
    increases : Increases
        Set off, or in line.
    multiple : int
        What the stitches of each end are a multiple of, 1 to 5.

    Raises
    ------
    InputError
        If it is longer across than along, or lower than one round.
    """
    if length < width:
        remedy = "Give length the larger size."
        raise InputError(
            Problem(
                "a flat oval is at least as long as wide", got=f"{length:g} by {width:g} mm", remedy=remedy
            )
        )
    rounds, last = _rounds(width, row_height)
    across = 2 * row_height * (rounds - 1 + TALL_AS[last])
    guess = chain or max(round((length - across) / stitch_width - 1), 0) + 3
    gauge = {"stitch_width": stitch_width, "row_height": row_height}
    reach = _reach(across, _in_ends(end, guess, rounds, **gauge, multiple=multiple)[-1])
    if chain is None:
        chain = max(round((length - reach) / stitch_width - 1), 0) + 3
    in_ends = _in_ends(end, chain, rounds, **gauge, multiple=multiple)
    piece = oval_piece(chain, in_ends, finish=Finish.OPEN, begin=begin, increases=increases)
    return FlatOval(
        piece=_last_tall(piece) if last is LastRound.TALL else piece,
        last=last,
        length=(chain - 2) * stitch_width + _reach(across, in_ends[-1]),
        width=across,
        flatness=flatness(in_ends, **gauge),
    )


def _last_tall(piece: Piece) -> Piece:
    """Return a piece with its last round in half doubles."""
    *before, last = piece.rounds
    tall = Round(tuple(WORKED[Stitch.HDC, each.uses, each.makes] for each in last.stitches))
    return replace(piece, rounds=(*before, tall))


def last_round(piece: Piece) -> LastRound:
    """Return what the last round of a piece says that it is worked in."""
    plain = {stitch.plain for stitch in piece.rounds[-1].stitches}
    return {frozenset({Stitch.HDC}): LastRound.TALL, frozenset({Stitch.SLST}): LastRound.SLIP}.get(
        frozenset(plain), LastRound.PLAIN
    )


def _in_ends(
    end: int | None, chain: int, rounds: int, *, stitch_width: float, row_height: float, multiple: int
) -> tuple[int, ...]:
    """Return the stitches in each end, round by round: as given, or one number more each time."""
    if end is not None:
        return flat_end(end, chain=chain, rounds=rounds)
    grown = np.pi * row_height / stitch_width
    first = first_end(stitch_width=stitch_width, row_height=row_height, multiple=multiple)
    more = max(round(grown / multiple), 1) * multiple
    number = np.arange(rounds)
    if multiple > 1 or CUPS <= (first - 1 + more * number[-1]) / (grown * rounds) <= RUFFLES:
        return tuple((first + more * number).tolist())
    # no one number of increases lies flat at this gauge
    ends = np.maximum(np.rint(1 + grown * (number + 1)).astype(int), 2)
    ends[0] = first
    return tuple(ends.tolist())


def _reach(across: float, end: int) -> float:
    """Return how far both ends of a round reach beyond its sides; an even one has its tip between two."""
    return float(across * (np.cos(np.pi / (2 * end)) if end % 2 == 0 else 1.0))


def _rounds(width: float, row_height: float) -> tuple[int, LastRound]:
    """Return how many rounds come nearest to a width, and the stitches of the last one."""
    if width < row_height:
        rule = "a flat oval is at least half a round wide on each side of its chain"
        raise InputError(Problem(rule, got=f"{width:g} mm", remedy="Make it wider, or use thinner yarn."))
    half = width / 2 / row_height
    near = [
        (abs(whole - 1 + TALL_AS[last] - half), last is not LastRound.PLAIN, whole, last)
        for whole in (int(half), int(half) + 1)
        for last in (LastRound.PLAIN, LastRound.TALL)
        if whole >= 1 + (last is LastRound.TALL)
    ]
    _, _, whole, last = min(near, key=lambda each: (round(each[0], 6), each[1]))
    return whole, last
