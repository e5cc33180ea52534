"""The first metric of a descent: the inverse of the stitch fabric, a matrix that is factored once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from solver.arrays import Floats

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    from solver.form.descent import Constraints
    from solver.form.energy import StitchEnergy

METRIC = 0.5
"""Part of the taut fabric's stiffness in the first metric; of 0.1 to 1 it takes fewest steps."""

HANGS = 0.1
"""Part of a taut fibre's stiffness that a slack one has in a metric that knows which are slack; less makes
steps too long where they pull taut."""

SINGLE = np.float32
"""What steps are reckoned in, half the memory to read: only what they lead to has to be exact."""


class Metric:
    """The inverse of the fabric's matrix, for moves that the constraints allow.

    Parameters
    ----------
    energy : StitchEnergy
    constraints : Constraints
    points : (n, 3) float, optional
        Where slack fibres count as slack; left out: all of them are taut. [mm]
    """

    def __init__(self, energy: StitchEnergy, constraints: Constraints, points: Floats | None = None) -> None:
        weights = energy.stiffness
        if points is not None:
            slack = np.maximum(energy.slack, HANGS * weights)
            weights = np.where(energy.stretch(points) > 0, weights, slack)
        matrix = METRIC * energy.taut_matrix(weights)
        self.project = constraints.project
        self.factors: list[tuple[list[int], SuperLU]] = []
        held = constraints.held.copy()
        for axis in range(3):
            if not held[:, axis].any():
                held[constraints.anchor, axis] = True
        for axis in range(3):
            for axes, _ in self.factors:
                if (held[:, axes[0]] == held[:, axis]).all():
                    axes.append(axis)
                    break
            else:
                self.factors.append(([axis], _factor(matrix, held[:, axis])))

    def __call__(self, gradient: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the move that a gradient, (n, 3), asks for."""
        out = np.empty_like(gradient)
        for axes, factor in self.factors:
            out[:, axes] = factor.solve(np.ascontiguousarray(gradient[:, axes]))
        return self.project(out)


def _factor(matrix: sparse.csr_matrix, held: NDArray[np.bool_]) -> SuperLU:
    free = sparse.diags((~held).astype(float))
    constrained = (free @ matrix @ free + sparse.diags(held.astype(float))).tocsc().astype(SINGLE)
    return splu(
        constrained, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
