"""Tension from a stuffed ball, from swatches and circles, with its uncertainty."""

import itertools
from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from solver.errors import InputError
from solver.gauge import GREATEST_STRETCH, Gauge
from solver.measured import of_circles, of_swatches, of_yarn
from solver.tension import ball_form, fit_ball
from solver.trade import yarn_weights

GAUGE = Gauge(stitch_width=5.4, row_height=5.2)
PRESSURE_BAR, RATIO_BAR = 0.01, 0.03
"""Girth and height are rounded to 0.1 mm, which is up to 1 % of the stretch of a soft small ball."""
MONTE_CARLO_BAR = 0.10
"""400 draws know a standard deviation to 3.5 %; the rest is for the bend of the solution."""


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
    got = fit_ball(ball(most), GAUGE, girth_mm=round(girth, 1), height_mm=round(height, 1))
    assert got.pressure == pytest.approx(pressure, rel=PRESSURE_BAR)
    assert got.stiffness_ratio == pytest.approx(ratio, rel=RATIO_BAR)
    if got.stretch <= GREATEST_STRETCH:
        assert got.stuffing.pressure(girth / (2 * np.pi)) == pytest.approx(pressure, rel=PRESSURE_BAR)


def test_error_of_the_tape_against_monte_carlo() -> None:
    """The propagated error of a 2 mm tape round the ball is that of 400 simulated measurings."""
    pressure = 0.2 / (48 * GAUGE.stitch_width / (2 * np.pi))
    girth = np.pi * ball_form(ball(48), GAUGE, pressure=pressure).width
    told = fit_ball(ball(48), GAUGE, girth_mm=girth, tape_mm=2.0).pressure_error
    drawn = np.random.default_rng(2).normal(girth, 2.0, 400)
    found = [fit_ball(ball(48), GAUGE, girth_mm=float(value)).pressure for value in drawn]
    assert told == pytest.approx(float(np.std(found)), rel=MONTE_CARLO_BAR)


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


def test_swatches_give_mean_and_spread() -> None:
    """The mean of three swatches, and the standard error of their spread where that is above reading."""
    got = of_swatches([(20, 20, 100.0), (22, 22, 100.0), (24, 24, 100.0)])
    widths = 100 / np.array([20, 22, 24])
    assert got.gauge.stitch_width == pytest.approx(widths.mean(), rel=1e-12)
    assert got.width_error == pytest.approx(widths.std(ddof=1) / np.sqrt(3) / widths.mean(), rel=1e-12)
    width, height = got.on_reference
    assert width == pytest.approx(100 * got.width_error, rel=0.1)
    assert height > width


def test_errors_of_reading() -> None:
    """A quarter of a stitch and of a row (assumed) over what was counted; over the root of how often."""
    one = of_swatches([(20, 25, 100.0)], thickness=1.5)
    assert (one.width_error, one.row_error) == pytest.approx((0.25 / 20, 0.25 / 25), rel=1e-12)
    assert one.gauge.thickness == 1.5
    assert one.origin == "1 swatch"
    two = of_swatches([(20, 25, 100.0)] * 2)
    assert two.row_error == pytest.approx(one.row_error / np.sqrt(2), rel=1e-12)
    assert two.origin == "2 swatches"
    circles = of_circles([(5, 30, 50.0)] * 4)
    assert (circles.width_error, circles.row_error) == pytest.approx((0.01, 0.01), rel=1e-12)
    assert circles.origin == "4 flat circles"


def test_errors_of_width_and_of_row_add_as_independent_ones() -> None:
    """What each error means on a part of 100 mm, alone, adds up by squares to what both do."""
    gauge = of_swatches([(20, 20, 100.0)])
    wide, tall, both = (
        np.array(replace(gauge, width_error=w, row_error=h).on_reference)
        for w, h in ((0.02, 0.0), (0.0, 0.03), (0.02, 0.03))
    )
    assert tall[1] > 1.0
    assert wide[0] > tall[0] > 0.0
    np.testing.assert_allclose(both, np.hypot(wide, tall), rtol=1e-9)


def test_gauge_of_yarn_is_a_guess_within_its_range() -> None:
    """The category's range of toy stitches is two standard deviations to each side of the guess."""
    weight = next(weight for weight in yarn_weights() if weight.number == 4)
    got = of_yarn(weight)
    assert got.is_guess
    assert 100 / got.gauge.stitch_width == pytest.approx(weight.toy_stitches, rel=1e-12)
    low, high = weight.toy_stitches_range
    assert np.exp(4 * got.width_error) == pytest.approx(high / low, rel=1e-12)


def test_warnings() -> None:
    """A turned swatch, an odd ratio and an impossible stretch are warned of; a usual gauge is not."""
    assert not list(of_swatches([(20, 20, 100.0)]).warnings(stretch=0.05))
    assert "turned" in next(of_swatches([(20, 22, 100.0)]).warnings())
    assert "between" in next(of_swatches([(20, 30, 100.0)]).warnings())
    assert "wrong" in next(of_swatches([(20, 20, 100.0)]).warnings(stretch=0.16))


def test_circle() -> None:
    """5 rounds of 30 stitches 52 mm across: w = 52 pi / 30, h = 5.2 mm (geometry)."""
    got = of_circles([(5, 30, 52.0)])
    assert got.gauge.stitch_width == pytest.approx(np.pi * 52 / 30)
    assert got.gauge.row_height == pytest.approx(5.2)


def test_yarn_is_a_guess() -> None:
    """A gauge from a yarn category is a guess with a wide error."""
    for weight in yarn_weights():
        got = of_yarn(weight)
        assert got.is_guess
        assert got.width_error > 0.1
