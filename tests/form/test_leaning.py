"""Forms of spirals that lean, against what geometry says of them."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.arrays import Floats
from solver.form.energy import StitchEnergy
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.stitches import StitchForm, stitch_form
from solver.partfile import read
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.solving.solved import solve

AROUND, ROUNDS = 30, 16


def tube(lean: float) -> tuple[StitchFabric, StitchForm]:
    """Return a tube of plain rounds, solved in space."""
    rounds = (Round((Stitch.SC,) * AROUND),) * ROUNDS
    piece = Piece(start=Start.OPEN, foundation=AROUND, rounds=rounds, finish=Finish.OPEN)
    fabric = stitch_fabric(piece, stitch_width=5.0, row_height=4.5, lean=lean)
    return fabric, stitch_form(fabric, pressure=0.003)


def turned(form: StitchForm) -> Floats:
    """Return by how many stitches each round has turned against the one below."""
    angle = [np.arctan2(ring[:, 1], ring[:, 0]) for ring in form.rings[1:]]
    step = [-np.angle(np.exp(1j * (b - a)).mean()) for a, b in pairwise(angle)]
    return np.array(step) * AROUND / (2 * np.pi)


@pytest.mark.parametrize("lean", [-0.4, 0.25])
def test_a_tube_is_the_same_tube_and_its_stitches_stand_on_a_helix(lean: float) -> None:
    """Fabric alike all round is a cylinder however its stitches lean; rounds turn by so many stitches."""
    _, plain = tube(0.0)
    _, leaning = tube(lean)
    assert_allclose(leaning.outline, plain.outline, atol=0.15)  # 0.03 of a stitch, at the rims
    assert_allclose(leaning.volume, plain.volume, rtol=3e-3)
    assert_allclose(turned(leaning)[1:-1], lean, atol=0.02)


def test_the_gradient_of_a_leaning_fabric() -> None:
    """It is the slope of the energy along any direction (central differences)."""
    fabric, form = tube(0.3)
    energy, random = StitchEnergy(fabric, 0.003), np.random.default_rng(5)
    at = form.points + random.normal(0, 0.3, form.points.shape)
    way, step = random.normal(0, 1, at.shape), 1e-5
    slope = (energy(at + step * way)[0] - energy(at - step * way)[0]) / (2 * step)
    assert_allclose((energy(at)[1] * way).sum(), slope, rtol=1e-7)


OVAL = """[gauge]
stitches = 20
rows = 20
over = "10 cm"
lean = {lean}
[shape]
kind = "oval"
length = "80 mm"
width = "50 mm"
height = "56 mm"
"""


def test_an_oval_turns_with_its_spiral() -> None:
    """Its ends go with the stitches, twisted one way or the other."""

    def twist(lean: float) -> float:
        solved = solve(read(OVAL.format(lean=lean), file="t", title="Pod"))
        assert any("twists it" in note for note in solved.notes)
        form = solved.form
        angles = []
        for ring in (form.rings[3], form.rings[-4]):
            x, y = (ring - ring.mean(axis=0))[:, :2].T
            angles.append(np.arctan2(2 * (x * y).mean(), (x**2 - y**2).mean()) / 2)
        return float(np.degrees(angles[1] - angles[0] + np.pi / 2) % 180 - 90)

    ahead, behind = twist(0.2), twist(-0.2)
    assert ahead < -10  # clockwise from above, as rounds run
    assert_allclose(behind, -ahead, rtol=0.25)


def test_a_bend_stays_where_it_is_drawn() -> None:
    """Its rounds are worked a stitch earlier or later as the lean moves them: it bends as drawn."""
    bent = (
        OVAL.split("[shape]", maxsplit=1)[0]
        + """[shape]
kind = "bent"
points = [[0, 0], [11, 4], [16, 16], [16, 110]]
bends = [{{ at = "55 mm", angle = "60 deg", over = "30 mm" }}]
"""
    )
    solved = solve(read(bent.format(lean=-0.4), file="t", title="Limb"))
    assert solved.lie.end_tilt == pytest.approx(60, abs=5)
    assert (solved.lie.off_middle or 9) < 0.5 * solved.part.gauge.stitch_width
