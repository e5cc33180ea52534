"""Whole stitches: the best sequence of counts that a maker would work.

The counts of rounds are whole numbers, at most double and at least half of the round before. They rise and
fall only where the wanted girth does, and no faster than it does by more than a stitch or two.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from solver.arrays import Floats, frozen
from solver.errors import InputError, Problem

END_SLACK = 1
"""Whole stitches by which the steps next to an end may differ more than others: what fits the whole number of
rounds."""

LEAST_OF_FLAT = 0.7
"""Share of what lies flat that multiples must allow in a round: fours alone never make a flat end."""

LEAST = 4
"""Stitches of any round but where a ring of three is asked for: fewer are a knot, and nobody works them."""

RING = (4, 8)
"""Fewest and most stitches that are worked into a ring, or drawn to a point."""

Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class CountRules:
    """What a sequence of counts must keep to.

    Attributes
    ----------
    directions : tuple of int
        +1 (rise) and -1 (fall), in the order of the wanted girth.
    first, last : tuple of two int
        Least and greatest count of the first and of the last round.
    steps : tuple of (int, int)
        For each round after the first: least and greatest change from the round before.
    multiple : int
        Every count is a multiple of this, >= 1.
    least : int
        No round has fewer stitches.
    """

    directions: tuple[int, ...]
    first: tuple[int, int]
    last: tuple[int, int]
    steps: tuple[tuple[int, int], ...]
    multiple: int = 1
    least: int = 1

    def allow(self, counts: Whole) -> bool:
        """Tell whether a sequence keeps to all the rules."""
        change = counts[1:] - counts[:-1]
        low, high = _bounds(self.steps)
        if (change < low).any() or (change > high).any() or counts.min() < self.least:
            return False  # nearly all that are refused: told first, as a search asks very often
        return bool(
            self.first[0] <= counts[0] <= self.first[1]
            and self.last[0] <= counts[-1] <= self.last[1]
            and (counts[1:] <= 2 * counts[:-1]).all()
            and (2 * counts[1:] >= counts[:-1]).all()
            and not (counts % self.multiple).any()
            and self._turns_in_order(change)
        )

    def _turns_in_order(self, change: Whole) -> bool:
        """Tell whether rises and falls follow each other as in `directions`, some perhaps left out."""
        signs = np.sign(change[change != 0])
        runs = signs[np.concatenate([[True], np.diff(signs) != 0])] if len(signs) else signs
        left = iter(self.directions)
        return all(sign in left for sign in runs.tolist())


@lru_cache(maxsize=8)
def _bounds(steps: tuple[tuple[int, int], ...]) -> tuple[Whole, Whole]:
    """Return steps as arrays; the same ones are asked for a hundred thousand times in a search."""
    low, high = np.array(steps, dtype=np.int64).reshape(-1, 2).T
    return frozen(low, np.int64), frozen(high, np.int64)


def step_limits(wanted: Floats, *, multiple: int, most: int, slack: int) -> tuple[tuple[int, int], ...]:
    """Return how much each round may change from the one before.

    Parameters
    ----------
    wanted : (n,) float
        Stitches that each round would have if they could be split.
    multiple : int
        Counts are multiples of this.
    most : int
        No round changes by more than this (what lies flat), or the multiple next above it where the one below
        would fall far behind.
    slack : int
        Whole stitches by which a step may differ from the wanted one, beyond rounding.

    Returns
    -------
    tuple of (int, int)
        One for each round after the first.
    """
    limits = []
    top = max(1, most // multiple)
    if top * multiple < LEAST_OF_FLAT * most:
        top += 1  # more than lies flat in one round, to be made up for in the next
    for i, (before, after) in enumerate(pairwise(wanted.tolist())):
        step = (after - before) / multiple
        room = slack + END_SLACK if i < 2 or i > len(wanted) - 4 else slack
        # standing still is always allowed: stretch may ask for a fall where the outline is level
        low, high = min(0, int(np.floor(step)) - room + 1), max(0, int(np.ceil(step)) + room - 1)
        limits.append((max(low, -top) * multiple, min(high, top) * multiple))
    return tuple(limits)


def best_counts(wanted: Floats, *, weight: Floats, rules: CountRules, reach: int) -> Whole:
    """Return the whole counts nearest to `wanted` among all sequences that the rules allow.

    Dynamic programming over (round, direction so far, count): exact for the sum of
    weight_i (n_i - wanted_i)^2 over counts within `reach` multiples of the wanted ones.

    Parameters
    ----------
    wanted : (n,) float
        Stitches that each round would have if they could be split.
    weight : (n,) float
        How much each round matters, > 0.
    rules : CountRules
        See there.
    reach : int
        How many multiples away from the wanted count a round may end.

    Returns
    -------
    (n,) int
        The counts.

    Raises
    ------
    InputError
        If no sequence keeps to the rules.
    """
    m = rules.multiple
    directions = rules.directions or (0,)
    states = [_candidates(max(float(value), rules.least), m, reach) for value in wanted]
    states = [each[each >= rules.least] for each in states]
    states[0] = _between(*rules.first, m)
    states[-1] = states[-1][(states[-1] >= rules.last[0]) & (states[-1] <= rules.last[1])]
    if not len(states[-1]):
        states[-1] = _between(*rules.last, m)
    cost = np.full((len(directions), len(states[0])), np.inf)
    cost[0] = weight[0] * (states[0] - wanted[0]) ** 2
    came: list[tuple[Whole, Whole]] = []
    for i in range(1, len(wanted)):
        before, after = states[i - 1][:, None], states[i][None, :]
        change = after - before
        low, high = rules.steps[i - 1]
        fits = (change >= low) & (change <= high) & (after <= 2 * before) & (2 * after >= before)
        reached = np.minimum.accumulate(cost, axis=0)
        phase = np.maximum.accumulate(
            np.where(cost <= reached, np.arange(len(directions))[:, None], 0), axis=0
        )
        fresh = np.empty((len(directions), len(states[i])))
        from_state, from_phase = (np.zeros(fresh.shape, dtype=np.int64) for _ in range(2))
        for d, direction in enumerate(directions):
            total = np.where(
                fits & (change * direction >= 0) & ((change == 0) | (direction != 0)), 0.0, np.inf
            )
            total += reached[d][:, None]
            from_state[d] = np.argmin(total, axis=0)
            fresh[d] = total[from_state[d], np.arange(len(states[i]))]
            from_phase[d] = phase[d][from_state[d]]
        came.append((from_state, from_phase))
        cost = fresh + weight[i] * (states[i] - wanted[i]) ** 2
    if not np.isfinite(cost).any():
        raise InputError(
            Problem(
                "an outline can be followed in whole stitches, and this one was not",
                got=f"counts of {m}s from {rules.first[0]} to {rules.last[1]} at the ends",
                remedy="Use a smaller multiple, a finer yarn, or a gentler outline.",
            )
        )
    d, k = divmod(int(np.argmin(cost)), cost.shape[1])
    picked = [states[-1][k]]
    for i in range(len(wanted) - 2, -1, -1):
        d, k = int(came[i][1][d, k]), int(came[i][0][d, k])
        picked.append(states[i][k])
    return np.array(picked[::-1], dtype=np.int64)


def _candidates(wanted: float, multiple: int, reach: int) -> Whole:
    nearest = max(1, round(wanted / multiple))
    return _between(multiple * max(1, nearest - reach), multiple * (nearest + reach), multiple)


def _between(low: int, high: int, multiple: int) -> Whole:
    first = -(-low // multiple) * multiple
    return np.arange(first, max(high, first) + 1, multiple, dtype=np.int64)
