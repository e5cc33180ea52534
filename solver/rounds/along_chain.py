"""Rounds along both sides of a chain: the two ends shaped, the straight sides left as they are.

The ends mirror each other: the second end is worked as the first one reads backwards. So the part is the
same at both ends whatever the number of increases, and most lines read the same anyway.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate, pairwise

import numpy as np

from solver.errors import InputError, Problem
from solver.rounds import Begin, Finish, Increases, Piece, Round, Start, Stitch
from solver.rounds.repeats import folded

END_STITCHES = (3, 4, 5)
"""Stitches that round 1 may have in each end chain, rising."""

_FADING = 0.5
"""How much an increase counts that lies one shaping round further back."""

_TRIED = 8
"""Spreads, of the least crowded, among which the one shortest to read is taken."""

_READING = 0.05
"""What one thing less to read on the line is worth, in gaps between increases."""


def first_end(*, stitch_width: float, row_height: float) -> int:
    """Return the stitches in each end chain with which round 1 lies flat.

    Half a flat circle of one round has pi h / w stitches, and the chain's own one comes to each end. [mm]
    """
    flat = round(1 + math.pi * row_height / stitch_width)
    return min(max(flat, END_STITCHES[0]), END_STITCHES[-1])


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
        first, cut, after = shaping.end(below, here, split=after)
        second = first[::-1]
        rounds.append(Round((*first[cut:], *side, *second, *side, *first[:cut])))
    return Piece(
        start=Start.CHAIN,
        foundation=chain,
        rounds=tuple(rounds),
        finish=finish,
        ends=(ends[0] - last, ends[0], last),
    )


class _Shaping:
    """Ends with their increases and decreases set off against those of the rounds before, or in line."""

    def __init__(self, *, stacked: bool) -> None:
        self.sign = -1.0 if stacked else 1.0
        self.crowded: list[tuple[np.ndarray, float]] = []

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
        lines = _ways(below, here)
        whole = [line for line in lines if split in accumulate((each.uses for each in line), initial=0)]
        if not whole:  # no even spread leaves the round's beginning whole: shape the two parts by themselves
            part = max(min(round(here * split / below), here - 1), 1)
            whole = [_even(split, part, 0.5) + _even(below - split, here - part, 0.5)]
        places = [_places(line, below, here) for line in whole]
        crowding = [self.sign * self._crowding(each, gap) for each in places]
        likely = sorted(range(len(whole)), key=crowding.__getitem__)[:_TRIED]
        best = min(likely, key=lambda i: round(crowding[i] + _READING * _to_read(whole[i]), 6))
        line = whole[best]
        self.crowded = [(earlier, weight * _FADING) for earlier, weight in self.crowded if weight > 0.1]
        self.crowded.append((places[best], 1.0))
        cut = list(accumulate((each.uses for each in line), initial=0)).index(split)
        return line, cut, sum(each.makes for each in line[:cut])

    def _crowding(self, places: np.ndarray, gap: float) -> float:
        """Return how near the shapings come to earlier ones, the smaller the better."""
        total = 0.0
        for earlier, weight in self.crowded:
            apart = np.abs(places[:, None] - earlier).min(axis=1) / gap
            total += weight * float(np.mean(np.maximum(0.5 - apart, 0.0)))
        return total


@lru_cache(maxsize=2048)
def _ways(below: int, here: int) -> tuple[tuple[Stitch, ...], ...]:
    """Return the even ways to get from one number of stitches to the other."""
    few = min(below, here)
    return tuple(dict.fromkeys(_even(below, here, (step + 0.5) / few) for step in range(few)))


def _even(below: int, here: int, phase: float) -> tuple[Stitch, ...]:
    """Return instructions that spread the difference evenly: the larger number dealt out to the smaller."""
    few, many = min(below, here), max(below, here)
    dealt = np.diff(np.floor(np.arange(few + 1) * many / few + phase)).astype(int)
    kinds = (Stitch.SC, Stitch.INC, Stitch.INC3) if here > below else (Stitch.SC, Stitch.DEC, Stitch.DEC3)
    return tuple(kinds[number - 1] for number in dealt.tolist())


@lru_cache(maxsize=8192)
def _places(line: tuple[Stitch, ...], below: int, here: int) -> np.ndarray:
    """Return where in the end the shapings lie, 0 to 1."""
    larger = [max(stitch.uses, stitch.makes) for stitch in line]
    at = np.cumsum(larger) - np.array(larger) / 2
    shaped = np.array([stitch is not Stitch.SC for stitch in line])
    return np.asarray(at[shaped] / max(below, here))


@lru_cache(maxsize=8192)
def _to_read(line: tuple[Stitch, ...]) -> int:
    """Return the number of things to read on the line of one end."""
    runs = Round(line).runs
    widths = [4 + len(str(number)) for _, number in runs]
    folds = folded(runs, widths=widths, leads=[stitch is not Stitch.SC for stitch, _ in runs])
    return sum(fold.items for fold in folds)
