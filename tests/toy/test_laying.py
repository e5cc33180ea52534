"""Edges on surfaces whose geometry is known: circles on balls, two cylinders that meet, ovals on balls."""

import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad
from scipy.optimize import brentq

from solver.arrays import Floats
from solver.toy.cast import Frame
from solver.toy.laying import laid
from solver.toy.surface import Surface

sys.path.insert(0, str(Path(__file__).parent))
from bodies import ball, tube

THIRD = 1 / 3
"""Of a stitch: nobody sews closer."""
LENGTH = 0.005

BALL = ball(30.0)
ANGLE = 2 * np.pi * np.arange(96) / 96


def circle(radius: float) -> Floats:
    """Return a round edge as seen along its axis."""
    return radius * np.column_stack([np.cos(ANGLE), np.sin(ANGLE)])


def frame_at(surface: Surface, point: Floats) -> Frame:
    """Return the frame of a part that stands straight out of a surface at the place nearest to a point."""
    ring, turn = surface.nearest(point)
    axis = surface.normal(float(ring[0]), float(turn[0]))
    left = np.cross([0.31, 0.17, 0.94], axis)
    left /= np.linalg.norm(left)
    return Frame(surface.at(ring, turn)[0], np.stack([left, np.cross(axis, left), axis], axis=1))


DIRECTIONS = [(0.0, 0.0), (0.4, 1.0), (0.8, 2.0), (1.2, -2.0), (np.pi / 2, 0.3), (1.8, 3.0), (2.2, -1.0),
              (2.7, 0.7), (np.pi, 0.0)]  # fmt: skip


@pytest.mark.parametrize("size", np.linspace(0.1, 0.9, 9))
def test_round_edge_on_a_ball(size: float) -> None:
    """A rim of radius r on a ball of radius R lies on the circle of polar angle asin(r/R).

    Spherical geometry: a circle of girth 2 pi r on a sphere has polar angle asin(r/R).
    """
    radius = 30.0
    surface, w = BALL
    r = size * radius
    for polar, round_ in DIRECTIONS:
        out = np.array([np.sin(polar) * np.cos(round_), np.sin(polar) * np.sin(round_), np.cos(polar)])
        middle = np.array([0.0, 0.0, radius])
        edge = laid(surface, frame_at(surface, middle + radius * out), circle(r), length=2 * np.pi * r)
        assert edge is not None
        away = (edge.points - middle) / np.linalg.norm(edge.points - middle, axis=1)[:, None]
        angle = np.arccos(np.clip(away @ out, -1, 1))
        assert_allclose(angle * radius, np.arcsin(size) * radius, atol=THIRD * w)
        assert edge.fits(2 * np.pi * r, within=LENGTH)


@pytest.mark.parametrize("size", [0.2, 0.4, 0.6, 0.8])
def test_two_cylinders(size: float) -> None:
    """A round edge on a cylinder is the curve in which two cylinders meet.

    With a the seen radius, the curve is x = R - sqrt(R^2 - a^2 sin^2 t) behind the axis' foot (analytic
    geometry); its length by quadrature gives a for the edge's own length.
    """
    radius, r = 25.0, size * 25.0
    surface, w = tube(radius, 90.0)

    def length(a: float) -> float:
        def speed(t: float) -> float:
            deep = np.sqrt(radius**2 - (a * np.sin(t)) ** 2)
            return float(np.hypot(a, a**2 * np.sin(t) * np.cos(t) / deep))

        return quad(speed, 0, 2 * np.pi, limit=200)[0]

    a = brentq(lambda a: length(a) - 2 * np.pi * r, 0.5 * r, r)
    foot = np.array([0.0, -radius, 45.0])
    axis = np.array([0.0, -1.0, 0.0])
    frame = Frame(foot, np.stack([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], axis], axis=1))
    edge = laid(surface, frame, circle(r), length=2 * np.pi * r)
    assert edge is not None
    expected = np.column_stack(
        [a * np.cos(ANGLE), -np.sqrt(radius**2 - (a * np.cos(ANGLE)) ** 2), 45 + a * np.sin(ANGLE)]
    )
    assert_allclose(edge.points, expected, atol=THIRD * w / 3)
    assert edge.fits(2 * np.pi * r, within=LENGTH)


def test_oval_edge_on_a_ball() -> None:
    """An oval edge on a ball: its seen scale as quadrature of its length on the sphere has it."""
    radius, long, wide = 30.0, 18.0, 10.0
    surface, _ = ball(radius)

    def length(s: float) -> float:
        def speed(t: float) -> float:
            x, y = s * long * np.cos(t), s * wide * np.sin(t)
            dx, dy = -s * long * np.sin(t), s * wide * np.cos(t)
            z = np.sqrt(radius**2 - x**2 - y**2)
            return float(np.sqrt(dx**2 + dy**2 + ((x * dx + y * dy) / z) ** 2))

        return quad(speed, 0, 2 * np.pi, limit=200)[0]

    wanted = quad(lambda t: np.hypot(long * np.sin(t), wide * np.cos(t)), 0, 2 * np.pi)[0]
    scale = brentq(lambda s: length(s) - wanted, 0.5, 1.0)
    shape = np.column_stack([long * np.cos(ANGLE), wide * np.sin(ANGLE)])
    edge = laid(surface, frame_at(surface, np.array([0.0, -radius, radius])), shape, length=wanted)
    assert edge is not None
    assert_allclose(edge.scale, scale, rtol=0.004)
    assert edge.fits(wanted, within=LENGTH)


def test_no_room() -> None:
    """An edge longer than any circle of the ball finds no place."""
    surface, _ = ball(30.0)
    frame = frame_at(surface, np.array([0.0, -30.0, 30.0]))
    assert laid(surface, frame, circle(31.0), length=2 * np.pi * 31.0) is None
