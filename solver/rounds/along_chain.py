"""Rounds along both sides of a chain: the two ends shaped, the straight sides left as they are.

Both halves of a round are the same words, an end and a side twice: the part is its own picture turned by half
a turn. The increases of an end stand at equal gaps; what is over lies before the first and behind the last.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate, groupby, pairwise
from typing import NamedTuple

import numpy as np

from solver.arrays import Floats
from solver.errors import InputError, Problem
from solver.rounds import Begin, Finish, Increases, Piece, Round, Start, Stitch

END_STITCHES = (3, 4, 5)
"""Stitches that round 1 may have in each end chain, rising."""

_FADING = 0.5
"""How much an increase counts that lies one shaping round further back."""

_READING = 0.08
"""What one thing less to read on the line is worth, in gaps between increases."""

_UNEVEN = 0.05
"""What it is worth, over the mean gap, that the gap round the edges of an end is like the others."""


def first_end(*, stitch_width: float, row_height: float, multiple: int = 1) -> int:
    """Return the stitches in each end chain with which round 1 lies flattest.

    Half a flat circle of one round has pi h / w stitches, and the chain's own one comes to each end.

    Parameters
    ----------
    stitch_width, row_height : float
        [mm]
    multiple : int
        What they are a multiple of, 1 to 5.
    """
    flat = 1 + math.pi * row_height / stitch_width
    return min((n for n in END_STITCHES if n % multiple == 0), key=lambda n: abs(n - flat))


def flat_end(end: int, *, chain: int, rounds: int) -> tuple[int, ...]:
    """Return the stitches in each end of the flat rounds of the trade: `end` more every round.

    Parameters
    ----------
    end : int
        Stitches in each end chain of round 1.
    chain : int
        Chains, the skipped one included, >= 2.
    rounds : int
        How many, >= 1.

    Returns
    -------
    tuple of int
        With two chains both ends share the one chain that is worked into, so each has one stitch less.
    """
    return tuple(end * number - (chain == 2) for number in range(1, rounds + 1))


def oval_piece(
    chain: int,
    ends: Sequence[int],
    *,
    finish: Finish,
    begin: Begin = Begin.SIDE,
    increases: Increases = Increases.STAGGERED,
) -> Piece:
    """Return the rounds worked along both sides of a chain.

    Parameters
    ----------
    chain : int
        Chains in all, the skipped one included, >= 2.
    ends : sequence of int
        Stitches in each of the two ends, round by round.
    finish : Finish
        What becomes of the last edge.
    begin : Begin
        Where each round begins. `SIDE`: with the first stitch of the first end, so that the join stays at the
        corner and no increase crosses it. `END`: in the middle of the first end; on 2 chains, whose ends are
        one chain, this is the same.
    increases : Increases
        Set off against those of the rounds before, or in line.

    Returns
    -------
    Piece
        The straight sides have `chain` - 3 stitches each in every round.

    Raises
    ------
    InputError
        If an end grows to more than three times or shrinks to less than a third, or to one stitch.
    """
    if chain < 2:
        raise InputError(Problem("a chain to work along has at least 2 chains", got=f"{chain}"))
    for number, (below, here) in enumerate(zip((ends[0], *ends), ends, strict=False), start=1):
        if here < 2 or here > 3 * below or below > 3 * here:
            rule = f"in round {number} each end has two stitches or more, a third to three times those before"
            raise InputError(Problem(rule, got=f"{here} after {below}", remedy="Spread it over more rounds."))
    side = (Stitch.SC,) * max(chain - 3, 0)
    after = last = ends[0] // 2 if begin is Begin.END and chain > 2 else 0
    rounds = [Round.plain(2 * ends[0] + 2 * len(side))]
    shaping = _Shaping(stacked=increases is Increases.STACKED)
    for below, here in pairwise(ends):
        line, cut, after = shaping.end(below, here, split=after)
        rounds.append(Round(2 * (*line[cut:], *side, *line[:cut])))
    return Piece(
        start=Start.CHAIN,
        foundation=chain,
        rounds=tuple(rounds),
        finish=finish,
        ends=(ends[0] - last, ends[0], last),
    )


def things_to_read(piece: Piece) -> int:
    """Return the stitch words with their numbers over all lines of a piece on a chain, a repeat counted once.

    Rounds that follow each other and are alike share a line.
    """
    lines = [this.stitches for this, _ in groupby(piece.rounds[1:])]
    return sum(len(Round(line[: len(line) // repeats(line)]).runs) for line in lines)


def repeats(line: Sequence[Stitch]) -> int:
    """Return how often a line says the same words from beginning to end, at the most."""
    sizes = [size for size in range(1, len(line) + 1) if len(line) % size == 0]
    return next(len(line) // size for size in sizes if line[size:] == line[:-size])


class _Shaping:
    """Ends with their increases and decreases set off against those of the rounds before, or in line."""

    def __init__(self, *, stacked: bool) -> None:
        self.sign = -1.0 if stacked else 1.0
        self.crowded: list[tuple[Floats, float]] = []

    def end(self, below: int, here: int, *, split: int) -> tuple[tuple[Stitch, ...], int, int]:
        """Return an end's instructions, and how many of them, and of their stitches, lie before the split.

        Parameters
        ----------
        below, here : int
            Stitches of the end in the round before and in this one.
        split : int
            Stitches of the round before, from the end's beginning, that lie before the round's beginning.
        """
        if below == here:
            return (Stitch.SC,) * here, split, split
        gap = 1 / abs(here - below)
        ways = [way for way in _spreads(below, here) if split in way.reached]
        if not ways:  # no spread leaves the round's beginning whole: shape the two parts by themselves
            part = max(min(round(here * split / below), here - 1), 1)
            ways = [_way(_even(split, part, 0.5) + _even(below - split, here - part, 0.5), below, here)]
        prices = [way.price + self.sign * self._crowding(way.places, gap) for way in ways]
        best = ways[int(np.argmin(np.round(prices, 6)))]
        self.crowded = [(earlier, weight * _FADING) for earlier, weight in self.crowded if weight > 0.1]
        self.crowded.append((best.places, 1.0))
        cut = best.reached.index(split)
        return best.line, cut, sum(each.makes for each in best.line[:cut])

    def _crowding(self, places: Floats, gap: float) -> float:
        """Return how near the shapings come to earlier ones, the smaller the better."""
        total = 0.0
        for earlier, weight in self.crowded:
            apart = np.abs(places[:, None] - earlier).min(axis=1) / gap
            total += weight * float(np.mean(np.maximum(0.5 - apart, 0.0)))
        return total


class _Way(NamedTuple):
    """One way to get from one number of stitches in an end to another.

    Attributes
    ----------
    line : tuple of Stitch
    reached : list of int
        Stitches of the round before that are used up before each instruction, and after all.
    places : (k,) float
        Where in the end its shapings lie, 0 to 1.
    price : float
        For what there is to read, and for a gap round the edges of the end unlike the mean one.
    """

    line: tuple[Stitch, ...]
    reached: list[int]
    places: Floats
    price: float


def _way(line: tuple[Stitch, ...], below: int, here: int) -> _Way:
    reached = list(accumulate((each.uses for each in line), initial=0))
    larger = np.array([max(stitch.uses, stitch.makes) for stitch in line])
    shaped = np.array([stitch is not Stitch.SC for stitch in line])
    places = ((np.cumsum(larger) - larger / 2) / max(below, here))[shaped]
    round_edges = abs((places[0] + 1 - places[-1]) * len(places) - 1)
    return _Way(line, reached, places, _READING * len(Round((*line, Stitch.SC)).runs) + _UNEVEN * round_edges)


@lru_cache(maxsize=1024)
def _spreads(below: int, here: int) -> tuple[_Way, ...]:
    """Return the ways to get from one number of stitches to the other with equal gaps between the shapings.

    Where there are more shapings than stitches to work them into, some are of three stitches.
    """
    number, kind = abs(here - below), Stitch.INC if here > below else Stitch.DEC
    plain = below - number * kind.uses
    lines: list[tuple[Stitch, ...]] = []
    if plain < 0:
        few = min(below, here)
        lines = [_even(below, here, (step + 0.5) / few) for step in range(few)]
    for gap in range(plain // number, -(-plain // number) + 1) if plain >= 0 else ():
        edges = plain - (number - 1) * gap
        inside = (kind, *((Stitch.SC,) * gap + (kind,)) * (number - 1))
        lines += [(Stitch.SC,) * lead + inside + (Stitch.SC,) * (edges - lead) for lead in range(edges + 1)]
    return tuple(_way(line, below, here) for line in dict.fromkeys(lines))


def _even(below: int, here: int, phase: float) -> tuple[Stitch, ...]:
    """Return instructions that spread the difference evenly: the larger number dealt out to the smaller."""
    few, many = min(below, here), max(below, here)
    dealt = np.diff(np.floor(np.arange(few + 1) * many / few + phase)).astype(int)
    kinds = (Stitch.SC, Stitch.INC, Stitch.INC3) if here > below else (Stitch.SC, Stitch.DEC, Stitch.DEC3)
    return tuple(kinds[number - 1] for number in dealt.tolist())
