"""Samples of a form and their distances from an outline, by hand; shapely judges them in tests/validation."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from solver.wanted.outline import Outline
from solver.wanted.silhouette import deviation, even_samples, mixed, near_offsets, offsets
from tests.outlines import ball, pill

BALL = ball(60.0)

ROUNDING = 1e-9
"""Sums of hundreds of terms of about 100 mm in double precision."""


@given(count=st.integers(1, 500), seed=st.integers(0, 1000))
@settings(max_examples=30, deadline=None)
def test_even_samples(count: int, seed: int) -> None:
    """Places lie at the middles of equal lengths of the polyline."""
    points = np.cumsum(np.random.default_rng(seed).uniform(0.1, 5.0, (12, 2)), axis=0)
    index, share = even_samples(points, count)
    assert np.all((share >= 0) & (share <= 1))
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    along = arc[index] + share * np.diff(arc)[index]
    assert_allclose(along, (np.arange(count) + 0.5) * arc[-1] / count, atol=ROUNDING)
    assert mixed(points, index, share).shape == (count, 2)


def test_samples_pass_over_repeated_points() -> None:
    """Points that lie on each other, as a pole's may, are no trouble."""
    points = np.array([[0.0, 0.0], [0.0, 0.0], [10.0, 0.0], [10.0, 0.0]])
    index, share = even_samples(points, 4)
    assert_allclose(mixed(points, index, share)[:, 0], [1.25, 3.75, 6.25, 8.75], atol=ROUNDING)


def test_inside_is_below_zero() -> None:
    """Distances are above zero outside the outline and below zero inside, along its normal."""
    wall = Outline(np.array([[20.0, 0.0], [20.0, 50.0]]))
    found = offsets(np.array([[23.0, 10.0], [18.0, 30.0], [20.0, 40.0], [23.0, 54.0]]), wall)
    assert_allclose(found.distance, [3.0, -2.0, 0.0, 5.0], atol=ROUNDING)  # the last lies past the end
    assert_allclose(found.direction, [[1, 0], [1, 0], [1, 0], [0.6, 0.8]], atol=ROUNDING)


@given(seed=st.integers(0, 1000))
@settings(max_examples=20, deadline=None)
def test_direction_is_the_slope_of_the_distance(seed: int) -> None:
    """A place's distance grows by its move along the direction."""
    rng = np.random.default_rng(seed)
    outline = pill(height=90.0, width=50.0)
    around, inside = rng.uniform(0.4, np.pi - 0.4, 40), rng.choice([-1.0, 1.0], 40)
    away = 25 + inside * rng.uniform(0.5, 6.0, 40)
    places = np.column_stack([away * np.sin(around), 25 - away * np.cos(around)])
    places[places[:, 1] > 25, 1] += 40.0
    move = rng.normal(0.0, 1e-6, places.shape)
    before, after = (offsets(at, outline) for at in (places, places + move))
    grown = np.einsum("ij,ij->i", before.direction, move)
    assert_allclose(after.distance - before.distance, grown, atol=2e-8)  # a facet's turn of a millionth


def test_deviation_of_itself() -> None:
    """An outline moved along its axis deviates from itself by nothing, and is told how far it was moved."""
    got = deviation(BALL.raised(17.0).points, BALL)
    assert_allclose([got.rms, got.greatest, got.height, got.width], 0.0, atol=ROUNDING)
    assert_allclose(got.raised, -17.0, atol=ROUNDING)


def test_deviation_of_a_larger_ball() -> None:
    """A ball 2 mm wider lies 1 mm outside all round."""
    got = deviation(ball(62.0).points, BALL)
    assert_allclose([got.rms, got.greatest], 1.0, rtol=1e-3)  # facets of both drawings
    assert_allclose([got.height, got.width], 2.0, rtol=1e-9)


def test_worst_place() -> None:
    """The greatest deviation is told with its place on the aligned form."""
    dented = BALL.points.copy()
    near = np.abs(dented[:, 1] - 20.0) < 2.0
    dented[near, 0] -= 3.0
    got = deviation(dented + np.array([0.0, 5.0]), BALL)
    assert_allclose(got.place[1], 20.0, atol=2.5)
    assert 2.5 < got.greatest <= 3.0
    assert got.rms < got.greatest / 3


def test_many_points_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Distances are the same, however few of them are worked out at one time."""
    places = ball(64.0).raised(-2.0).resampled(300).points
    whole = offsets(places, BALL)
    monkeypatch.setattr("solver.wanted.silhouette.CHUNK", 1000)
    assert_allclose(offsets(places, BALL).distance, whole.distance, rtol=0)


@pytest.mark.parametrize("seed", range(3))
def test_near_offsets_are_those_of_the_whole_outline(seed: int) -> None:
    """On an outline whose points stand close the quick distances are the exact ones, near and far from it."""
    drawn = pill(height=90.0, width=40.0).thinned(0.01).no_coarser(2.5)
    random = np.random.default_rng(seed)
    places = drawn.resampled(200).points + random.normal(0.0, (0.3, 1.0, 3.0)[seed], (200, 2))
    places[:, 0] = np.abs(places[:, 0])
    quick, exact = near_offsets(places, drawn), offsets(places, drawn)
    assert_allclose(quick.distance, exact.distance, atol=1e-9)
    assert_allclose(quick.direction, exact.direction, atol=1e-6)
