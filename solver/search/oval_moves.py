"""What one stitch or one round more does to a form of an oval part: its sensitivities, put to use.

A stitch more in each side is, for the form, as if the side's stitches were wider by so much together; a
stitch more in each widest end widens the ends in proportion; a round more makes every row taller. How the
form answers follows from its exact derivative (`solver.form.sensitivity`), so that the cost of any move near
a form is told without solving it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from solver.arrays import Floats, Ints
from solver.form.carried import carried
from solver.form.fabric import StitchFabric
from solver.form.sensitivity import sensitivities
from solver.form.stitches import StitchForm
from solver.form.views import placed
from solver.rounds import Finish
from solver.search.oval_ends import sole_rounds
from solver.search.oval_plan import OvalMaking
from solver.search.oval_trial import Trial, cost_of, meets, misses, overs
from solver.wanted.stadium import Stadium

PART = 0.25
"""Of a whole move, by which slopes are taken: a form's extremes change places beyond."""


CLOSED_MOVES = (
    (0.9, 0.49, 0.02),
    (0.03, 0.27, 0.53),
    (0.01, -0.05, 0.95),
    (-0.02, 0.03, 0.68),
    (0.21, 0.11, 0.21),
)
OPEN_MOVES = (
    (0.65, 0.49, 0.12),
    (0.05, 0.21, 0.41),
    (0.02, -0.11, 1.12),
    (0.01, 0.11, 0.42),
    (0.18, 0.13, 0.15),
)
"""What one stitch more in each side, one more in each widest end (in stitch widths) and one more round (in
row heights) do to length, width, height, width at mid-length and fullness, of closed and of open parts: where
a search starts that has no form's own. Means over the bench's parts, at the plan of their geometry."""

FEW_POINTS = 61
"""Of a profile, for predictions."""


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """A trial and what whole moves from it are predicted to do.

    Attributes
    ----------
    trial : Trial
    moves : (3, n, 3) float
        How its nodes move with a stitch more in each side, one in each widest end, and a round more. [mm]
    slopes : (5, 3) float
        What each does to the misses. [mm]
    apart : (n,) float
        How far its stitches lie outside the wanted surface. [mm]
    parting : (n, 3) float
        What each move does to that. [mm]
    bow : float
        Rise of the chain between its ends. [mm]
    """

    trial: Trial
    moves: Floats
    slopes: Floats
    apart: Floats
    parting: Floats
    bow: float

    def worth(
        self, wanted: Stadium, making: OvalMaking, move: Ints, *, corrected: Floats
    ) -> tuple[bool, float]:
        """Return whether a move is predicted to miss anything, and its predicted cost.

        Parameters
        ----------
        wanted : Stadium
        making : OvalMaking
        move : (3,) int
        corrected : (5, 3) float
            Added to the slopes of the misses: what whole moves have done otherwise.
        """
        apart = self.apart + self.parting @ move
        rms = float(np.sqrt(apart @ apart / len(apart)))
        miss = self.trial.miss + (self.slopes + corrected) @ move
        over = overs(wanted, making, miss=miss, rms=rms, bow=self.bow)
        return not meets(making, over), cost_of(over)


def outlook(wanted: Stadium, trial: Trial, moves: Floats) -> Outlook:
    """Return what moves of a trial's nodes, (3, n, 3), do to its misses and its distance."""
    form, wanted = trial.form, _thinned(wanted)
    apart, miss = wanted.distance(placed(form.points, wanted)), misses(form, wanted)
    slopes, parting = [], []
    for move in moves:
        moved = replace(form, points=form.points + PART * move)
        slopes.append((misses(moved, wanted) - miss) / PART)
        parting.append((wanted.distance(placed(moved.points, wanted)) - apart) / PART)
    bow = float(np.ptp(form.rings[0][:, 2]))
    return Outlook(trial, moves, np.stack(slopes, axis=1), apart, np.stack(parting, axis=1), bow)


def _thinned(wanted: Stadium) -> Stadium:
    """Return a surface whose profile has few points: near enough to predict by, and quick."""
    some = np.unique(np.linspace(0, len(wanted.profile) - 1, FEW_POINTS).astype(int))
    return Stadium(wanted.straight, wanted.profile[some], wanted.straights[some])


def usual_slopes(making: OvalMaking) -> Floats:
    """Return what one more of each number of a plan does to the misses of most parts, (5, 3). [mm]"""
    table = OPEN_MOVES if making.finish is Finish.OPEN and not making.sole else CLOSED_MOVES
    return np.array(table) * [making.stitch_width, making.stitch_width, making.row_height]


def exact_moves(making: OvalMaking, trial: Trial) -> Floats:
    """Return how the nodes of a trial's form move with one more of each number of its plan, (3, n, 3). [mm]

    Raises
    ------
    ConvergenceError
        If the form is not where its energy is least.
    """
    fabric, plan = trial.form.fabric, trial.plan
    n = fabric.node_count
    none, ring = np.zeros(n), fabric.ring_of_node
    end = _in_ends(fabric)
    ends = np.array([1.0, *trial.ends, *[1.0] * (len(fabric.rings) - len(trial.ends) - 1)])[ring]
    # of c stitches in an end one belongs to the straight sides, see `oval_ends.profile_ends`
    side = np.where(end, 1 / ends, 1.0) / (plan.side + 1)
    widest = np.where(end, (ends - 1) / ends, 0.0) / max(plan.widest - 1, 1)
    flat = sole_rounds(making) if making.sole else 0
    rows = np.where(ring > flat, 1 / max(plan.rounds - flat, 1), 0.0)
    changes = [(side, none), (widest, none), (none, rows)]
    return sensitivities(trial.form, changes, wale_stiffness=making.stiffness_ratio)


def carried_moves(form: StitchForm, moves: Floats, fabric: StitchFabric, *, part: float) -> Floats:
    """Return moves of a form's nodes carried over to another fabric, times a part."""
    return part * np.stack([carried(replace(form, points=move), fabric) for move in moves])


def _in_ends(fabric: StitchFabric) -> np.ndarray:
    """Return whether each node belongs to an end, (n,)."""
    ends = np.zeros(fabric.node_count, dtype=bool)
    for number, ring in enumerate(fabric.rings[1:], start=1):
        ends[ring] = np.floor(4 * np.mod(fabric.place(number), 1.0)).astype(int) % 2 == 0
    return ends
