"""The trade's own ball, worked forward: six more a round to 36, plain rounds, six fewer.

Counts: common practice, no source (published patterns work 5 to 7 plain rounds of 36 more).
What such a bag becomes when its fabric hardly stretches is found anew here, by a general optimiser (scipy's
SLSQP): of all bags whose rounds are no wider and no further apart than their fabric, the one that holds most.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import minimize

from solver.form.rings import Form, RingFabric, ring_form
from solver.partfile import read
from solver.rounds import Finish, Start, Stitch
from solver.rounds.shaping import shaped_piece
from solver.solving.solved import solve

W = 5.0

STRETCHES_YET = 2e-3
"""At a stretch of 1e-5 the form is still this near to the bag that does not stretch at all."""


def recipe(plain: int) -> list[int]:
    """Return the ball's counts with so many plain rounds."""
    return [6, 12, 18, 24, 30, 36, *[36] * plain, 30, 24, 18, 12, 6]


def worked(counts: list[int], *, ratio: float, stretch: float) -> Form:
    """Return the form of counts with rows this times as tall as a stitch is wide, closing over one row."""
    fabric = RingFabric.from_counts(counts, stitch_width=W, row_height=ratio * W, closing_rows=1.0)
    radius = max(counts) * W / (2 * np.pi)
    return ring_form(fabric, pressure=2 * stretch / (1 + stretch) / radius)


def fullest_bag(counts: list[int], *, ratio: float) -> float:
    """Return height over width of the bag of greatest volume that these rounds can be, unstretched."""
    most = np.array([0, *counts, 0]) / (2 * np.pi)
    m = len(most)

    def minus_volume(x: np.ndarray) -> float:
        r, dz = x[:m], np.diff(x[m:])
        return -float(np.sum(dz * (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)))

    found = minimize(
        minus_volume,
        np.concatenate([0.6 * most, np.linspace(0.0, 0.6 * m * ratio, m)]),
        method="SLSQP",
        constraints=[
            {"type": "ineq", "fun": lambda x: ratio**2 - np.diff(x[:m]) ** 2 - np.diff(x[m:]) ** 2},
            {"type": "ineq", "fun": lambda x: most - x[:m]},
            {"type": "ineq", "fun": lambda x: x[:m]},
            {"type": "eq", "fun": lambda x: x[m]},
        ],
        options={"maxiter": 500, "ftol": 1e-9},
    )
    return float((found.x[-1] - found.x[m]) / (2 * found.x[:m].max()))


@pytest.mark.parametrize("plain", [5, 6, 7])
@pytest.mark.parametrize("ratio", [0.9, 1.0])
def test_recipe_on_fabric_that_hardly_stretches(plain: int, ratio: float) -> None:
    """The recipe's ball is the bag of its rounds that holds most."""
    form = worked(recipe(plain), ratio=ratio, stretch=1e-5)
    assert_allclose(form.size / form.width, fullest_bag(recipe(plain), ratio=ratio), rtol=STRETCHES_YET)


@pytest.mark.parametrize("plain", [5, 6])
def test_recipe_is_flattened(plain: int) -> None:
    """The ball of five or six plain rounds is wider than high, the more so the shorter its rows."""
    forms = [worked(recipe(plain), ratio=ratio, stretch=0.02) for ratio in (0.85, 0.9, 0.95, 1.0)]
    slender = [form.size / form.width for form in forms]
    assert np.all(np.diff(slender) > 0)
    assert slender[-1] < 1.0


@pytest.mark.parametrize("ratio", [0.85, 0.9])
def test_rounder_the_firmer(ratio: float) -> None:
    """Stuffing a flattened ball harder makes it rounder."""
    forms = [worked(recipe(6), ratio=ratio, stretch=stretch) for stretch in (1e-4, 0.01, 0.02, 0.05, 0.08)]
    assert np.all(np.diff([form.size / form.width for form in forms]) > 0)


def test_recipe_can_be_worked() -> None:
    """The recipe's counts become rounds of six increases or six decreases, as patterns write them."""
    piece = shaped_piece(recipe(6), start=Start.RING, finish=Finish.CINCHED)
    assert list(piece.counts) == recipe(6)
    for this in piece.rounds[1:]:
        assert this.stitches.count(Stitch.INC) + this.stitches.count(Stitch.DEC) in (0, 6)


@pytest.mark.parametrize("firmness", ["light", "medium", "firm", "very firm"])
@pytest.mark.parametrize("width", [56, 65, 80, 100])
def test_ball_in_sixes(width: int, firmness: str) -> None:
    """With multiple = 6 a ball's counts are sixes that change by six or none, within 0.35 stitch rms."""
    part = read(
        f"""
        [gauge]
        stitches = 20
        rows = 20
        [stuffing]
        firmness = "{firmness}"
        [shape]
        kind = "ball"
        width = {width}
        [work]
        multiple = 6
        """,
        file="ball.toml",
        title="Ball",
    )
    solution = solve(part)
    counts = np.array(solution.piece.counts)
    assert not np.any(counts % 6)
    assert set(np.abs(np.diff(counts)).tolist()) == {0, 6}
    top = int(np.argmax(counts))
    assert np.all(np.diff(counts[: top + 1]) >= 0)
    assert np.all(np.diff(counts[top:]) <= 0)
    assert solution.deviation.rms <= 0.35 * part.gauge.stitch_width
