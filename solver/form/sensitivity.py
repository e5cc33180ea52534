"""How a form in space answers to small changes of its fabric: its exact first derivative.

At a form the gradient of the energy (1) of `solver.form.energy` is zero, g(x, p) = 0, so that a change of the
fabric's rest sizes p moves the nodes by

    dx / dp = -(d2E / dx2)^-1 dg / dp,                                                                     (1)

among the moves that its supports allow (the implicit function theorem). One matrix is factored for all p.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from solver.arrays import Floats
from solver.errors import ConvergenceError
from solver.form.descent import Constraints
from solver.form.energy import StitchEnergy
from solver.form.stitches import StitchForm

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

_DIAGONALS = np.array([[-1.0, 0.0, 1.0, 0.0], [0.0, -1.0, 0.0, 1.0], [1.0, 1.0, 1.0, 1.0]])
"""u, v and m of a cell from its corners."""

SHIFTS = 6
"""How often a matrix that is not positive definite is stiffened, by eight times as much each time."""


def sensitivities(
    form: StitchForm, changes: Sequence[tuple[Floats, Floats]], *, wale_stiffness: float = 1.0
) -> Floats:
    """Return how the nodes of a form move with changes of its fabric.

    Parameters
    ----------
    form : StitchForm
        In balance, of a piece whose open edges lie in level planes.
    changes : sequence of ((n,) float, (n,) float)
        Relative change of the stitch width, and of the row height, at each node, for one of a parameter.
    wale_stiffness : float
        k_w/k_c, as the form was solved with.

    Returns
    -------
    (k, n, 3) float
        For each change. [mm]

    Raises
    ------
    ValueError
        If the fabric leans: searches go without.
    ConvergenceError
        If the form is not where the energy is least.
    """
    if form.fabric.lean:
        message = "sensitivities are of fabric that does not lean"
        raise ValueError(message)
    energy = StitchEnergy(form.fabric, form.pressure, ties=form.supports.ties, wale_stiffness=wale_stiffness)
    constraints = Constraints(form.fabric, np.array(form.points), form.supports)
    allowed = _allowed(constraints)
    factors = _factors((allowed.T @ hessian(energy, form.points) @ allowed).tocsc())
    loads = np.stack([_load(energy, form.points, *each).ravel() for each in changes], axis=1)
    moves = -(allowed @ factors.solve(np.ascontiguousarray(allowed.T @ loads)))  # (1)
    return np.ascontiguousarray(moves.T.reshape(len(changes), -1, 3))


def hessian(energy: StitchEnergy, points: Floats) -> sparse.csc_matrix:
    """Return the second derivative of the energy, (3 n, 3 n), as each node's x, y, z follow each other.

    Of the shear its Gauss-Newton part: the rest is smaller by the shear strain, and shear is little.
    """
    every = energy.differences @ points
    f, u, v, m = (every[i:j] for i, j in zip(energy.parts[:-1], energy.parts[1:], strict=True))
    length = np.linalg.norm(f, axis=1)
    along = f / length[:, None]
    across = (1 - energy.rest / length)[:, None, None]
    blocks = (1 - across) * along[:, :, None] * along[:, None, :] + across * np.eye(3)
    blocks *= energy.tension(length)[:, None, None]
    one, other = energy.fibres.T
    entries = [(one, one, blocks), (other, other, blocks), (one, other, -blocks), (other, one, -blocks)]
    of_cells = np.zeros((len(u), 3, 3, 3, 3))
    work = -energy.pressure / 24
    for a, b, turned in ((0, 1, -_turn(m)), (0, 2, _turn(v)), (1, 2, -_turn(u))):
        of_cells[:, a, b] += work * turned
        of_cells[:, b, a] -= work * turned
    sheared = energy.fabric_cells
    slope = np.stack([-2 * u[:sheared], 2 * v[:sheared]], axis=1)
    of_cells[:sheared, :2, :2] += np.einsum("c,cax,cby->cabxy", energy.shear, slope, slope)
    corners = np.einsum("ai,cabxy,bj->ijcxy", _DIAGONALS, of_cells, _DIAGONALS, optimize=True)
    cells = energy.cells.T
    entries += [(cells[i], cells[j], corners[i, j]) for i in range(4) for j in range(4)]
    axis = np.arange(3)
    rows = np.concatenate([np.repeat(3 * i[:, None] + axis, 3, axis=1).ravel() for i, _, _ in entries])
    columns = np.concatenate([np.tile(3 * j[:, None] + axis, 3).ravel() for _, j, _ in entries])
    values = np.concatenate([block.ravel() for _, _, block in entries])
    size = points.size
    fibres = sparse.coo_matrix((values, (rows, columns)), shape=(size, size)).tocsc()
    return (fibres + sparse.kron(energy.bending, sparse.eye(3))).tocsc()


def _turn(vectors: Floats) -> Floats:
    """Return the matrix of each vector's cross product, (k, 3, 3)."""
    out = np.zeros((len(vectors), 3, 3))
    for a, b, c in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        out[:, a, b], out[:, b, a] = -vectors[:, c], vectors[:, c]
    return out


def _load(energy: StitchEnergy, points: Floats, wide: Floats, tall: Floats) -> Floats:
    """Return the change of the gradient with relative changes of the stitches' sizes at the nodes, (n, 3)."""
    ends = points[energy.fibres]
    f = ends[:, 1] - ends[:, 0]
    length = np.linalg.norm(f, axis=1)
    wider, taller = (each[energy.fibres].mean(axis=1) for each in (wide, tall))
    up = np.zeros(len(f))
    up[energy.courses :][: energy.wales] = energy.upright
    longer = up * taller + (1 - up) * wider
    fabric = np.arange(len(f)) < energy.courses + energy.wales
    # the force k A / L^2 (|f| - L), by the logarithms of the area A and of the rest length L
    area = wider + taller - 2 * longer
    pull = energy.tension(length) * (area * (length - energy.rest) - longer * energy.rest)
    forces = np.where(fabric, pull / length, 0.0)[:, None] * f
    return np.asarray(energy.differences[: len(f)].T @ forces)


def _allowed(constraints: Constraints) -> sparse.csc_matrix:
    """Return the matrix that spreads free coordinates to all: a level edge's heights are one."""
    size = constraints.fixed.size
    column = np.arange(size)
    for rim in constraints.level:
        column[3 * rim + 2] = 3 * rim[0] + 2
    free = ~constraints.fixed.ravel()
    names, column = np.unique(column[free], return_inverse=True)
    shape = (size, len(names))
    return sparse.csc_matrix((np.ones(len(column)), (np.flatnonzero(free), column)), shape=shape)


def _factors(matrix: sparse.csc_matrix) -> SuperLU:
    shift = 0.0
    for _ in range(SHIFTS):
        held = matrix + shift * sparse.eye(matrix.shape[0], format="csc")
        factors = splu(
            held, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        if (factors.U.diagonal() > 0).all():
            return factors
        shift = max(8 * shift, 1e-5 * matrix.diagonal().mean())
    raise ConvergenceError(
        what="the form's sensitivity", iterations=SHIFTS, residual=np.nan, tried=f"{SHIFTS} shifts"
    )
