"""A form carried over to other rounds: where a search looks for the next balance from."""

import numpy as np

from solver.form.carried import carried
from solver.form.fabric import stitch_fabric
from solver.form.stitches import stitch_form
from solver.rounds import Finish
from solver.rounds.along_chain import oval_piece

W = H = 5.0


def test_onto_the_same_rounds_nothing_moves() -> None:
    """The same rounds lie where they lay."""
    piece = oval_piece(9, (3, 6, 8, 8), finish=Finish.OPEN)
    form = stitch_form(stitch_fabric(piece, stitch_width=W, row_height=H), pressure=0.004)
    np.testing.assert_array_equal(carried(form, form.fabric), form.points)


def test_onto_other_rounds_it_is_nearly_there() -> None:
    """A stitch more in each side and a round more: within a row of its own form, and sooner in balance."""
    pieces = [
        oval_piece(chain, ends, finish=Finish.CINCHED)
        for chain, ends in ((9, (3, 6, 9, 10, 9, 6)), (10, (3, 6, 9, 10, 10, 8, 5)))
    ]
    one, other = (stitch_fabric(piece, stitch_width=W, row_height=H) for piece in pieces)
    near = carried(stitch_form(one, pressure=0.004, tolerance=1e-2), other)
    cold = stitch_form(other, pressure=0.004, tolerance=1e-2)
    warm = stitch_form(other, pressure=0.004, tolerance=1e-2, guess=near)
    assert np.isfinite(near).all()
    assert warm.iterations < cold.iterations
    assert abs(warm.volume / cold.volume - 1) < 0.01
