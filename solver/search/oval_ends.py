"""Stitches in each end of an oval part, round by round: near the wanted profile, and plain.

A sequence is plain where its changes go on as they went: +3, +3, +3, then none. Of all whole sequences
within the rules the one is taken whose squared distances from the profile, and a price on each change of
step, come to least; dynamic programming over the stitches of an end and the step that led to them finds it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.arrays import Bools, Floats, Ints
from solver.rounds import Finish
from solver.search.oval_plan import SEAM_END, OvalMaking, Plan
from solver.wanted.stadium import Stadium

WIDEST = 0.5
"""Stitches below the widest end within which a round is as wide as any: it may be the last to grow."""


def end_counts(wanted: Stadium, making: OvalMaking, plan: Plan, *, price: float = 0.0) -> tuple[int, ...]:
    """Return the stitches in each end, round by round.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    plan : Plan
    price : float
        Of a change of step, >= 0, in squared stitches; at 0 the profile is followed as nearly as can be.

    Returns
    -------
    tuple of int
        Multiples of `making.multiple`. An end grows by no more than lies flat, shrinks to a half at most,
        and turns only where the profile does.
    """
    m, aim = making.multiple, profile_ends(wanted, making, plan)
    least = -(-SEAM_END // m)
    counts = np.arange(least, max(int(aim.max() // m), making.first_end // m) + 2)
    grown = making.end or int(np.ceil(making.flat_end))
    steps = np.arange(-counts[-1] // 2, max(grown // m, 1) + 1)
    off = (m * counts - aim[:, None]) ** 2
    off[0, counts != making.first_end // m] = np.inf
    if making.finish is Finish.SEAMED:
        off[-1, counts > least] = np.inf
    found = _least(off, counts, steps, allowed=_turning(aim, steps), price=price)
    return tuple((m * found).tolist())


def changes(ends: Sequence[int]) -> int:
    """Return how often an end changes by another number of stitches than in the round before."""
    return int(np.count_nonzero(np.diff(ends, n=2)))


def profile_ends(wanted: Stadium, making: OvalMaking, plan: Plan) -> Floats:
    """Return the stitches in each end that the wanted profile has at each round, not whole.

    Half a round of radius rho has pi rho / w stitches, and one more than that stands in each end, as the
    chain is one stitch longer than each side. Straight sides that grow or shrink do so in the ends.
    """
    shares = np.arange(1, plan.rounds + 1) / plan.rounds
    if making.sole:
        sole, flat = making.sole / wanted.meridian, sole_rounds(making)
        up = np.arange(1, plan.rounds - flat + 1) / max(plan.rounds - flat, 1)
        shares = np.concatenate([np.arange(1, flat + 1) / flat * sole, sole + (1 - sole) * up])
    rho = wanted.half_round(shares)
    return np.asarray(1 + (plan.widest - 1) * rho / rho.max())


def sole_rounds(making: OvalMaking) -> int:
    """Return the rounds that lie on the sole."""
    return max(round(making.sole / making.row_height), 1)


def _turning(aim: Floats, steps: Ints) -> Bools:
    """Return which steps may lead to each round, (rounds, steps): ends turn only where the profile does."""
    widest = np.flatnonzero(aim >= aim.max() - WIDEST)
    number, change = np.arange(len(aim)), np.diff(aim, prepend=0.0)
    grows = (number <= widest[-1]) | (change > 0)
    shrinks = (number > widest[0]) | (change < 0)
    return np.asarray((grows[:, None] | (steps <= 0)) & (shrinks[:, None] | (steps >= 0)))


def _least(off: Floats, counts: Ints, steps: Ints, *, allowed: Bools, price: float) -> Ints:
    """Return the sequence of least cost.

    Parameters
    ----------
    off : (rounds, n) float
        What each count costs in each round.
    counts : (n,) int
    steps : (s,) int
    allowed : (rounds, s) bool
    price : float
        Of a step unlike the one before.
    """
    before = np.arange(len(counts))[:, None] - steps  # index of the count that a step comes from
    inside = (before >= 0) & (before < len(counts))
    before = np.where(inside, before, 0)
    inside &= counts[before] <= 2 * counts[:, None]
    column = np.arange(len(steps))
    cost = np.broadcast_to(off[0][:, None], inside.shape)
    came = []
    for here, may in zip(off[1:], allowed[1:], strict=True):
        cheapest = cost.argmin(axis=1)
        turned = cost[np.arange(len(counts)), cheapest] + price
        goes_on = cost <= turned[:, None]
        came.append(np.where(goes_on, column, cheapest[:, None]))
        left = np.where(goes_on, cost, turned[:, None])
        cost = np.where(inside & may, left[before, column], np.inf) + here[:, None]
    at, step = np.unravel_index(int(cost.argmin()), cost.shape)
    found = [int(at)]
    for last in reversed(came):
        at, step = before[at, step], last[before[at, step], step]
        found.append(int(at))
    return np.asarray(counts[found[::-1]])
