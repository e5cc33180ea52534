"""What smoothing takes away from a drawn line, and what it leaves."""

from __future__ import annotations

import numpy as np
import pytest
import rendering
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.tracing.smoothing import few_points, flat_end, smoothed, without_flat_end
from solver.wanted.outline import Outline

HEIGHT = 80.0
ROW = 5.0


def ball(radius: float) -> rendering.Floats:
    """Return a finely drawn half circle."""
    t = np.linspace(-np.pi / 2, np.pi / 2, 1500)
    return np.column_stack([radius * np.cos(t), radius + radius * np.sin(t)])


def wiggle_left(wavelength: float) -> float:
    """Return which part of a wiggle along a straight wall is left."""
    z = np.linspace(0, 40 * ROW, 8000)
    wall = np.column_stack([50 + 0.2 * np.sin(2 * np.pi * z / wavelength), z])
    left = smoothed(wall, row_height=ROW)
    inner = left[(left[:, 1] > 10 * ROW) & (left[:, 1] < 30 * ROW)]
    return float(np.ptp(inner[:, 0]) / 0.4)


@pytest.mark.parametrize(
    ("rows", "least", "most"),
    [(0.5, 0, 0.01), (1, 0, 0.05), (2, 0.4, 0.8), (4, 0.94, 1.01), (10, 0.99, 1.01)],
)
def test_wiggles(rows: float, least: float, most: float) -> None:
    """Wiggles of a row and finer go, those of four rows and more stay."""
    assert least <= wiggle_left(rows * ROW) <= most


@pytest.mark.parametrize("radius", [15.0, 40.0])
def test_circles_keep_their_size(radius: float) -> None:
    """A ball of three rows' radius or more keeps its radius within a fiftieth of a row."""
    curve = smoothed(ball(radius), row_height=ROW)
    off = np.hypot(curve[:, 0], curve[:, 1] - radius) - radius
    assert_allclose(off, 0, atol=ROW / 50)


@pytest.mark.parametrize("shape", rendering.SHAPES)
@pytest.mark.parametrize("row", [2.0, 5.0, 8.0])
def test_outlines_stay_within_half_a_stitch(shape: str, row: float) -> None:
    """The outline through the few points lies within half a stitch of the drawing, corners too."""
    drawing = Outline(rendering.SHAPES[shape]() * HEIGHT)
    points = few_points(smoothed(drawing.points, row_height=row), stitch_width=row)
    truth = shapely.LineString(drawing.points)
    outline = Outline.smooth(points)
    off = shapely.distance(shapely.points(outline.points), truth)
    assert off.max() < row / 2
    assert len(points) <= 60
    assert_allclose(outline.height, HEIGHT, rtol=1e-12)


@given(
    bumps=st.lists(st.floats(-0.3, 0.3), min_size=3, max_size=8),
    jitter=st.floats(0, 0.2),
    seed=st.integers(0, 1000),
)
@settings(max_examples=10, deadline=None)
def test_any_drawing_becomes_an_outline(bumps: list[float], jitter: float, seed: int) -> None:
    """Whatever a hand draws beside the axis, the result is an outline of the same height."""
    z = np.linspace(0, HEIGHT, 900)
    radius = 25 + 25 * np.interp(z, np.linspace(0, HEIGHT, len(bumps)), bumps)
    radius += jitter * np.random.default_rng(seed).standard_normal(len(z))
    given_line = np.vstack([[0, 0], np.column_stack([radius.clip(0.5), z]), [0, HEIGHT]])
    outline = Outline.smooth(few_points(smoothed(given_line, row_height=ROW), stitch_width=ROW))
    assert_allclose(outline.height, HEIGHT)
    assert outline.points[0, 0] == outline.points[-1, 0] == 0


def test_flat_ends_are_told_from_round_ones() -> None:
    """A bottle is flat at both ends, a ball, an egg and a cone at none."""
    bottle = rendering.bottle()
    assert_allclose([flat_end(bottle, first=first) for first in (True, False)], [0.26, 0.1], rtol=0.01)
    cone = np.array([[0, 0], [0.4, 0.999], [0, 1]])
    assert flat_end(cone, first=True) == 0
    for shape in (rendering.ball(), rendering.egg()):
        assert flat_end(shape, first=True) == flat_end(shape, first=False) == 0


def test_open_ends_keep_their_rim() -> None:
    """Without its flat ends a bottle starts and ends at its rims, and smoothing leaves them there."""
    bottle = rendering.bottle() * HEIGHT
    opened = without_flat_end(without_flat_end(bottle, first=True), first=False)
    curve = smoothed(opened, row_height=ROW)
    assert_allclose(curve[[0, -1]], [[0.26 * HEIGHT, 0], [0.1 * HEIGHT, HEIGHT]], rtol=0.01)
