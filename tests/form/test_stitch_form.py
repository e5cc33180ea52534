"""The form of a stitch fabric in space: laws of mechanics, agreement with the ring model, what it is for."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from solver.errors import ConvergenceError, InputError
from solver.form.descent import Supports
from solver.form.energy import ASSUMED, FabricConstants, StitchEnergy
from solver.form.fabric import StitchFabric, stitch_fabric
from solver.form.rings import RingFabric, ring_form
from solver.form.stitches import StitchForm, loft, stitch_form
from solver.rounds import Finish, Piece, Round, Start, Stitch
from solver.rounds.along_chain import oval_piece
from solver.rounds.shaping import shaped_piece
from solver.wanted.outline import Outline

WIDTH = HEIGHT = 5.0
PRESSURE_OF = {"medium": 0.02, "firm": 0.05}
"""Stretch that the firmness words stand for."""

SAME_FORM = 0.05
"""Forms that differ less are the same to anyone with a tape measure. [mm]"""

PARTS = {
    "ball": ([6, 12, 18, 24, 30, 36, *[36] * 6, 30, 24, 18, 12, 6], Finish.CINCHED),
    "pear": (
        [
            *[7, 12, 17, 22, 27, 30, 34, 36, 39, 41, 42, 43, 45, 46, 44, 40, 34, 29, 26],
            *[24, 24, 27, 31, 33, 31, 28, 24, 21, 16, 11, 6],
        ],
        Finish.CINCHED,
    ),
    "tube": ([6, 12, 18, 24, 30, 36, *[36] * 16], Finish.OPEN),
    "cone": ([6, 9, 12, 15, 18, 21, 24, 27, 30, 33, 36, 36], Finish.OPEN),
}


def made(counts: list[int], finish: Finish = Finish.CINCHED, *, increases: str = "staggered") -> StitchFabric:
    """Return the fabric of these counts from a ring."""
    piece = shaped_piece(counts, start=Start.RING, finish=finish, increases=increases)
    return stitch_fabric(piece, stitch_width=WIDTH, row_height=HEIGHT)


def pressure(fabric: StitchFabric, stretch: float) -> float:
    """Return the pressure that a firmness stands for: 2 e / (R (1 + e))."""
    radius = max(fabric.piece.counts) * fabric.stitch_width / (2 * np.pi)
    return 2 * stretch / (radius * (1 + stretch))


def turned_onto(moved: np.ndarray, still: np.ndarray) -> np.ndarray:
    """Return the points moved rigidly onto others as well as they go (Kabsch's method)."""
    moved, centre = moved - moved.mean(axis=0), still.mean(axis=0)
    u, _, vt = np.linalg.svd(moved.T @ (still - centre))
    return moved @ u @ vt + centre


def distance(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    """Return the distance of each point from a polyline."""
    run = line[1:] - line[:-1]
    part = np.einsum("ijk,jk->ij", points[:, None] - line[:-1], run) / np.einsum("jk,jk->j", run, run)
    nearest = line[:-1] + np.clip(part, 0, 1)[..., None] * run
    return np.linalg.norm(points[:, None] - nearest, axis=2).min(axis=1)


def against_rings(name: str, stretch: float, *, ratio: float = 1.0) -> tuple[float, float]:
    """Return the rms distance of the models' outlines over the radius, and the ratio of the widest radii."""
    counts, finish = PARTS[name]
    fabric = made(counts, finish)
    p = pressure(fabric, stretch)
    form = stitch_form(fabric, pressure=p, wale_stiffness=ratio).outline
    perimeter = np.array([0, *counts, *[0] * (finish is Finish.CINCHED)]) * WIDTH
    spacing = fabric.row_heights[1:]
    of_rings = RingFabric(perimeter, spacing, stitch_width=WIDTH, wale_stiffness=ratio)
    rings = ring_form(of_rings, pressure=p).points
    along = np.append(0, np.cumsum(np.linalg.norm(np.diff(form, axis=0), axis=1)))
    even = np.linspace(0, along[-1], 300)
    dense = np.column_stack([np.interp(even, along, form[:, i]) for i in (0, 1)])
    if finish is Finish.CINCHED:  # nothing says how high a free part stands: as the best fit has it
        lifts = np.mean(rings[[0, -1], 1]) - np.mean(form[[0, -1], 1]) + np.linspace(-1.5, 1.5, 31)
    else:
        lifts = np.array([rings[-1, 1] - form[-1, 1]])
    rms = min(np.sqrt(np.mean(distance(dense + np.array([0, lift]), rings) ** 2)) for lift in lifts)
    radius = max(counts) * WIDTH / (2 * np.pi)
    return float(rms / radius), float(form[:, 0].max() / rings[:, 0].max())


def test_gradient_is_the_slope_of_the_energy() -> None:
    """The gradient agrees with central differences of the energy along random directions."""
    fabric = made(PARTS["ball"][0])
    energy = StitchEnergy(fabric, 0.004, wale_stiffness=1.7)
    rng = np.random.default_rng(7)
    points = loft(fabric, 0.004) + rng.normal(0, 0.5, (fabric.node_count, 3))
    _, gradient = energy(points)
    for _ in range(5):
        way = rng.normal(0, 1, points.shape)
        slope = (energy(points + 2e-5 * way)[0] - energy(points - 2e-5 * way)[0]) / 4e-5
        assert_allclose(np.vdot(gradient, way), slope, rtol=1e-6)


def test_moving_the_part_changes_nothing() -> None:
    """A rigid motion leaves the energy as it is, and the forces add up to no force and no torque."""
    fabric = made(PARTS["tube"][0], Finish.OPEN)
    energy = StitchEnergy(fabric, 0.004)
    rng = np.random.default_rng(8)
    points = loft(fabric, 0.004) + rng.normal(0, 0.5, (fabric.node_count, 3))
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turn *= np.linalg.det(turn)
    value, forces = energy(points)
    assert_allclose(energy(points @ turn + [3.0, -4.0, 5.0])[0], value, rtol=1e-11)
    assert_allclose(forces.sum(axis=0), 0, atol=1e-12)
    assert_allclose(np.cross(points, forces).sum(axis=0), 0, atol=1e-9)


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("firmness", PRESSURE_OF)
def test_agrees_with_the_ring_model(name: str, firmness: str) -> None:
    """Rounds with staggered increases have the ring model's outline within 1 % of the radius (rms)."""
    rms, widest = against_rings(name, PRESSURE_OF[firmness])
    assert rms < 0.01
    assert abs(widest - 1) < 0.014


@pytest.mark.parametrize("name", ["ball", "pear"])
@pytest.mark.parametrize("ratio", [0.6, 1.6])
def test_agrees_with_the_ring_model_at_measured_stiffness(name: str, ratio: float) -> None:
    """The same holds for fabric that is softer, or stiffer, along the part than round it."""
    rms, widest = against_rings(name, PRESSURE_OF["firm"], ratio=ratio)
    assert rms < 0.01
    assert abs(widest - 1) < 0.014


@pytest.mark.parametrize("firmness", PRESSURE_OF)
def test_form_does_not_depend_on_the_guess(firmness: str) -> None:
    """A start that is 1 mm off at every node leads to the same form, and the pins carry nothing."""
    fabric = made(PARTS["pear"][0])
    p = pressure(fabric, PRESSURE_OF[firmness])
    form = stitch_form(fabric, pressure=p)
    noise = np.random.default_rng(9).normal(0, 1, (fabric.node_count, 3))
    other = stitch_form(fabric, pressure=p, guess=loft(fabric, p) + noise)
    assert np.abs(turned_onto(other.points, form.points) - form.points).max() < SAME_FORM
    assert form.pin_reaction < 0.02
    assert other.pin_reaction < 0.02


def roundness(form: StitchForm, ring: int) -> float:
    """Return the swing of the radius of a ring, peak to peak over the mean."""
    section = form.rings[ring][:, :2]
    radius = np.linalg.norm(section - section.mean(axis=0), axis=1)
    return float(np.ptp(radius) / radius.mean())


@pytest.mark.parametrize("firmness", PRESSURE_OF)
def test_increases_in_line_make_a_hexagon(firmness: str) -> None:
    """A pillow of six more a round shows its hexagon at the seam when stacked, and not when staggered."""
    counts = [*range(6, 73, 6), *range(66, 0, -6)]
    swing = {}
    for increases in ("stacked", "staggered"):
        fabric = made(counts, increases=increases)
        form = stitch_form(fabric, pressure=pressure(fabric, PRESSURE_OF[firmness]))
        swing[increases] = roundness(form, 12)
    assert swing["stacked"] > 0.10
    # every other round half a repeat in leaves twelve small corners: a prototype of the energy has 5.6 %
    # (set off by thirds, which no bracket writes, 2.0 %); ours has 4.0 to 4.9 %
    assert swing["staggered"] < 0.05


def test_held_edge_stays_where_it_is_held() -> None:
    """An open edge sewn to an oval keeps that oval; the fabric above it rounds off."""
    counts, finish = PARTS["tube"]
    fabric = made(counts, finish)
    angle = 2 * np.pi * np.arange(counts[-1]) / counts[-1]
    oval = np.column_stack([34 * np.cos(angle), -24 * np.sin(angle)])
    form = stitch_form(fabric, pressure=pressure(fabric, 0.05), supports=Supports(finish=oval))
    assert_allclose(form.rings[-1][:, :2], oval)
    assert_allclose(form.rings[-1][:, 2], form.rings[-1][0, 2])
    far = form.rings[8]
    assert np.ptp(far[:, 0]) / np.ptp(far[:, 1]) < 1.1


def test_both_edges_open_stay_flat_and_parallel() -> None:
    """A tube open at both ends keeps its two free edges in parallel planes."""
    piece = Piece(Start.OPEN, 24, (Round.plain(24),) * 10, Finish.OPEN)
    fabric = stitch_fabric(piece, stitch_width=WIDTH, row_height=HEIGHT)
    form = stitch_form(fabric, pressure=pressure(fabric, 0.05))
    for edge in (0, -1):
        assert_allclose(np.ptp(form.rings[edge][:, 2]), 0, atol=1e-12)
    assert form.height > 45


def test_folded_seam_is_flat() -> None:
    """A ball whose last edge is folded flat and sewn ends in a straight seam as long as half the edge."""
    piece = shaped_piece([6, 12, 18, 24, 24, 24, 24], start=Start.RING, finish=Finish.SEAMED)
    fabric = stitch_fabric(piece, stitch_width=WIDTH, row_height=HEIGHT)
    form = stitch_form(fabric, pressure=pressure(fabric, 0.05))
    seam = form.points[fabric.ring_of_node == len(fabric.rings) - 1]
    assert len(seam) == 12
    length = np.linalg.norm(np.diff(seam, axis=0), axis=1).sum()
    assert_allclose(length, 11 * WIDTH, rtol=0.05)  # a sewn edge hardly stretches, its corners bend in


def test_too_firm_is_refused_and_a_hopeless_form_is_an_error() -> None:
    """Linear fabric bursts: too firm a stuffing is refused, and no form is made up for a hopeless start."""
    fabric = made(PARTS["ball"][0])
    with pytest.raises(InputError, match="Stuff less firmly"):
        stitch_form(fabric, pressure=0.02)
    with pytest.raises(InputError, match="above zero"):
        stitch_form(fabric, pressure=0.0)
    with pytest.raises(ConvergenceError, match=r"ring model's form, firmer stuffing walked down"):
        stitch_form(fabric, pressure=0.004, tolerance=1e-18)


def test_outline_can_be_compared() -> None:
    """The outline of a form is an outline: radius zero at its drawn-in ends, heights rising."""
    fabric = made(PARTS["ball"][0])
    form = stitch_form(fabric, pressure=pressure(fabric, 0.05))
    outline = Outline(form.outline)
    assert_allclose(outline.volume, form.volume, rtol=0.02)  # cones between rings against quads and polygons
    assert form.fabric.piece.counts[0] == 6
    assert Stitch.INC in form.fabric.piece.rounds[1].stitches


def oval_start(row_height: float, constants: FabricConstants = ASSUMED) -> StitchForm:
    """Return the form of 20, 28, 36, 44 and eight rounds of 44 on a chain of 9, rim on a plane, P = 0.10."""
    piece = oval_piece(9, [4, 8, 12, *[16] * 9], finish=Finish.OPEN)
    fabric = stitch_fabric(piece, stitch_width=WIDTH, row_height=row_height)
    return stitch_form(fabric, pressure=0.10 / (44 * WIDTH / (2 * np.pi)), constants=constants)


def length_over_width(form: StitchForm) -> list[float]:
    """Return length over width of each round."""
    return [float(np.ptp(ring[:, 0]) / np.ptp(ring[:, 1])) for ring in form.rings[1:]]


def test_oval_is_forgotten_on_the_way_up() -> None:
    """The sections of an oval start round off, from the flat layout to nearly a circle.

    Flat, round 4 is 7 stitches and 8 rows long and 8 rows wide.
    """
    form = oval_start(0.955 * WIDTH)
    ratio = length_over_width(form)
    flat = (7 + 8 * 0.955) / (8 * 0.955)
    assert_allclose(ratio[3], flat, rtol=0.05)  # the wales of the base stretch alike, lengthwise and across
    assert 1.28 <= ratio[7] <= 1.38
    assert 1.1 < ratio[11] < 1.25
    assert (np.diff(ratio) < 0).all()
    assert form.pin_reaction < 0.02
