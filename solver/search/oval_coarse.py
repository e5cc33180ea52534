"""A coarser fabric of the same part, and what its plan is in finer stitches."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solver.arrays import Floats
from solver.search.oval_ends import sole_rounds
from solver.search.oval_plan import SEAM_END, OvalMaking, Plan
from solver.wanted.part import Fit

FEW, MOST_COARSE = 400, 2.0
"""How many stitches a coarser fabric has at least, and how many times as large they are at the most: what is
still many is searched on a coarser one itself."""


def coarser_making(making: OvalMaking, *, stitches: float) -> tuple[float, OvalMaking]:
    """Return how many times as large the stitches of a coarser fabric are, and how it is made.

    Parameters
    ----------
    making : OvalMaking
    stitches : float
        That the part has, about.
    """
    f = float(min(np.sqrt(stitches / FEW), MOST_COARSE))
    chain = max(round((making.chain - 2) / f) + 2, 3) if making.chain else None
    w, h = making.stitch_width * f, making.row_height * f
    return f, replace(making, stitch_width=w, row_height=h, chain=chain, end=None, fit=Fit.EXACT)


def finer_plan(
    making: OvalMaking, guess: Plan, coarser: OvalMaking, plan: Plan, *, finer: float, move: Floats
) -> Plan:
    """Return the plan of a fine fabric that a coarser one's comes to.

    Parameters
    ----------
    making, guess : OvalMaking, Plan
        Of the fine fabric, the latter by geometry.
    coarser, plan : OvalMaking, Plan
        Of the coarser one.
    finer : float
        How many times as large the coarser one's stitches are.
    move : (3,) float
        Fine stitches and rounds that make up for what the coarser one's whole ones leave off.
    """
    side, widest, rounds = np.clip(np.nan_to_num(move), -finer, finer)
    flat, flat_coarse = (sole_rounds(each) if each.sole else 0 for each in (making, coarser))
    return Plan(
        guess.side if making.chain else max(round((plan.side + 1) * finer - 1 + side), 0),
        max(round(1 + (plan.widest - 1) * finer + widest), SEAM_END + 1),
        max(round((plan.rounds - flat_coarse) * finer + rounds) + flat, 2),
    )
