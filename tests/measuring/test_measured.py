"""Gauge of swatches and circles with its uncertainty, and what numbers that contradict each other bring."""

from dataclasses import replace

import numpy as np
import pytest

from solver.measuring.measured import Measured, of_circles, of_swatches, of_yarn
from solver.measuring.tension import ball_form, fit_ball
from solver.trade import yarn_weights
from solver.wanted.gauge import Gauge, Stuffing

BALL = [6, 12, 18, 24, 30, *[36] * 6, 30, 24, 18, 12, 6]
GAUGE = Gauge(stitch_width=5.0, row_height=4.8)
USUAL = of_swatches([(20, 20, 100.0)])


def test_swatches_give_mean_and_spread() -> None:
    """The mean of three swatches, and the standard error of their spread where that is above reading."""
    got = of_swatches([(20, 20, 100.0), (22, 22, 100.0), (24, 24, 100.0)])
    widths = 100 / np.array([20, 22, 24])
    assert got.gauge.stitch_width == pytest.approx(widths.mean(), rel=1e-12)
    assert got.width_error == pytest.approx(widths.std(ddof=1) / np.sqrt(3) / widths.mean(), rel=1e-12)
    width, height = got.on_reference()
    assert width == pytest.approx(100 * got.width_error, rel=0.1)
    assert height > width


def reference_part(gauge: Gauge, stuffing: Stuffing) -> np.ndarray:
    """Return width and height of rounds for a ball of 100 mm at `GAUGE`, solved at another. [mm]"""
    places = np.arange(GAUGE.row_height, 50 * np.pi, GAUGE.row_height)
    counts = np.maximum(100 * np.pi * np.sin(places / 50) / GAUGE.stitch_width, 4.0)
    form = ball_form(counts.tolist(), gauge, pressure=stuffing.pressure(50.0))
    return np.array([form.width, form.size])


@pytest.mark.parametrize("height", [None, 52.5])
def test_errors_of_gauge_and_ball_on_a_part(height: float | None) -> None:
    """The error on a part is that of refitting the ball, and solving the part again, for each that is off."""
    found = Measured(gauge=GAUGE, width_error=0.012, row_error=0.008, origin="invented")
    nominal = {"girth_mm": 190.0, "height_mm": height, "tape_mm": 2.0}
    ball = fit_ball(BALL, GAUGE, **nominal)

    def part(*, w: float = 0.0, h: float = 0.0, **off: float) -> np.ndarray:
        gauge = replace(
            GAUGE, stitch_width=GAUGE.stitch_width * (1 + w), row_height=GAUGE.row_height * (1 + h)
        )
        measures = {key: value and value + off.get(key, 0.0) for key, value in nominal.items()}
        again = fit_ball(BALL, gauge, **{**measures, "tape_mm": 0.0})
        return reference_part(replace(gauge, stiffness_ratio=again.stiffness_ratio), again.stuffing)

    errors = {"w": 0.012, "h": 0.008, "girth_mm": 2.0, **({"height_mm": 2.0} if height else {})}
    moved = [(part(**{key: e / 4}) - part(**{key: -e / 4})) * 2 for key, e in errors.items()]
    assert np.array(found.on_reference(ball)) == pytest.approx(np.linalg.norm(moved, axis=0), rel=0.03)


def test_a_ball_makes_up_for_the_gauge() -> None:
    """A well measured ball takes most of a stitch width's error off the width; without one it stays."""
    found = Measured(gauge=GAUGE, width_error=0.02, row_error=0.0, origin="invented")
    ball = fit_ball(BALL, GAUGE, girth_mm=190.0)
    assert found.on_reference()[0] == pytest.approx(2.0, rel=0.1)
    assert found.on_reference(ball)[0] < 0.5


def test_errors_on_a_part_at_the_ends_of_what_a_gauge_may_be() -> None:
    """The widest stitch, tallest row and stiffest fabric that a gauge may have still have an error."""
    stiff = Gauge(stitch_width=20.0, row_height=40.0, stiffness_ratio=5.0)
    assert min(Measured(gauge=stiff, width_error=0.01, row_error=0.01, origin="invented").on_reference()) > 0


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        *((0.695, "between"), (0.705, ""), (0.855, ""), (0.865, "turned")),
        *((0.935, "turned"), (0.945, ""), (1.295, ""), (1.305, "between")),
    ],
)
def test_row_ratio_warned_of(ratio: float, word: str) -> None:
    """Rows outside 0.7 to 1.3 stitch widths, and those near 0.9 as on turned swatches, are warned of."""
    gauge = Gauge(stitch_width=5.0, row_height=5.0 * ratio)
    told = list(Measured(gauge=gauge, width_error=0.01, row_error=0.01, origin="invented").warnings())
    assert len(told) == bool(word)
    assert word in "".join(told)


@pytest.mark.parametrize(
    ("numbers", "word"),
    [({"stretch": 0.149}, ""), ({"stretch": 0.151}, "gauge is probably wrong")]
    + [({"stiffness": value}, "don't fit together") for value in (0.59, 1.71)]
    + [({"stiffness": value}, "") for value in (0.61, 1.0, 1.69)],
)
def test_ball_warned_of(numbers: dict[str, float], word: str) -> None:
    """A stretch over 15 %, and a stiffness ratio far from 1, contradict the gauge."""
    told = list(USUAL.warnings(**numbers))
    assert len(told) == bool(word)
    assert word in "".join(told)


def test_swatches_that_disagree_are_warned_of() -> None:
    """Swatches differ beyond reading from chi-squared 6.63 (1 degree of freedom, 1 %; table, from memory).

    A quarter of a stitch in 20 and in x is 25 / 20^2 and 25 / x^2 mm to a stitch: the limit is x = 20.92.
    """
    assert not list(of_swatches([(20, 20, 100.0), (20.89, 20, 100.0)]).warnings())
    (told,) = of_swatches([(20, 20, 100.0), (20.95, 20, 100.0)]).warnings()
    assert "stitches" in told
    assert "rounds" not in told
    (told,) = of_swatches([(20, 20, 100.0), (20, 21, 100.0)]).warnings()
    assert "20 to 21 rounds" in told


def test_swatches_that_scatter_as_read_are_not_warned_of() -> None:
    """Of 500 threes of swatches read with the stated error, 2 in 100 are warned of: 1 by each number."""
    drawn = np.random.default_rng(6).normal(20.0, 0.25, (500, 3, 2))
    warned = sum(bool(of_swatches([(a, b, 100.0) for a, b in three]).differing) for three in drawn)
    assert warned == pytest.approx(10, abs=9)  # three standard deviations of such a count


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
        np.array(replace(gauge, width_error=w, row_error=h).on_reference())
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
