"""Which stitches an upright stripe takes: one run in each round."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats, Ints
from solver.painting.choosing import AREA_OFF, EVEN_STEPS


def stripe(
    share: Floats,
    areas: Floats,
    counts: tuple[int, ...],
    middles: Floats,
    *,
    wanted: float,
    alike: bool = False,
) -> Ints:
    """Return which stitches an upright stripe takes: one run in each round, about its middle.

    Parameters
    ----------
    share : (s,) float
        Of each stitch's area that it covers.
    areas : (s,) float
        Of the stitches. [mm^2]
    counts : tuple of int
        Stitches of each round.
    middles : (rounds,) float
        Where its middle lies in each. [stitches]
    wanted : float
        Area that it is to have. [mm^2]
    alike : bool
        Whether its halves are to be alike: runs are odd where their middle lies in a stitch, else even.

    Returns
    -------
    (s,) int
        1 where a stitch is taken, else 0. The middle of a run lies within half a stitch of the stripe's.
        Every run has as many stitches as the stripe is wide, rounded down; where that leaves it too small,
        the rounds in which it is widest have one more, those that come first before others as wide.
    """
    label = np.zeros(len(share), dtype=np.int64)
    rounds: list[tuple[float, int, int, float, float]] = []  # width, first, stitches, middle, area of one
    first = 0
    for n, middle in zip(counts, middles.tolist(), strict=True):
        own = share[first : first + n]
        full = own.max()
        if full >= 0.5:
            size_ = float(own @ areas[first : first + n] / own.sum())  # of the stitches that it covers
            rounds.append((float(own.sum() / full), first, n, middle, size_))
        first += n
    if not rounds:
        return label
    width = np.array([each[0] for each in rounds])
    size = np.array([each[4] for each in rounds])
    twice = np.array([2 * each[3] for each in rounds])
    runs = _alike_runs(width, size, np.round(twice).astype(int), wanted) if alike else None
    run = _steady_runs(width, size, wanted) if runs is None else runs
    begins = np.floor((twice - run) / 2 + 0.5) if runs is None else (np.round(twice) - run) // 2
    for (_, start, n, _, _), begin, wide in zip(
        rounds, begins.astype(int).tolist(), run.tolist(), strict=True
    ):
        label[start + (begin + np.arange(min(wide, n))) % n] = 1
    return label


def _steady_runs(width: Floats, size: Floats, wanted: float) -> Ints:
    """Return stitches of a stripe in each round: its width rounded down, and one more where it is widest."""
    run = np.maximum(np.floor(width + STEADY * width), 1).astype(np.int64)
    missing = wanted - float((run * size).sum())
    for k in np.lexsort((np.arange(len(run)), -np.round((width - run) / EVEN_STEPS))).tolist():
        if missing < max(size[k] / 2, STEADY * wanted):
            break
        run[k] += 1
        missing -= size[k]
    return run


def _alike_runs(width: Floats, size: Floats, twice: Ints, wanted: float) -> Ints | None:
    """Return stitches of a stripe whose halves are alike; None where edges would step about for it.

    Runs are even where `twice` is, which tells their middles in half stitches, else odd.
    """
    odd = twice % 2
    run = 2 * np.round((width - odd) / 2).astype(np.int64) + odd
    run = np.maximum(run, 2 - odd)
    missing = wanted - float((run * size).sum())
    step = 2 if missing > 0 else -2
    for k in np.lexsort((np.arange(len(run)), np.round(step * (run - width) / EVEN_STEPS))).tolist():
        if abs(missing) < max(size[k] / 2, STEADY * wanted) or missing * step < 0:
            break
        if run[k] + step > 0 and abs(missing - step * size[k]) < abs(missing):
            run[k] += step
            missing -= step * size[k]
    near = abs(missing) <= max(AREA_OFF * wanted, float(size.mean()))
    return run if near and np.abs(run - width).mean() <= STEPS_ABOUT else None


STEPS_ABOUT = 1.0
"""Stitches by which runs may differ from a stripe's width in the mean, for halves that are alike."""
STEADY = 0.02
"""Share by which a stripe may be wider or narrower than it is wanted, for the sake of straight edges."""
