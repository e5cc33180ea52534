"""Whole stitches for an elongated part: few structural numbers, searched against the form in space.

Three numbers shape a part on a chain: straight stitches, the widest end and the number of rounds. The ends
of the rounds between follow the wanted profile. Each trial is solved as a stitch fabric; the next is the
best that a linear model of length, width and height predicts among all whole moves by one or two, and what
came of it corrects the model (Broyden's method; J. Nocedal and S. Wright, Numerical Optimization, 2nd ed.,
11.1; memory).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.stitches import TOLERANCE
from solver.rounds import Finish
from solver.search.oval_plan import SEAM_END, OvalMaking, Plan, first_plan, tolerances
from solver.search.oval_trial import Trial, tried
from solver.wanted.stadium import Stadium

TRIALS, MOST_TRIALS = 10, 20
"""Forms that a search may solve: to improve a plan that meets everything, and to find one at all."""

MOST_STITCHES = 20_000
"""Stitches of all forms together from which on a search is content with `TRIALS`."""

SLIM = 0.6
"""Part of the widest end that geometry asks for below which a part is another shape, sizes met or not."""

WORTH_TRYING = 1.15
"""Predicted cost over that of a plan that meets everything, up to which another is still tried."""

CLOSED_MOVES = ((1.0, 0.6, 0.0), (0.0, 0.12, 0.55), (0.0, -0.1, 0.9), (0.0, -0.02, 0.6))
OPEN_MOVES = ((1.0, 0.65, 0.0), (0.2, 0.3, 0.6), (0.0, -0.15, 1.0), (0.2, 0.3, 0.6))
"""What one stitch more in each side, one more in each widest end (in stitch widths) and one more round (in
row heights) do to length, width, height and width at mid-length, of seamed and of open parts: where the
search starts, and what it corrects. Measured on the stitch fabric's own forms."""

CORRECTED = 0.8
"""Part of what a move did otherwise than the model said that corrects it: whole stitches are not linear."""


def _model(making: OvalMaking) -> Floats:
    """Return how length, width, height and mid-width move with side, widest end and rounds. [mm]"""
    moves = OPEN_MOVES if making.finish is Finish.OPEN and not making.sole else CLOSED_MOVES
    return np.array(moves) * [making.stitch_width, making.stitch_width, making.row_height]


def fit_oval(
    wanted: Stadium, making: OvalMaking, *, progress: Callable[[float], None] | None = None
) -> tuple[Trial, int]:
    """Return the best whole-stitch plan for a wanted surface, and the number of forms solved.

    Parameters
    ----------
    wanted : Stadium
    making : OvalMaking
    progress : callable, optional
        Told the share of the work done, 0 to 1.

    Raises
    ------
    ConvergenceError
        If no plan near the first has a balance.
    """
    model = _model(making)
    scale = tolerances(wanted, making)
    known: dict[Plan, Trial | None] = {}

    def attempt(plan: Plan) -> Trial | None:
        if plan not in known:
            try:
                known[plan] = tried(wanted, making, plan)
            except ConvergenceError:
                known[plan] = None
            if progress:
                progress(min(len(known) / TRIALS, 0.95))
        return known[plan]

    best = attempt(first_plan(wanted, making))
    if best is None:
        best = tried(wanted, making, first_plan(wanted, making))  # tells why
    slimmest, solved = SLIM * best.plan.widest, sum(best.piece.counts)
    steps = [0] if making.chain else [-2, -1, 0, 1, 2]
    while len(known) < (TRIALS if best.met or solved > MOST_STITCHES else MOST_TRIALS):
        ranked = []
        for move in itertools.product(steps, (-2, -1, 0, 1, 2), (-2, -1, 0, 1, 2)):
            plan = Plan(best.plan.side + move[0], best.plan.widest + move[1], best.plan.rounds + move[2])
            if plan in known or plan.side < 0 or plan.widest <= max(SEAM_END, slimmest) or plan.rounds < 2:
                continue
            guess = (best.miss + model @ np.array(move)) / scale
            ranked.append((float(guess @ guess), plan, np.array(move)))
        if not ranked:
            break
        predicted, plan, moved = min(ranked, key=lambda each: each[0])
        if best.met and predicted > WORTH_TRYING * best.cost:
            break
        trial = attempt(plan)
        if trial is None:
            continue
        solved += sum(trial.piece.counts)
        model = model + CORRECTED * np.outer(trial.miss - best.miss - model @ moved, moved) / (moved @ moved)
        if (not trial.met, trial.cost) < (not best.met, best.cost):
            best = trial
    return tried(wanted, making, best.plan, tolerance=TOLERANCE), len(known)
