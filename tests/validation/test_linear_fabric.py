"""Fabric whose tension grows in proportion to its stretch: closed forms for a sphere and a closed cylinder.

Derived, and recomputed here, from balance (thin shells: Timoshenko and Woinowsky-Krieger, ch. 14; memory) and
from the fabric's law, tension per unit current width N_w = k_w (l_w - 1) / l_c, N_c = k_c (l_c - 1) / l_w:

    sphere of rest radius R, q = p R / (2 k):  l = (1 - sqrt(1 - 4 q)) / (2 q), nothing above q = 1/4     (1)
    closed cylinder:  k_c (l_c - 1) = p R l_c l_w,  k_w (l_w - 1) = p R l_c^2 / 2                         (2)
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.optimize import root

from solver.errors import ConvergenceError
from solver.form.rings import Form, RingFabric, ring_form
from solver.search.membrane import rest_fabric
from solver.wanted.gauge import Stuffing
from tests.outlines import ball

R = 40.0
"""Rest radius. [mm]"""

CYLINDER_STRAIN = 1e-5
"""Ends are felt over a few stitches only; half of 120 rounds away nothing is left but rounding."""


def stretched(q: float) -> float:
    """Return the stretch ratio of the sphere by (1)."""
    return float((1 - np.sqrt(1 - 4 * q)) / (2 * q))


def sphere(rounds: int, q: float) -> Form:
    """Return the form of a sphere's rest fabric, its counts not rounded, in this many rounds."""
    h = np.pi * R / rounds
    counts = 2 * np.pi * R * np.sin(np.arange(1, rounds) * h / R) / 5.0
    fabric = RingFabric.from_counts(counts, stitch_width=5.0, row_height=h, closing_rows=1.0)
    return ring_form(fabric, pressure=2 * q / R)


def mean_radius(form: Form) -> float:
    """Return the mean distance of the rings from the middle. [mm]"""
    return float(np.mean(np.hypot(form.radius, form.height - form.size / 2)))


def test_published_number() -> None:
    """At q = 0.05 the sphere stretches to 1.05572809, and (1) balances."""
    l = stretched(0.05)
    assert_allclose(l, 1.05572809, rtol=1e-8)
    assert_allclose((l - 1) / l, 0.05 * l, rtol=1e-12)  # N = k (l - 1) / l = p R l / 2


@pytest.mark.parametrize("q", [0.01, 0.02, 0.05, 0.08, 0.15])
def test_sphere_second_order(q: float) -> None:
    """The sphere's radius nears (1) with the square of the number of rounds."""
    rounds = np.array([10, 20, 40, 80])
    error = np.array([mean_radius(sphere(n, q)) / R for n in rounds.tolist()]) - stretched(q)
    assert_allclose(error[2], 0.0, atol=5e-4)
    rate = -np.polyfit(np.log(rounds), np.log(np.abs(error)), 1)[0]
    assert 1.9 < rate < 2.2


@pytest.mark.parametrize("q", [0.005, 0.05, 0.15])
def test_rest_of_a_sphere(q: float) -> None:
    """Membrane statics gives a stuffed sphere the rest fabric of a sphere smaller by (1), all over."""
    l = stretched(q)
    rest = rest_fabric(ball(2 * R * l), pressure=2 * q / R, row_height=2.0)
    assert_allclose(rest.length, np.pi * R, rtol=1e-4)
    inner = slice(5, -5)  # the drawing's chords show where the radius is next to nothing
    assert_allclose(rest.girth[inner], 2 * np.pi * R * np.sin(rest.arc[inner] / R), rtol=2e-3)


def test_firmness_is_the_stretch_of_a_sphere() -> None:
    """The pressure of a firmness stretches a ball of the wanted radius by that firmness."""
    for stretch in (0.01, 0.02, 0.05, 0.08):
        pressure = Stuffing(stretch=stretch, origin="test").pressure(R * (1 + stretch))
        assert_allclose(stretched(pressure * R / 2), 1 + stretch, rtol=1e-9)


@pytest.mark.parametrize("load", [0.01, 0.05, 0.10, 0.20])
@pytest.mark.parametrize(("k_c", "k_w"), [(1.0, 1.0), (0.8, 1.5)])
def test_cylinder(load: float, k_c: float, k_w: float) -> None:
    """Half way along a closed cylinder both strains are those of (2) to 1e-5."""
    count, h = 36, 4.6
    radius = count * 5.0 / (2 * np.pi)
    rise = np.array([0.0, 6, 12, 18, 24, 30])
    perimeter = np.concatenate([rise, np.full(120, count), rise[::-1]]) * 5.0
    fabric = RingFabric(
        perimeter,
        np.full(len(perimeter) - 1, h),
        stitch_width=5.0,
        course_stiffness=k_c,
        wale_stiffness=k_w,
    )
    form = ring_form(fabric, pressure=load / radius)

    def balance(l: tuple[float, float]) -> list[float]:
        return [k_c * (l[0] - 1) - load * l[0] * l[1], k_w * (l[1] - 1) - load * l[0] ** 2 / 2]

    exact = root(balance, (1 + load, 1 + load / 2), tol=1e-14).x - 1
    middle = len(perimeter) // 2
    got = [form.course_stretch[middle], form.wale_stretch[middle]]
    assert_allclose(got, exact, atol=CYLINDER_STRAIN)


def test_nothing_above_a_quarter() -> None:
    """Just below q = 1/4 a sphere has a form; above it there is none, and an error says so."""
    assert mean_radius(sphere(40, 0.235)) / R == pytest.approx(stretched(0.235), rel=0.02)
    with pytest.raises(ConvergenceError, match="no balance"):
        sphere(40, 0.28)
