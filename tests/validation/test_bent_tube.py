"""A tube whose rest lengths are those of a sector of a torus, hardly stuffed, is that sector.

On a torus of tube radius r and middle line radius R, at the angle t from the outside, a sector of angle A
is (R + r cos t) A long, and every circle round the tube 2 pi r (Pappus; any textbook of differential
geometry). A fabric with these rest lengths has no tension in that form, and pressure so small stretches it by
almost nothing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from solver.form.descent import Constraints, Supports
from solver.form.energy import StitchEnergy
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.form.stuffed import alike_all_round, stuffed_form
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.wanted.gauge import Gauge

WIDTH, AROUND = 5.0, 20


def torus_sector(*, middle_radius: float, angle: float, rounds: int) -> StitchFabric:
    """Return an open tube with the rest lengths of a sector of a torus, its inside at the first stitch."""
    piece = Piece(Start.OPEN, AROUND, (Round.plain(AROUND),) * rounds, Finish.OPEN)
    fabric = stitch_fabric(piece, stitch_width=WIDTH, row_height=middle_radius * angle / rounds)
    # the middle of the chords between the stitch tops is where the fabric is
    radius = WIDTH / 2 / np.sin(np.pi / AROUND)
    outward = -np.cos(2 * np.pi * fabric.leg_slots[:, 1] / AROUND)
    return replace(fabric, leg_height=(middle_radius + radius * outward) * angle / rounds)


def plane_of(ring: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the middle and the upward normal of a ring."""
    middle = ring.mean(axis=0)
    normal = np.linalg.svd(ring - middle)[2][2]
    return middle, normal * np.sign(normal @ np.array([1e-3, 1e-3, 1.0]))


@pytest.mark.parametrize(("middle_radius", "degrees"), [(40.0, 60.0), (60.0, 60.0), (60.0, 30.0), (35.0, 80)])
def test_tube_with_a_torus_rest_lengths_is_the_torus(middle_radius: float, degrees: float) -> None:
    """The angle between the end planes within 2 %, the radius of the middle line within 3 %."""
    angle = np.radians(degrees)
    fabric = torus_sector(middle_radius=middle_radius, angle=angle, rounds=round(middle_radius * angle / 5))
    form = stitch_form(fabric, pressure=0.02 / 16)
    (first, up), (last, out) = plane_of(form.rings[0]), plane_of(form.rings[-1])
    tilt = np.arccos(np.clip(up @ out, -1, 1))
    assert tilt == pytest.approx(angle, rel=0.02)
    # the middles of the rings lie on a circle, whose chord and angle tell its radius
    assert np.linalg.norm(last - first) / (2 * np.sin(tilt / 2)) == pytest.approx(middle_radius, rel=0.03)


KNEE = Round((Stitch.SLST,) * 4 + (Stitch.SC,) * 2 + (Stitch.HDC,) * 4 + (Stitch.SC,) * 2)
LIMB = Piece(Start.RING, 0, (Round.plain(6), Round((Stitch.INC,) * 6), *[Round.plain(12)] * 2, *[KNEE] * 3,
                             *[Round.plain(12)] * 2), Finish.OPEN)  # fmt: skip


def test_a_general_minimiser_finds_the_same_bent_limb() -> None:
    """Scipy's L-BFGS-B on the same energy, from a form shaken by half a millimetre: within 0.05 stitch."""
    fabric = stitch_fabric(LIMB, stitch_width=5.0, row_height=5.0)
    form = stitch_form(fabric, pressure=0.1 / 10, tolerance=1e-4)
    other = by_scipy(form, np.random.default_rng(16).normal(0.0, 0.5, form.points.shape))
    assert np.abs(other - form.points).max() < 0.05 * WIDTH


def by_scipy(form: StitchForm, noise: np.ndarray) -> np.ndarray:
    """Return where scipy's minimiser ends, moving what the supports leave free."""
    energy = StitchEnergy(form.fabric, form.pressure)
    held = Constraints(form.fabric, form.points.copy(), Supports())
    start = form.points + held.project(noise)

    def told(moves: np.ndarray) -> tuple[float, np.ndarray]:
        value, gradient = energy(start + held.project(moves.reshape(start.shape)))
        return value, held.project(gradient).ravel()

    exact = {"maxiter": 4000, "maxfun": 6000, "ftol": 1e-15, "gtol": 1e-7, "maxcor": 30}
    found = minimize(told, np.zeros(start.size), jac=True, method="L-BFGS-B", options=exact)
    return start + held.project(found.x.reshape(start.shape))


def test_whole_rounds_of_half_doubles_are_rings_as_tall_as_they_are() -> None:
    """A tube of hdc is solved as rings, and as tall as one of single crochet whose rows are as tall."""
    gauge = Gauge(stitch_width=5.0, row_height=4.0)
    tall = Piece(Start.OPEN, 18, (Round((Stitch.HDC,) * 18),) * 8, Finish.OPEN)
    plain = Piece(Start.OPEN, 18, (Round.plain(18),) * 8, Finish.OPEN)
    assert alike_all_round(tall)
    assert not alike_all_round(LIMB)
    one = stuffed_form(tall, gauge, pressure=0.005)
    other = stuffed_form(plain, replace(gauge, row_height=6.0), pressure=0.005)
    assert one.alike
    np.testing.assert_allclose(one.outline, other.outline, atol=1e-9)
