"""Stitch sizes from what a maker measures, and stuffing from a word or a ball."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.errors import InputError
from solver.wanted.gauge import FIRMNESS, Gauge, Stuffing

ROUNDING = 1e-12  # a few floating-point operations


def test_swatch() -> None:
    """A swatch's length over its stitches and rows is the size of one stitch."""
    gauge = Gauge.from_swatch(stitches=20, rows=25, over_mm=100.0, thickness=2.0)
    assert (gauge.stitch_width, gauge.row_height, gauge.thickness) == (5.0, 4.0, 2.0)
    assert gauge.notes == ()


def test_swatch_without_rows() -> None:
    """Rows left out are as tall as stitches are wide."""
    gauge = Gauge.from_swatch(stitches=16, rows=None, over_mm=100.0)
    assert gauge.row_height == gauge.stitch_width == 6.25


def test_trade_gauge_circle() -> None:
    """The trade's gauge circle has a row height of its radius by rounds and grows by six stitches a round.

    5 rounds, 30 stitches, 50 mm across (common practice, no source). A flat disc takes 2 pi h/w stitches more
    each round (plane geometry), which for the trade's six gives h/w = 6/(2 pi).
    """
    gauge = Gauge.from_circle(rounds=5, stitches=30, across_mm=50.0)
    assert gauge.row_height == 5.0
    assert gauge.row_ratio == pytest.approx(6 / (2 * math.pi), rel=ROUNDING)


@pytest.mark.parametrize(
    ("stitches", "rows", "over_mm", "message"),
    [
        (20, 20, 10_000.0, "stitch width is from 0.5 to 40 mm .got 500 mm"),
        (2000, 2000, 100.0, "stitch width is from 0.5"),
        (20, 60, 100.0, "times as tall"),
        (20, 8, 100.0, "times as tall"),
        (0, 20, 100.0, "stitches is a finite number above zero"),
        (-3, 20, 100.0, "stitches is a finite number above zero"),
        (math.inf, 20, 100.0, "stitches is a finite number above zero"),
        (20, math.nan, 100.0, "rows is a finite number above zero"),
        (20, 20, 0.0, "over is a finite number above zero"),
    ],
)
def test_refused_swatches(stitches: float, rows: float, over_mm: float, message: str) -> None:
    """A gauge that no hook makes is refused with its rule."""
    with pytest.raises(InputError, match=message):
        Gauge.from_swatch(stitches=stitches, rows=rows, over_mm=over_mm)


@pytest.mark.parametrize("thickness", [-1.0, 50.0, math.nan])
def test_refused_thickness(thickness: float) -> None:
    """A fabric thickness is zero or more, and no more than the largest stitch."""
    with pytest.raises(InputError, match="thickness"):
        Gauge(stitch_width=5.0, row_height=5.0, thickness=thickness)


@pytest.mark.parametrize(("rows", "noted"), [(16, False), (26, False), (15, True), (30, True)])
def test_unusual_gauge_is_noted(rows: float, noted: bool) -> None:
    """Rows outside 0.7 to 1.3 of the stitch width are told but not refused."""
    gauge = Gauge.from_swatch(stitches=20, rows=rows, over_mm=100.0)
    assert bool(gauge.notes) is noted


def test_firmness_words() -> None:
    """Each firmness word stands for its assumed stretch, and says that it is assumed."""
    assert FIRMNESS == {"light": 0.003, "medium": 0.006, "firm": 0.012, "very firm": 0.03}
    stuffing = Stuffing.of_firmness("very firm")
    assert stuffing.stretch == 0.03
    assert stuffing.origin == "very firm stuffing, assumed"


def test_unknown_firmness() -> None:
    """An unknown firmness word is answered with the known ones."""
    with pytest.raises(InputError, match="one of: light, medium, firm, very firm"):
        Stuffing.of_firmness("medum")


def test_measured_ball() -> None:
    """A ball's stretch is its girth over its stitches' rest width, fabric thickness taken off."""
    gauge = Gauge(stitch_width=5.0, row_height=5.0)
    stuffing = Stuffing.of_ball(stitches=36, girth_mm=190.0, gauge=gauge)
    assert stuffing.stretch == pytest.approx(190 / 180 - 1, rel=ROUNDING)
    assert stuffing.origin == "your own ball"
    thick = Gauge(stitch_width=5.0, row_height=5.0, thickness=2.0)
    outside = 190.0 + 2.0 * math.pi
    assert Stuffing.of_ball(stitches=36, girth_mm=outside, gauge=thick).stretch == pytest.approx(
        stuffing.stretch, rel=1e-9
    )


@pytest.mark.parametrize("girth_mm", [180.0, 170.0, 208.0])
def test_ball_that_contradicts_its_gauge(girth_mm: float) -> None:
    """A ball no larger than its relaxed fabric, or over 15 % larger, points at the gauge."""
    gauge = Gauge(stitch_width=5.0, row_height=5.0)
    with pytest.raises(InputError, match="gauge is probably not that of the ball"):
        Stuffing.of_ball(stitches=36, girth_mm=girth_mm, gauge=gauge)


@given(st.floats(min_value=1e-4, max_value=0.15), st.floats(min_value=5.0, max_value=500.0))
def test_pressure_balances_a_sphere(stretch: float, radius_mm: float) -> None:
    """A ball under its pressure is in balance: p R / 2 equals k e / (1 + e).

    Thin sphere, N = p R / 2: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., ch. 14
    (memory); the fabric law in its finite form is l = (1 - sqrt(1 - 4 q)) / (2 q) with q = p R0 / 2 k.
    """
    pressure = Stuffing(stretch=stretch, origin="test").pressure(radius_mm)
    q = pressure * radius_mm / (1 + stretch) / 2
    assert (1 - math.sqrt(1 - 4 * q)) / (2 * q) == pytest.approx(1 + stretch, rel=1e-9)


@pytest.mark.parametrize("stretch", [0.0, -0.01, 0.2, math.nan])
def test_refused_stretch(stretch: float) -> None:
    """Stuffing stretches, and not beyond what a toy's fabric does."""
    with pytest.raises(InputError, match="stretches fabric"):
        Stuffing(stretch=stretch, origin="test")
