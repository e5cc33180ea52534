"""Stitches in each end of an oval part, round by round."""

from __future__ import annotations

import numpy as np

from solver.rounds import Finish
from solver.search.oval_plan import SEAM_END, OvalMaking, Plan
from solver.wanted.stadium import Stadium


def end_counts(wanted: Stadium, making: OvalMaking, plan: Plan) -> tuple[int, ...]:
    """Return the stitches in each end, round by round, as the wanted profile has them.

    Half a round of radius rho has pi rho / w stitches, and one more than that stands in each end, as the
    chain is one stitch longer than each side. Straight sides that grow or shrink do so in the ends.
    """
    shares = np.arange(1, plan.rounds + 1) / plan.rounds
    if making.sole:
        sole, flat = making.sole / wanted.meridian, sole_rounds(making)
        up = np.arange(1, plan.rounds - flat + 1) / max(plan.rounds - flat, 1)
        shares = np.concatenate([np.arange(1, flat + 1) / flat * sole, sole + (1 - sole) * up])
    rho = wanted.half_round(shares)
    ends = np.rint(1 + (plan.widest - 1) * rho / rho.max()).astype(int)
    ends[0] = making.first_end
    grown = making.end or int(np.ceil(making.flat_end))
    top = int(np.argmax(rho))
    for k in range(1, len(ends)):
        if k <= top:
            ends[k] = max(ends[k], ends[k - 1])
        ends[k] = max(min(ends[k], ends[k - 1] + grown), -(-ends[k - 1] // 2), SEAM_END)
    if making.finish is Finish.SEAMED:
        ends[-1] = SEAM_END
        for k in range(len(ends) - 2, 0, -1):
            ends[k] = min(ends[k], 2 * ends[k + 1])
    return tuple(ends.tolist())


def sole_rounds(making: OvalMaking) -> int:
    """Return the rounds that lie on the sole."""
    return max(round(making.sole / making.row_height), 1)
