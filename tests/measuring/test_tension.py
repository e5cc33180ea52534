"""Tension from a stuffed ball, with its uncertainty."""

import itertools
from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from solver.errors import InputError
from solver.measuring.tension import ball_form, fit_ball
from solver.wanted.gauge import Gauge

GAUGE = Gauge(stitch_width=5.4, row_height=5.2)
PRESSURE_BAR, RATIO_BAR = 0.01, 0.03
"""Girth and height are rounded to 0.1 mm, which is up to 1 % of the stretch of a soft small ball."""
MONTE_CARLO_BAR = 0.10
"""400 draws know a standard deviation to 3.5 %; the rest is for the bend of the solution."""
QUADRATURE_BAR = 0.01
"""Girths at which no ball is found cut the density off between two places."""


def ball(most: int) -> list[int]:
    """Return counts of a ball: six more a round, as many even rounds as rising ones, six fewer (invented)."""
    rising = list(range(6, most + 1, 6))
    return rising + [most] * len(rising) + rising[-2::-1]


BALLS = list(itertools.product([24, 36, 48], [0.04, 0.1, 0.2], [0.7, 1.0, 1.5]))
"""Stitches round the widest place, p R/k at the flat radius, and k_w/k_c of 27 balls."""


def measures(most: int, *, firmness: float, ratio: float) -> tuple[float, float, float]:
    """Return p/k, girth and height of a simulated ball. [1/mm, mm, mm]"""
    pressure = firmness / (most * GAUGE.stitch_width / (2 * np.pi))
    form = ball_form(ball(most), replace(GAUGE, stiffness_ratio=ratio), pressure=pressure)
    return pressure, np.pi * form.width, form.size


def stratified(square: int, *, seed: int) -> np.ndarray:
    """Return draws of two normal variables, one in each of `square` x `square` cells of equal probability."""
    cells = np.stack(np.meshgrid(*[np.arange(square)] * 2), axis=-1).reshape(-1, 2)
    return norm.ppf((cells + np.random.default_rng(seed).random(cells.shape)) / square)


@pytest.mark.parametrize(("most", "firmness", "ratio"), BALLS)
def test_ball_is_recovered(most: int, firmness: float, ratio: float) -> None:
    """Girth and height to 0.1 mm give back p/k and k_w/k_c of a simulated ball."""
    pressure, girth, height = measures(most, firmness=firmness, ratio=ratio)
    got = fit_ball(ball(most), GAUGE, girth_mm=round(girth, 1), height_mm=round(height, 1), tape_mm=2.0)
    assert got.pressure == pytest.approx(pressure, rel=PRESSURE_BAR)
    assert got.stiffness_ratio == pytest.approx(ratio, rel=RATIO_BAR)
    assert got.stuffing.pressure(girth / (2 * np.pi)) == pytest.approx(pressure, rel=PRESSURE_BAR)


def test_error_of_the_tape_against_monte_carlo() -> None:
    """The propagated error of a 2 mm tape round the ball is that of 400 simulated measurings."""
    pressure = 0.2 / (48 * GAUGE.stitch_width / (2 * np.pi))
    girth = np.pi * ball_form(ball(48), GAUGE, pressure=pressure).width
    told = fit_ball(ball(48), GAUGE, girth_mm=girth, tape_mm=2.0).pressure_error
    drawn = np.random.default_rng(2).normal(girth, 2.0, 400)
    found = [fit_ball(ball(48), GAUGE, girth_mm=float(value)).pressure for value in drawn]
    assert told == pytest.approx(float(np.std(found)), rel=MONTE_CARLO_BAR)


@pytest.mark.parametrize(("most", "firmness", "tape"), [(24, 0.04, 2.0), (36, 0.1, 6.0), (24, 0.3, 6.0)])
def test_error_of_the_tape_by_quadrature(most: int, firmness: float, tape: float) -> None:
    """A normal error of the girth, carried over fit by fit, has the error of p/k that is told by (1)."""
    _, girth, _ = measures(most, firmness=firmness, ratio=1.0)
    told = fit_ball(ball(most), GAUGE, girth_mm=girth, tape_mm=tape).pressure_error
    found = []
    for off in np.linspace(-4, 4, 121):
        with suppress(InputError):
            pressure = fit_ball(ball(most), GAUGE, girth_mm=girth + off * tape).pressure
            found.append((pressure, norm.pdf(off)))
    pressures, weights = np.array(found).T
    variance = np.cov(pressures, aweights=weights, ddof=0)
    assert told == pytest.approx(float(np.sqrt(variance)), rel=QUADRATURE_BAR)


@pytest.mark.parametrize(("most", "firmness", "ratio"), [(24, 0.04, 1.5)])
def test_errors_of_girth_and_height_against_monte_carlo(most: int, firmness: float, ratio: float) -> None:
    """The same for p/k and k_w/k_c together, where balls are refused too; all 27 in `tests/bench`."""
    _, girth, height = measures(most, firmness=firmness, ratio=ratio)
    told = fit_ball(ball(most), GAUGE, girth_mm=girth, height_mm=height, tape_mm=2.0)
    found = []
    for dg, dh in 2.0 * stratified(20, seed=2):
        with suppress(InputError):
            got = fit_ball(ball(most), GAUGE, girth_mm=girth + dg, height_mm=height + dh)
            found.append((got.pressure, got.stiffness_ratio))
    pressure, stiffness = np.std(np.array(found), axis=0)
    assert told.pressure_error == pytest.approx(pressure, rel=MONTE_CARLO_BAR)
    assert told.ratio_error == pytest.approx(stiffness, rel=MONTE_CARLO_BAR)


def test_thickness_is_outside() -> None:
    """A fabric of 2 mm adds 2 pi mm to the girth and 2 mm to the height of the same ball."""
    thick = replace(GAUGE, thickness=2.0)
    thin = fit_ball(ball(36), GAUGE, girth_mm=205.0, height_mm=52.0)
    same = fit_ball(ball(36), thick, girth_mm=205.0 + 2 * np.pi, height_mm=54.0)
    assert same.pressure == pytest.approx(thin.pressure, rel=1e-6)
    assert same.stiffness_ratio == pytest.approx(thin.stiffness_ratio, rel=1e-6)


def test_a_ball_smaller_than_its_fabric_is_refused() -> None:
    """A girth below stitches times stitch width contradicts the gauge, and is told."""
    with pytest.raises(InputError, match="more than its relaxed fabric"):
        fit_ball(ball(36), GAUGE, girth_mm=190.0)


def test_a_squat_ball_is_told() -> None:
    """A ball with too few even rounds never reaches its girth; the way out is told."""
    with pytest.raises(InputError, match="as many even rounds"):
        fit_ball([6, 12, 18, 18, 12], replace(GAUGE, stitch_width=5.0), girth_mm=93.0)


def test_a_ball_stiffer_than_fabric_can_be_is_told() -> None:
    """A height that asks for more than the stiffest fabric is told as a ball that can not be."""
    with pytest.raises(InputError, match="girth and height"):
        fit_ball(
            [6, 12, *[18] * 4, 12, 6],
            Gauge(stitch_width=5.0, row_height=5.0),
            girth_mm=95.0,
            height_mm=23.0,
        )
