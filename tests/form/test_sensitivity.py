"""A form's derivative against the forms beside it, and its matrix against differences of the gradient."""

import numpy as np
import pytest

from solver.form.energy import StitchEnergy
from solver.form.fabric import stitch_fabric
from solver.form.sensitivity import hessian, sensitivities
from solver.form.stitches import StitchForm, stitch_form
from solver.rounds import Finish
from solver.rounds.along_chain import oval_piece

P = 0.006
"""p/k. [1/mm]"""


def made(finish: Finish, *, w: float = 5.0, h: float = 4.6) -> StitchForm:
    """Return the form of an oval of eight rounds, solved closely."""
    ends = (4, 7, 10, 12, 12, 12, 12, 12) if finish is Finish.OPEN else (4, 7, 10, 12, 10, 7, 4, 2)
    fabric = stitch_fabric(oval_piece(7, ends, finish=finish), stitch_width=w, row_height=h)
    return stitch_form(fabric, pressure=P, tolerance=1e-6)


@pytest.mark.parametrize("finish", list(Finish))
def test_the_second_derivative_is_that_of_the_gradient(finish: Finish) -> None:
    """Along any move that its unit allows; shear's own curvature is left out, so 0.1 % of the greatest."""
    form = made(finish)
    energy = StitchEnergy(form.fabric, form.pressure)
    matrix = hessian(energy, form.points)
    assert abs(matrix - matrix.T).max() < 1e-12
    draw = np.random.default_rng(1)
    for _ in range(3):
        move = draw.normal(size=form.points.shape)
        ahead, behind = (energy(form.points + step * move)[1] for step in (1e-5, -1e-5))
        expected = ((ahead - behind) / 2e-5).ravel()
        assert np.abs(matrix @ move.ravel() - expected).max() < 1e-3 * np.abs(expected).max()


@pytest.mark.parametrize(("finish", "within"), [(Finish.OPEN, 0.03), (Finish.SEAMED, 0.09)])
def test_forms_of_other_gauges_lie_where_the_derivative_says(finish: Finish, within: float) -> None:
    """Wider stitches, and taller rows: the sizes' slopes as between two forms solved.

    What other sizes of stitches do to bending is left out of the derivative; it shows at a folded seam.
    """
    form, nodes = made(finish), made(finish).fabric.node_count
    wide, tall = sensitivities(form, [(np.ones(nodes), np.zeros(nodes)), (np.zeros(nodes), np.ones(nodes))])
    for moves, by in ((wide, {"w": 5.0}), (tall, {"h": 4.6})):
        ((name, size),) = by.items()
        less, more = (made(finish, **{name: size * (1 + step)}) for step in (-0.001, 0.001))
        for axis in range(3):
            slope = (np.ptp(more.points[:, axis]) - np.ptp(less.points[:, axis])) / 0.002
            step = 1e-4
            told = (np.ptp((form.points + step * moves)[:, axis]) - np.ptp(form.points[:, axis])) / step
            assert told == pytest.approx(slope, abs=within * max(np.ptp(form.points, axis=0)))
