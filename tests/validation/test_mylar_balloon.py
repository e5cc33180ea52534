"""Two equal flat discs joined at the rim and inflated: the Mylar balloon.

W. Paulsen, "What is the shape of a Mylar balloon?", Amer. Math. Monthly 101(10), 1994, 953-958, and
I. Mladenov and J. Oprea, "The Mylar balloon revisited", Amer. Math. Monthly 110, 2003, 761-784 (both seen in
secondary copies): fabric that neither stretches nor carries compression. With r the radius of the balloon and
a that of the discs,

    z(x) = r Int_{x/r}^1 t^2 / sqrt(1 - t^4) dt,    a = r Int_0^1 dt / sqrt(1 - t^4),

the meridian's curvature is twice that of the parallel everywhere. All values are recomputed here from these.
"""

import functools

import mpmath
import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import quad

from solver.arrays import Floats
from solver.form.rings import Form, RingFabric, ring_form
from solver.search.membrane import rest_fabric, tensions
from solver.wanted.outline import Outline, meridian

A = 50.0
"""Radius of the discs. [mm]"""

RADIUS = 1 / quad(lambda t: 1 / np.sqrt(1 - t**4), 0, 1)[0]
THICKNESS = 2 * RADIUS * quad(lambda t: t**2 / np.sqrt(1 - t**4), 0, 1)[0]
VOLUME = float(2 * np.pi * RADIUS**3 * quad(lambda t: t**4 / np.sqrt(1 - t**4), 0, 1)[0])
"""Of a balloon of discs with radius 1; the volume by shells, 2 pi x 2 z(x) dx, by parts."""


def profile(x: Floats) -> Floats:
    """Return the height above the middle at radius x of a balloon with radius 1."""
    return np.array([quad(lambda t: t**2 / np.sqrt(1 - t**4), at, 1)[0] for at in x])


@functools.cache
def balloon(rounds: int, load: float) -> Form:
    """Return two flat discs of this many rounds, inflated to p a / k = load."""
    up = 2 * np.pi * np.arange(1, rounds + 1)
    fabric = RingFabric.from_counts(
        np.concatenate([up, up[-2::-1]]), stitch_width=A / rounds, row_height=A / rounds, closing_rows=1.0
    )
    return ring_form(fabric, pressure=load / A)


def test_constants() -> None:
    """Radius, thickness and volume are the published ones, and agree with elliptic integrals."""
    k = mpmath.ellipk(mpmath.mpf(1) / 2)
    assert_allclose(RADIUS, float(mpmath.sqrt(2) / k), rtol=1e-12)
    assert_allclose(RADIUS, 0.762759763501813, rtol=1e-12)
    assert_allclose(THICKNESS, 0.913893162088927, rtol=1e-12)
    assert_allclose(VOLUME, 1.218524216, rtol=1e-9)
    assert_allclose(VOLUME, float(mpmath.pi * mpmath.mpf(RADIUS) ** 2 * 2 / 3), rtol=1e-9)


def test_limit() -> None:
    """At p a / k = 1e-4 and 50 rounds a disc the radius is within 0.1 %, the thickness within 0.3 %."""
    form = balloon(50, 1e-4)
    assert_allclose(form.width / 2 / A, RADIUS, rtol=1e-3)
    assert_allclose(form.size / A, THICKNESS, rtol=3e-3)
    assert_allclose(form.volume / A**3, VOLUME, rtol=5e-3)  # a third of it is the thickness, two the radius


def test_profile() -> None:
    """The whole profile, not only its sizes, is the balloon's: within 0.3 % of a at every ring."""
    form = balloon(50, 1e-4)
    r = form.width / 2
    upper = form.height > form.size / 2
    expected = r * profile(np.minimum(form.radius[upper] / r, 1.0))
    assert_allclose(form.height[upper] - form.size / 2, expected, atol=3e-3 * A)


@pytest.mark.parametrize("what", ["radius", "thickness"])
def test_trend(what: str) -> None:
    """Fabric that stretches comes nearer to the balloon the less it is loaded, slower than in proportion."""
    loads = np.array([1e-1, 1e-2, 1e-3, 1e-4])
    forms = [balloon(50, load) for load in loads.tolist()]
    if what == "radius":
        error = np.array([form.width / 2 / A for form in forms]) / RADIUS - 1
    else:
        error = np.array([form.size / A for form in forms]) / THICKNESS - 1
    assert np.all(error > 0)
    assert np.all(np.diff(error) < 0)
    power = np.log(error[:-1] / error[1:]) / np.log(loads[:-1] / loads[1:])
    assert np.all((power > 0.3) & (power < 1.0))


def test_finer_rounds() -> None:
    """More rounds a disc come nearer to the radius."""
    errors = [abs(balloon(rounds, 1e-4).width / 2 / A / RADIUS - 1) for rounds in (10, 20, 50)]
    assert errors[0] > errors[1] > errors[2]


def test_curvatures() -> None:
    """The meridian of the form curves twice as much as its parallels, away from its middle and its rim."""
    form = balloon(200, 1e-3)
    points = form.points[:201]
    chord = np.diff(points, axis=0)
    angle = np.arctan2(chord[:, 1], chord[:, 0])
    step = (np.hypot(*chord[1:].T) + np.hypot(*chord[:-1].T)) / 2
    along = np.diff(angle) / step
    across = np.sin((angle[1:] + angle[:-1]) / 2) / points[1:-1, 0]
    inner = (points[1:-1, 0] > 0.3 * A) & (points[1:-1, 0] < 0.72 * A)
    assert_allclose(along[inner] / across[inner], 2.0, rtol=0.05)


def drawn() -> Outline:
    """Return the balloon's outline, finer toward its rim, where it turns fastest."""
    x = np.sin(np.linspace(0.0, np.pi / 2, 1000))
    z = profile(x)
    upper = np.column_stack([x, z[0] + z])[::-1]
    return Outline(np.vstack([np.column_stack([x, z[0] - z]), upper[1:]])).scaled(RADIUS * A)


def test_inverse() -> None:
    """Membrane statics finds no hoop tension in the balloon, and no more fabric than two flat discs have."""
    outline = drawn()
    curve = meridian(outline, stations=1000, window=A / 25)
    pull = tensions(curve, pressure=1e-4 / A)
    inner = (curve.radius > 0.1 * A) & (curve.radius < 0.74 * A)
    assert_allclose(pull.course[inner] / pull.wale[inner], 0.0, atol=0.02)
    rest = rest_fabric(outline, pressure=1e-6 / A, row_height=A / 50)
    assert_allclose(rest.length, 2 * A, rtol=1e-3)
    discs = 2 * np.pi * np.minimum(rest.arc, 2 * A - rest.arc)
    assert np.all(rest.girth <= discs + 2e-3 * A)
