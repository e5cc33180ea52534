"""A long closed tube under pressure, as a stitch fabric in space.

Hoop tension p R and axial tension p R / 2 per current width (S. Timoshenko and S. Woinowsky-Krieger, Theory
of Plates and Shells, 2nd ed., ch. 14; memory), on linear fabric with rest radius R and stretch ratios l_c,
l_w: k (l_c - 1) = p R l_c l_w and k (l_w - 1) = p R l_c^2 / 2 (derived; solved here).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import fsolve

from solver.form.fabric import stitch_fabric
from solver.form.stitches import stitch_form
from solver.rounds import Finish, Start
from solver.rounds.shaping import shaped_piece

AROUND, LONG = 36, 40
MESH = (2 * np.pi / AROUND) ** 2 / 6
"""A polygon of 36 sides holds this part less than its circle: as if the pressure were this part lower."""


@pytest.mark.parametrize("load", [0.05, 0.10, 0.20])
def test_strains_of_a_closed_tube(load: float) -> None:
    """Far from its ends the tube has the stretches of the exact finite solution at p R / k = `load`."""
    ends = [6, 12, 18, 24, 30]
    counts = [*ends, *[AROUND] * LONG, *ends[::-1]]
    piece = shaped_piece(counts, start=Start.RING, finish=Finish.CINCHED)
    fabric = stitch_fabric(piece, stitch_width=5.0, row_height=5.0)
    form = stitch_form(fabric, pressure=load / (AROUND * 5.0 / (2 * np.pi)))
    course, wale = fsolve(lambda l: [l[0] - 1 - load * l[0] * l[1], l[1] - 1 - load * l[0] ** 2 / 2], [1, 1])
    middle = form.rings[len(ends) + LONG // 2 - 5 : len(ends) + LONG // 2 + 5]
    around = [np.linalg.norm(np.diff(ring, axis=0), axis=1).mean() / 5.0 - 1 for ring in middle]
    along = np.diff([ring[:, 2].mean() for ring in middle]) / 5.0 - 1
    # at these loads the stretches grow by less than the square of the load, so the polygon acts twice at most
    assert_allclose(np.mean(around), course - 1, rtol=2 * MESH)
    assert_allclose(np.mean(along), wale - 1, rtol=2 * MESH)
