"""The wanted outline: what is refused, what its sizes are, and the meridian that it is as a curve."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from solver.errors import InputError
from solver.wanted.outline import Outline, meridian, turning_directions
from tests.outlines import ball, pill

ROUNDING = 1e-12
"""Sums of a few hundred terms in double precision."""

CHORDS = 2e-5
"""A half circle drawn with 400 chords is short by (pi / 400)^2 / 24 in length, four times that in area."""

MM = 1e-9
"""Rounding of lengths of about 100 mm. [mm]"""


@pytest.mark.parametrize(
    ("points", "told"),
    [
        ([[0, 0]], "at least two different points"),
        ([[5, 5], [5, 5]], "at least two different points"),
        ([[0, 0], [-3, 5], [0, 9]], r"a radius is zero or more \(got point 2: \[-3, 5\]\)"),
        ([[0, 0], [5, 6], [4, 5], [0, 9]], r"never go back.*point 3: \[4, 5\] after height 6"),
        ([[0, 0], [10, 8], [10, 12], [8, 2], [0, 20]], "does not cross"),
        ([[0, 0], [9, 0], [4, 0], [4, 9]], "run back over itself"),
        ([[5, 0], [9, 0], [2, 0], [2, 9]], "run back over itself"),
        ([[0, 0], [5, 3], [0, 6], [5, 9]], r"touches the axis only at its ends.*point 3"),
        ([[0, 0], [float("nan"), 3], [0, 6]], "finite number"),
        ([[0, 0], [float("inf"), 3], [0, 6]], "finite number"),
        ([[0, 0], [9, 0]], r"a height and a width \(got 18 mm wide, 0 mm high\)"),
        ([[0, 0], [0, 9]], "a height and a width"),
        ([[0, 0, 0], [1, 1, 1]], r"\[radius, height\] pairs"),
    ],
)
def test_no_outline(points: list[list[float]], told: str) -> None:
    """Points that are no half-silhouette are refused with the rule and the place."""
    with pytest.raises(InputError, match=told):
        Outline(np.array(points, dtype=float))


def test_all_faults_at_once() -> None:
    """All faults of an outline are told in one error."""
    with pytest.raises(InputError) as caught:
        Outline(np.array([[0.0, 0.0], [-1.0, 5.0], [3.0, 2.0], [0.0, 9.0]]))
    assert len(caught.value.problems) == 2


def test_outline_is_a_value() -> None:
    """An outline keeps its own read-only copy of the points, repeats left out."""
    given = np.array([[0.0, 0.0], [5.0, 1.0], [5.0, 1.0], [5.0, 9.0]])
    outline = Outline(given)
    given[0] = 99.0
    assert_array_equal(outline.points, [[0, 0], [5, 1], [5, 9]])
    with pytest.raises(ValueError, match="read-only"):
        outline.points[0, 0] = 1.0
    with pytest.raises(AttributeError):
        outline.points = given


def test_sizes_of_cylinder_and_cone() -> None:
    """Heights, widths, lengths and volumes of a closed cylinder and of a cone are those of any handbook."""
    cylinder = Outline(np.array([[0.0, 3.0], [20.0, 3.0], [20.0, 53.0], [0.0, 53.0]]))
    assert (cylinder.height, cylinder.width, cylinder.middle) == (50.0, 40.0, 28.0)
    assert_allclose(cylinder.length, 20 + 50 + 20, rtol=ROUNDING)
    assert_allclose(cylinder.volume, np.pi * 20**2 * 50, rtol=ROUNDING)
    assert_allclose(cylinder.girth, 2 * np.pi * 20, rtol=ROUNDING)
    cone = Outline(np.array([[0.0, 0.0], [30.0, 40.0]]))
    assert_allclose(cone.length, 50, rtol=ROUNDING)
    assert_allclose(cone.volume, np.pi * 30**2 * 40 / 3, rtol=ROUNDING)


@given(factor=st.floats(0.01, 100.0), distance=st.floats(-500.0, 500.0))
def test_scaled_and_raised(factor: float, distance: float) -> None:
    """Scaling takes lengths by the factor and volumes by its cube; raising changes none of them."""
    pear = Outline.smooth([[0, 0], [30, 20], [12, 55], [16, 70], [0, 85]])
    moved = pear.scaled(factor).raised(distance)
    assert_allclose(
        [moved.height, moved.width, moved.length], np.array([85, pear.width, pear.length]) * factor, rtol=1e-6
    )
    assert_allclose(moved.volume, pear.volume * factor**3, rtol=1e-6)
    assert_allclose(moved.middle, pear.middle * factor + distance, atol=1e-9 * (1 + factor))


def test_resampled() -> None:
    """Resampling spreads points evenly over the length and keeps the ends."""
    given = Outline(np.array([[0.0, 0.0], [30.0, 40.0], [30.0, 100.0]]))
    even = given.resampled(12)
    assert_allclose(np.hypot(*np.diff(even.points, axis=0).T), 110 / 11, rtol=ROUNDING)
    assert_array_equal(even.points[[0, -1]], given.points[[0, -1]])


@pytest.mark.parametrize(
    "points",
    [
        [[0, 0], [22, 9], [30, 30], [14, 62], [0, 70]],
        [[0, 0], [13, 4], [21, 13], [22, 22], [18, 34], [15, 44], [17, 56], [24, 72]],
        [[0, 0], [40, 2], [40, 60], [0, 62]],
        [[10, 0], [10, 30], [30, 31], [30, 60], [12, 61]],
    ],
)
def test_smooth_goes_through_its_points(points: list[list[float]]) -> None:
    """A smooth outline meets every point, never goes back in height, and turns only where the points do."""
    smooth = Outline.smooth(points)
    gap = np.hypot(*(smooth.points[:, None] - np.array(points, dtype=float)).T).min(axis=1)
    assert gap.max() < MM
    assert np.diff(smooth.points[:, 1]).min() >= 0
    given = np.array(points, dtype=float)[:, 0]
    assert turning_directions(smooth.points[:, 0], slack=0.2) == turning_directions(given, slack=0.2)
    assert smooth.width <= 2.2 * given.max()


def test_smooth_is_round_on_the_axis() -> None:
    """A smooth outline meets the axis level, as a round end does, and comes near the circle of its points."""
    turn = np.linspace(0.0, np.pi, 9)
    smooth = Outline.smooth(30 * np.column_stack([np.sin(turn), 1 - np.cos(turn)]))
    first, last = np.diff(smooth.points, axis=0)[[0, -1]]
    assert abs(first[1] / first[0]) < 0.02
    assert abs(last[1] / last[0]) < 0.02
    # a cubic spline misses a smooth curve by the fourth power of its step (22.5 degrees here)
    assert_allclose(np.hypot(smooth.points[:, 0], smooth.points[:, 1] - 30), 30, rtol=1e-3)


def test_smooth_through_two_points_is_straight() -> None:
    """Two points are joined by a straight line."""
    assert_array_equal(Outline.smooth([[10, 0], [20, 50]]).points, [[10, 0], [20, 50]])


def test_meridian_of_ball() -> None:
    """On a ball of radius R the angle of the meridian is s / R and its curvature 1 / R."""
    curve = meridian(ball(60.0), stations=200, window=4.0)
    assert_allclose(curve.angle, curve.arc / 30, atol=1e-3)  # chords turn by pi / 400 at once
    assert_allclose(curve.curvature, 1 / 30, rtol=0.01)
    assert_allclose(curve.radius, 30 * np.sin(curve.arc / 30), atol=30 * CHORDS)


def test_meridian_of_cone_and_corner() -> None:
    """A straight side has one angle and no curvature; a corner turns by its whole angle within the window."""
    bend = Outline(np.array([[10.0, 0.0], [40.0, 40.0], [40.0, 100.0]]))
    curve = meridian(bend, stations=1100, window=5.0)
    straight = np.abs(curve.arc - 50.0) > 2.5
    assert_allclose(curve.angle[curve.arc < 47.5], np.arctan2(40, 30), rtol=ROUNDING)
    assert_allclose(curve.angle[curve.arc > 52.5], np.pi / 2, rtol=ROUNDING)
    assert_allclose(curve.curvature[straight], 0.0, atol=MM)
    turned = np.sum(curve.curvature[~straight]) * curve.step
    assert_allclose(turned, np.pi / 2 - np.arctan2(40, 30), rtol=1e-6)  # midpoint rule over the window


def test_meridian_goes_on_past_the_axis() -> None:
    """At a pointed tip the meridian goes on as its mirror image, so its angle there is level."""
    cone = Outline(np.array([[0.0, 0.0], [30.0, 40.0]]))
    curve = meridian(cone, stations=500, window=5.0)
    assert abs(curve.angle[0]) < 0.05
    assert_allclose(curve.angle[curve.arc > 2.5], np.arctan2(40, 30), rtol=ROUNDING)


@pytest.mark.parametrize(
    ("radius", "slack", "directions"),
    [
        ([0, 5, 9, 3, 0], 0.1, [1, -1]),
        ([0, 9, 4, 7, 0], 0.1, [1, -1, 1, -1]),
        ([0, 9, 8.9, 9.05, 0], 0.2, [1, -1]),
        ([9, 4, 4.1, 0], 0.2, [-1]),
        ([5, 5, 5], 0.1, []),
        ([9, 4], 0.1, [-1]),
        ([9, 4, 12], 6.0, [1]),
    ],
)
def test_turning_directions(radius: list[float], slack: float, directions: list[int]) -> None:
    """Rises and falls are told in order, changes up to the slack left out."""
    assert turning_directions(np.array(radius, dtype=float), slack=slack) == directions


def test_pill_sizes() -> None:
    """The tests' own pill has the length and volume of two half balls and a tube (any handbook)."""
    shape = pill(height=96.0, width=42.0)
    assert_allclose(shape.length, np.pi * 21 + 54, rtol=CHORDS)
    assert_allclose(shape.volume, np.pi * 21**2 * (54 + 4 / 3 * 21), rtol=4 * CHORDS)


def test_thinned_keeps_within_its_tolerance() -> None:
    """A circle's arc with fewer points: sagitta at most the tolerance, ends and a corner kept."""
    turn = np.linspace(0, np.pi / 2, 2001)
    points = np.vstack([30 * np.column_stack([np.sin(turn), 1 - np.cos(turn)]), [[30, 50], [20, 50]]])
    thin = Outline(points).thinned(0.01)
    assert len(thin.points) < 60
    kept = {tuple(point) for point in thin.points.tolist()}
    assert {tuple(point) for point in points[[0, -2, -1]].tolist()} <= kept
    chords = np.hypot(*np.diff(thin.points[thin.points[:, 1] <= 30], axis=0).T)
    assert (chords**2 / (8 * 30) <= 0.0101).all()  # sagitta of a chord, any handbook of geometry


def test_no_coarser_draws_the_same_line() -> None:
    """Points added to an outline lie on it, and none of its straights is longer than was asked for."""
    drawn = Outline(np.array([[0.0, 0.0], [20.0, 0.0], [21.0, 7.0], [21.0, 60.0]]))
    finer = drawn.no_coarser(2.5)
    assert np.diff(finer.arc).max() <= 2.5 * (1 + 1e-12)
    assert_allclose([finer.length, finer.volume], [drawn.length, drawn.volume], rtol=1e-12)
    assert all((np.abs(finer.points - corner).max(axis=1) < 1e-12).any() for corner in drawn.points)
