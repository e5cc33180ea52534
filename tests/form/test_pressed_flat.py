"""A flat piece as it is drawn: pressed flat, which stretches or squeezes what doesn't lie so."""

from __future__ import annotations

import numpy as np
import pytest

from solver.partfile import read
from solver.solving.solved import solve

FLAT = """\
[gauge]
stitches = 20
rows = 22
over = "10 cm"
[shape]
kind = "flat oval"
length = "9 cm"
width = "4 cm"
[work]
start = "chain"
"""


@pytest.mark.parametrize(("ends", "squeezed"), [(3, False), (5, True)])
def test_a_piece_with_too_many_stitches_is_squeezed_where_it_is_drawn(ends: int, squeezed: bool) -> None:
    """Its last round has the drawing's girth over that of its stitches, less one, on the mean."""
    form = solve(read(FLAT + f"ends = {ends}\n", file="x.toml", title="Sole")).form
    last = form.fabric.rings[len(form.piece.rounds)]
    at = form.points[last]
    girth = np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1).sum()
    share = girth / (len(last) * form.fabric.stitch_width) - 1
    assert form.as_drawn[last].mean() == pytest.approx(share)
    assert (share < -0.1) == squeezed
    assert not form.stretch.any()
