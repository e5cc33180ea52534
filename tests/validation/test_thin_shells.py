"""Membrane tensions of shells of revolution under inside pressure.

S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., 1959, ch. 14, and W. Fluegge,
Stresses in Shells, 2nd ed., 1973, ch. 2 (both from memory; the formulas follow from balance of forces):

    N_phi = p R_2 / 2,    N_theta = p R_2 (1 - R_2 / (2 R_1)),

R_1 and R_2 the radii of curvature of the meridian and across it. For a spheroid of equatorial radius a and
polar radius b the pole has p a^2 / (2 b), the equator N_phi = p a / 2 and N_theta = p a (1 - a^2 / (2 b^2)),
which turns to compression where a / b > sqrt 2. A torus is left out: no part of it is a closed cap.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.advice.notes import unsupported_notes
from solver.arrays import Floats
from solver.search.membrane import Tensions, rest_fabric, tensions
from solver.wanted.outline import Meridian, Outline, meridian

P = 1e-3
"""p/k, of which the formulas are multiples. [1/mm]"""

FORMULA = 1e-3
"""Twice what is left with 8000 chords, their angles averaged over a two-hundredth of the meridian."""


def spheroid(*, a: float, b: float, points: int = 8001) -> Outline:
    """Return the outline of a spheroid, drawn finely."""
    turn = np.linspace(0.0, np.pi, points)
    return Outline(np.column_stack([a * np.sin(turn), b * (1 - np.cos(turn))]))


def pulls(outline: Outline) -> tuple[Meridian, Tensions]:
    """Return the meridian of an outline and its tensions."""
    curve = meridian(outline, stations=1000, window=outline.length / 200)
    return curve, tensions(curve, pressure=P)


def test_sphere() -> None:
    """A sphere has p R / 2 in every direction."""
    _, pull = pulls(spheroid(a=30.0, b=30.0))
    assert_allclose(pull.wale, P * 30 / 2, rtol=FORMULA)
    assert_allclose(pull.course, P * 30 / 2, rtol=FORMULA)


def test_cylinder() -> None:
    """A closed cylinder has p R round and p R / 2 along, away from its ends."""
    cap = np.linspace(0.0, np.pi / 2, 300)
    lower = 20 * np.column_stack([np.sin(cap), 1 - np.cos(cap)])
    _, pull = pulls(Outline(np.vstack([lower, [0.0, 140.0] + lower[::-1] * [1.0, -1.0]])))
    assert_allclose(pull.course[450:550], P * 20, rtol=FORMULA)
    assert_allclose(pull.wale[450:550], P * 20 / 2, rtol=FORMULA)


def test_cone() -> None:
    """A cone of half angle alpha has p r / cos(alpha) round and half of that along."""
    curve, pull = pulls(Outline(np.array([[0.0, 0.0], [30.0, 72.0]])))
    side = curve.arc > 5.0  # past the rounding of the tip
    cosine = 72 / np.hypot(30, 72)
    assert_allclose(pull.course[side], P * curve.radius[side] / cosine, rtol=FORMULA)
    assert_allclose(pull.wale[side], P * curve.radius[side] / cosine / 2, rtol=FORMULA)


@pytest.mark.parametrize(("a", "b"), [(20.0, 40.0), (30.0, 30.1), (35.0, 27.0), (42.0, 30.0)])
def test_spheroid(a: float, b: float) -> None:
    """All over a spheroid, tall or flat, the tensions are those of its two radii of curvature."""
    curve, pull = pulls(spheroid(a=a, b=b))

    def turn(radius: Floats) -> Floats:
        return np.arcsin(np.clip(radius / a, 0.0, 1.0))

    width = np.hypot(a * np.cos(turn(curve.radius)), b * np.sin(turn(curve.radius)))
    across = a * width / b  # R_2
    along = width**3 / (a * b)  # R_1
    assert_allclose(pull.wale, P * across / 2, atol=FORMULA * P * across.max())
    assert_allclose(pull.course, P * across * (1 - across / (2 * along)), atol=FORMULA * P * across.max())


@pytest.mark.parametrize(("a", "b"), [(20.0, 40.0), (35.0, 27.0), (42.0, 30.0)])
def test_spheroid_at_pole_and_equator(a: float, b: float) -> None:
    """A spheroid has p a^2 / (2 b) at its poles, p a / 2 and p a (1 - a^2 / (2 b^2)) at its equator."""
    _, pull = pulls(spheroid(a=a, b=b))
    assert_allclose([pull.wale[0], pull.course[0]], P * a**2 / (2 * b), rtol=FORMULA)
    assert_allclose(pull.wale[499:501], P * a / 2, rtol=FORMULA)
    assert_allclose(pull.course[499:501], P * a * (1 - a**2 / (2 * b**2)), atol=FORMULA * P * a)


@pytest.mark.parametrize(("over", "told"), [(1.01, True), (0.99, False)])
@pytest.mark.parametrize("height", [20.0, 45.0, 120.0])
@pytest.mark.parametrize("row", [2.0, 4.6, 8.0])
def test_hoop_compression_is_told(over: float, told: bool, height: float, row: float) -> None:
    """Hoop compression is told 1 % above a width of sqrt 2 times the height, and not 1 % below."""
    ball = spheroid(a=np.sqrt(2) * over * height / 2, b=height / 2, points=401)
    rest = rest_fabric(ball, pressure=2e-3, row_height=row)
    assert [zone.kind for zone in rest.unsupported] == (["hoop"] if told else [])
    for zone in rest.unsupported:
        assert zone.low < height / 2 < zone.high
    notes = list(unsupported_notes(rest.unsupported, ball, row_height=row))
    assert ["the fabric would have to push back" in note for note in notes] == [True] * told
