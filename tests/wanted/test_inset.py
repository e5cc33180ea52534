"""The middle of the fabric, half a thickness inside the outside: by hand, and against a geometry library."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from shapely.geometry import LineString, Point, Polygon

from solver.arrays import Floats
from solver.errors import InputError
from solver.wanted.gauge import Gauge
from solver.wanted.inset import inset
from solver.wanted.outline import Outline
from solver.wanted.shapes import named_shapes
from tests.outlines import WANTED, ball, spheroid

CHORDS = 2e-5
"""A half circle drawn with 400 chords is short by (pi / 400)^2 / 24 in length, four times that in area."""

DRAWN = 0.005
"""Heights are told apart by 0.001 mm, and arcs are drawn with chords. [mm]"""

TUBE = Outline(np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 50.0]]))
GAUGE = Gauge(stitch_width=5.0, row_height=5.0)
STEPPED = Outline(np.array([[0.0, 0.0], [12.0, 0.0], [12.0, 20.0], [30.0, 20.0], [30.0, 60.0], [0.0, 60.0]]))


def test_ball_and_tube() -> None:
    """The middle of a ball's fabric is a smaller ball; that of a tube is narrower, its open end as high."""
    inner = inset(ball(60.0), distance=2.0)
    assert_allclose([inner.width, inner.height], 56.0, rtol=CHORDS)
    assert_allclose(np.hypot(inner.points[:, 0], inner.points[:, 1] - 30.0), 28.0, atol=DRAWN)
    tube = inset(TUBE, distance=2.0)
    assert_allclose([tube.width, tube.height, tube.points[-1, 1]], [36.0, 48.0, 50.0], rtol=1e-12)


@pytest.mark.parametrize("outside", [STEPPED, *(make(GAUGE) for make in WANTED.values())])
def test_as_shapely_erodes(outside: Outline) -> None:
    """Away from pointed ends the middle is what shapely's negative buffer leaves of the outside."""
    mirrored = outside.points[::-1] * [-1.0, 1.0]
    whole = Polygon(np.vstack([outside.points, mirrored]))
    left = whole.buffer(-1.5, quad_segs=200).exterior
    middle = inset(outside, distance=1.5)
    assert max(left.distance(Point(point)) for point in middle.points.tolist()) < DRAWN
    mine = LineString(middle.points)
    right = [point for point in left.coords if point[0] >= 0]
    assert max(mine.distance(Point(point)) for point in right) < 2 * DRAWN


@settings(max_examples=40, deadline=None)
@given(name=st.sampled_from(sorted(named_shapes())), thickness=st.floats(0.2, 8.0))
def test_every_named_shape(name: str, thickness: float) -> None:
    """Every named shape has a middle: narrower by a thickness or little more, shorter at closed ends."""
    shape = named_shapes()[name]
    outside = shape.outline(shape.example)
    middle = inset(outside, distance=thickness / 2)
    closed = int(np.sum(outside.points[[0, -1], 0] == 0))
    assert_allclose(outside.height - middle.height, closed * thickness / 2, atol=1e-9)
    assert thickness * (1 - 1e-3) < outside.width - middle.width < 1.5 * thickness


def test_pointed_end_keeps_its_height() -> None:
    """A tip sharper than fabric can be is drawn out, so that the part is as high as it was asked for."""
    cone = Outline(np.array([[0.0, 0.0], [25.0, 60.0]]))
    middle = inset(cone, distance=1.0)
    assert_allclose(middle.points[0], [0.0, 1.0], atol=1e-12)
    straight = (middle.points[:, 1] - 1.0) / 59.0
    assert_allclose(middle.points[:, 0], middle.points[-1, 0] * straight, atol=DRAWN)
    assert_allclose(middle.points[-1, 1], 60.0, rtol=1e-12)


def _necked(width: float) -> Floats:
    return np.array([[0.0, 0.0], [20.0, 10.0], [width / 2, 40.0], [20.0, 70.0], [0.0, 80.0]])


@pytest.mark.parametrize(
    ("outside", "distance"),
    [
        (lambda: spheroid(height=4.0, width=60.0), 2.5),
        (lambda: spheroid(height=60.0, width=4.0), 2.5),
        (lambda: Outline(_necked(3.0)), 2.0),
    ],
)
def test_nothing_left(outside: Callable[[], Outline], distance: float) -> None:
    """A part or a neck that is thinner than its fabric is refused."""
    with pytest.raises(InputError, match=r"larger than its fabric is thick .* at its necks"):
        inset(outside(), distance=distance)
