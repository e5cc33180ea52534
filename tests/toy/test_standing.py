"""Centres of mass and tipping against closed forms (statics; any textbook)."""

import math
import sys
from pathlib import Path

import numpy as np
from numpy.testing import assert_allclose

from solver.form.fabric import lofted
from solver.rounds import Finish, Piece, Round, Start
from solver.toy.standing import Weight, filled, standing, together

sys.path.insert(0, str(Path(__file__).parent))
from bodies import ball, cone, tube

HALF_PERCENT = 0.005


def test_ball() -> None:
    """A ball's filling has volume 4/3 pi R^3, its middle in the centre; on a hard floor it rolls at once."""
    surface, _ = ball(30.0, rows=60)
    volume, centre = filled(surface.form.fabric, surface.points)
    assert_allclose(volume, 4 / 3 * math.pi * 30**3, rtol=HALF_PERCENT)
    assert_allclose(centre, [0, 0, 30], atol=30 * HALF_PERCENT)
    how = standing(surface.points, Weight(1.0, centre), settles=0.0)
    assert abs(how.tips_at) < 0.1


def test_cylinder() -> None:
    """A cylinder's centre is at half its height: it tips at atan(2 R / h)."""
    surface, _ = tube(25.0, 90.0)
    volume, centre = filled(surface.form.fabric, surface.points)
    assert_allclose(volume, math.pi * 25**2 * 90, rtol=HALF_PERCENT)
    assert_allclose(centre, [0, 0, 45], atol=45 * HALF_PERCENT)
    how = standing(surface.points, Weight(1.0, centre), settles=0.0)
    assert_allclose(how.tips_at, math.degrees(math.atan(2 * 25 / 90)), rtol=HALF_PERCENT)
    assert how.stands


def test_cone() -> None:
    """A cone's centre is at a quarter of its height: it tips at atan(4 R / h)."""
    radius, height = cone(30.0, 70.0)
    n = 120
    piece = Piece(Start.OPEN, n, (Round.plain(n),) * (len(radius) - 1), Finish.OPEN)
    from solver.form.fabric import stitch_fabric

    fabric = stitch_fabric(piece, stitch_width=1.0, row_height=1.0)
    points = lofted(fabric, radius=radius, height=height)
    volume, centre = filled(fabric, points)
    assert_allclose(volume, math.pi * 30**2 * 70 / 3, rtol=HALF_PERCENT)
    assert_allclose(centre[2], 70 / 4, rtol=HALF_PERCENT)
    how = standing(points, Weight(1.0, centre), settles=0.0)
    assert_allclose(how.tips_at, math.degrees(math.atan(4 * 30 / 70)), rtol=HALF_PERCENT)


def test_two_balls() -> None:
    """The centre of two balls divides the line between theirs by their masses, r^3 to R^3."""
    big, small = ball(30.0, rows=60)[0], ball(15.0, rows=60)[0]
    weights = []
    for surface, at in ((big, [0.0, 0.0, 0.0]), (small, [0.0, 0.0, 60.0])):
        volume, centre = filled(surface.form.fabric, surface.points + at)
        weights.append(Weight(volume, centre))
    expected = (8 * 30 + 1 * 75) / 9
    assert_allclose(together(weights).centre, [0, 0, expected], atol=expected * HALF_PERCENT)


def test_it_falls_to_the_side_that_hangs_over() -> None:
    """A centre beyond the ground that is touched: it falls there, and by how much it lacks is told."""
    square = np.array([[10.0, 10, 0], [-10, 10, 0], [-10, -10, 0], [10, -10, 0], [0, 0, 40]])
    falls = standing(square, Weight(1.0, [0.0, -15.0, 20.0]), settles=0.0)
    assert not falls.stands
    assert falls.side == "forward"
    assert_allclose(falls.tips_at, -math.degrees(math.atan(5 / 20)))
    stands = standing(square, Weight(1.0, [4.0, 0.0, 20.0]), settles=0.0)
    assert stands.side == "to its left"
    assert_allclose(stands.tips_at, math.degrees(math.atan(6 / 20)))
