"""Forms folded flat, several at once: as alone, and by slopes that central differences confirm."""

import numpy as np
import pytest

from solver.form.folded import FoldedFabric, folded_form, folded_forms
from solver.form.folded_balance import Balance

W, H = 5.0, 4.6
"""Invented."""


def fabric(number: int, side: float) -> FoldedFabric:
    """Return an invented fabric of 13 rows, drawn in at its end."""
    draw = np.random.default_rng(number)
    rows = side + 30 * np.sin(np.linspace(0.1, 2.9, 13)) * draw.uniform(0.7, 1.2) + draw.uniform(0, 1, 13)
    rows[0], rows[-1] = side, 0.0
    return FoldedFabric(rows=rows, spacing=np.full(12, H), side=side, stitch_width=W)


@pytest.mark.parametrize("side", [0.0, 12.0])
def test_many_at_once_are_as_alone(side: float) -> None:
    """One that comes to rest early waits for none, and is not moved on."""
    fabrics = [fabric(number, side) for number in range(5)]
    for form, one in zip(folded_forms(fabrics, guesses=[None] * 5), fabrics, strict=True):
        assert form is not None
        alone = folded_form(one)
        assert form.iterations == alone.iterations
        assert form.points == pytest.approx(alone.points, abs=1e-9)


@pytest.mark.parametrize("side", [0.0, 12.0])
def test_slopes_are_those_of_the_energy(side: float) -> None:
    """The slope with each turn and each height, of every row but the fold that stays where it is."""
    fabrics = [fabric(7, side), fabric(8, side)]
    draw = np.random.default_rng(2)
    turn = draw.uniform(-0.4, 0.4, (2, 13))
    turn[0, 3] = 1e-3  # where series take over
    height = np.cumsum(draw.uniform(3, 5, (2, 13)), axis=1)
    slope = Balance(fabrics, turn, height).slope.reshape(2, 13, 2)
    for row in range(1, 13):
        for axis in (0, 1):
            ends = []
            for step in (-1e-6, 1e-6):
                at = [turn.copy(), height.copy()]
                at[axis][:, row] += step
                ends.append(Balance(fabrics, *at).energy)
            assert slope[:, row, axis] == pytest.approx((ends[1] - ends[0]) / 2e-6, rel=1e-5, abs=1e-6)
