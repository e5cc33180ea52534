"""Rows worked flat lie in their plane: a rectangle is stitches times rows, whatever it is started from.

A piece of fabric whose rest lengths are those of a plane figure lies as that figure; plane geometry gives the
lengths.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from solver.form.flat_rows import _net, edge_outline, flat_form, laid_flat, rows_fabric
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.wanted.gauge import Gauge

GAUGE = Gauge(stitch_width=5.0, row_height=4.5)


@pytest.mark.parametrize(("stitches", "rows"), [(1, 1), (8, 1), (1, 30), (12, 20), (40, 6)])
def test_plain_rows_are_a_rectangle(stitches: int, rows: int) -> None:
    """Width n w, length m h, every corner a right angle."""
    form = flat_form(Piece(Start.ROWS, stitches, (Round.plain(stitches),) * rows, Finish.OPEN), GAUGE)
    assert np.ptp(form.points[:, 2]) == 0
    outline = edge_outline(form)
    np.testing.assert_allclose(np.ptp(outline, axis=0), [5.0 * stitches, 4.5 * rows], atol=1e-6)
    x, y = outline.T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert area == pytest.approx(stitches * 5.0 * rows * 4.5, rel=1e-9)


def test_one_more_at_each_edge_of_every_row_is_a_trapezoid() -> None:
    """Edges lean by a stitch a row, rows stay straight."""
    rounds = [Round.plain(3)]
    for _ in range(9):
        rounds.append(Round((Stitch.INC, *[Stitch.SC] * (rounds[-1].count - 2), Stitch.INC)))
    form = flat_form(Piece(Start.ROWS, 3, tuple(rounds), Finish.OPEN), GAUGE)
    for number, ring in enumerate(form.fabric.rings):
        assert np.ptp(form.points[ring, 1]) < 1e-6
        assert np.ptp(form.points[ring, 0]) == pytest.approx(5.0 * (max(2 * number + 1, 3) - 1), abs=1e-6)
        assert form.points[ring, 1].mean() == pytest.approx(4.5 * number, abs=1e-6)


SHORT = Piece(
    Start.ROWS, 10, (*[Round.plain(10)] * 2, *[Round.plain(6)] * 2, *[Round.plain(10)] * 2), Finish.OPEN
)


def test_short_rows_make_one_edge_longer_by_their_height() -> None:
    """Two rows more at the edge where they turn back; the other edge has none of them."""
    assert SHORT.left == (0, 0, 4, 0, 0, 0)
    form = flat_form(SHORT, GAUGE)
    right, left = ([form.points[ring[end] if number % 2 else ring[-1 - end], :2]
                    for number, ring in enumerate(form.fabric.rings) if number and len(ring) == 10]
                   for end in (0, -1))  # fmt: skip

    def along(edge: list[np.ndarray]) -> float:
        return float(np.linalg.norm(np.diff(np.array(edge), axis=0), axis=1).sum())

    assert along(right) - along(left) == pytest.approx(2 * 4.5, rel=0.05)


def test_a_general_minimiser_lays_short_rows_alike() -> None:
    """Scipy's BFGS on the same sum of squares, from a shaken start: within 0.05 stitch."""
    fabric = rows_fabric(SHORT, GAUGE)
    at = laid_flat(fabric)
    net = _net(fabric, _even_of(fabric))
    start = at + np.random.default_rng(16).normal(0, 0.5, at.shape)

    def told(flat: np.ndarray) -> tuple[float, np.ndarray]:
        off, slope = net.residuals(flat.reshape(at.shape))
        return off @ off / 2, slope.T @ off

    exact = {"maxiter": 8000, "maxfun": 10000, "gtol": 1e-9, "ftol": 1e-16, "maxcor": 40}
    found = minimize(told, start.ravel(), jac=True, method="L-BFGS-B", options=exact).x.reshape(at.shape)
    assert np.abs(_apart(found) - _apart(at)).max() < 0.05 * 5.0


def _even_of(fabric: object) -> np.ndarray:
    from solver.form.flat_rows import _even

    return _even(fabric)  # type: ignore[arg-type]


def _apart(at: np.ndarray) -> np.ndarray:
    return np.linalg.norm(at[:, None] - at[None], axis=2)
