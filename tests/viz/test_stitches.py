"""Where stitches lie on a form, and how the camera sees them: against solids that textbooks measure."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from conftest import Part, shaped, worked
from numpy.testing import assert_allclose

from solver.form.fabric import lofted, stitch_fabric
from solver.rounds import Finish, Piece, Round, Start, Stitch
from viz.camera import Camera
from viz.stitches import Patches, on_patches, patches_of

EXACT = 1e-9
# A ball of 22 rounds: the surface between its stitches is smooth, not round to the last digit.
SMOOTH = 0.01
LEFT, RIGHT = np.array([[0.0, 0.0], [0, 0.5], [0, 1]]), np.array([[1.0, 0.0], [1, 0.5], [1, 1]])


def area(patches: Patches) -> float:
    """Return the area of all patches, each cut into 8 by 8 pieces."""
    steps = np.linspace(0, 1, 9)
    grid = on_patches(patches.corners, np.array([(u, v) for v in steps for u in steps])).reshape(-1, 9, 9, 3)
    a, b, c, d = grid[:, :-1, :-1], grid[:, :-1, 1:], grid[:, 1:, 1:], grid[:, 1:, :-1]
    return float(np.linalg.norm(np.cross(c - a, d - b), axis=-1).sum() / 2)


def test_every_stitch_of_the_rounds_has_one_patch(ball: Callable[..., Part]) -> None:
    """As many patches as stitches in each round, and one gather for each stitch of the last."""
    fabric, positions = ball(70, 21)
    patches = patches_of(fabric, positions)
    stitches = patches.round_number[~patches.gathered]
    assert tuple(np.bincount(stitches)[1:]) == fabric.piece.counts
    assert patches.gathered.sum() == fabric.piece.counts[-1]
    assert len(set(patches.node[~patches.gathered])) == sum(fabric.piece.counts)


def test_patches_cover_a_ball(ball: Callable[..., Part]) -> None:
    """Their area is 4 pi R^2, ends included."""
    patches = patches_of(*ball(70, 21))
    assert_allclose(area(patches), 4 * np.pi * 35**2, rtol=SMOOTH)


def test_patches_cover_a_tube(tube: Callable[..., Part]) -> None:
    """Their area is 2 pi R H."""
    assert_allclose(area(patches_of(*tube(30, 100, 20, 24))), 2 * np.pi * 15 * 100, rtol=SMOOTH)


def test_a_ball_of_few_stitches_is_round(ball: Callable[..., Part]) -> None:
    """Patches of 34 stitches lie within 4 % of the sphere, though their cells' middles are 8 % inside it."""
    fabric, positions = ball(20, 4)
    places = np.array([(u, v) for u in (0.0, 0.25, 0.5, 0.75) for v in (0.25, 0.5, 0.75)])
    points = on_patches(patches_of(fabric, positions).corners, places)
    distance = np.linalg.norm(points - [0, 0, 10], axis=-1)
    cells = positions[fabric.quads].mean(axis=1)
    assert np.linalg.norm(cells - [0, 0, 10], axis=-1).min() < 9.2
    assert_allclose(distance, 10.0, rtol=0.04)


def test_patches_face_outward(ball: Callable[..., Part]) -> None:
    """Their normals point away from the middle of a ball."""
    patches = patches_of(*ball(70, 21))
    outward = patches.corners[:, :6].mean(axis=1) - [0, 0, 35]
    assert (np.sum(outward * patches.outward, axis=1) > 0.95 * np.linalg.norm(outward, axis=1)).all()


@pytest.mark.parametrize("counts", [[6, 12, 18, 18, 12, 6], [8, 13, 13, 20, 17, 9]])
def test_neighbours_share_their_edge(counts: list[int]) -> None:
    """The left edge of each patch is the right edge of the next in the round, increases and decreases too."""
    radius = np.array([0, 5, 10, 14, 14, 10, 5, 0.0])
    fabric, positions = worked(
        counts, start=Start.RING, finish=Finish.CINCHED, radius=radius, height=np.arange(8) * 5.0
    )
    patches = patches_of(fabric, positions)
    begin = 0
    for size in [*counts, counts[-1]]:
        each = patches.corners[begin : begin + size]
        assert_allclose(on_patches(each, LEFT), np.roll(on_patches(each, RIGHT), -1, axis=0), atol=EXACT)
        begin += size


def test_an_increase_stands_in_one_place_and_a_decrease_in_two() -> None:
    """Two stitches of an increase begin at one stitch below; a decrease is as wide below as two stitches."""
    rounds = (Round((Stitch.INC, *[Stitch.SC] * 23)), Round((Stitch.DEC, *[Stitch.SC] * 23)))
    piece = Piece(Start.OPEN, 24, rounds, Finish.OPEN)
    fabric = stitch_fabric(piece, stitch_width=5.0, row_height=5.0)
    positions = lofted(fabric, radius=[20.0] * 3, height=[0.0, 5, 10])
    patches = patches_of(fabric, positions)
    wide = np.linalg.norm(patches.corners[:, 0] - patches.corners[:, 2], axis=1)
    usual = 2 * 20 * np.sin(np.pi / 24)
    assert_allclose(wide[[0, 1, 2]] / usual, [0.5, 0.5, 1.0], rtol=SMOOTH)
    to_middle = np.linalg.norm(patches.corners[:, 0] - patches.corners[:, 1], axis=1)
    assert_allclose(to_middle[[0, 1, 2]] / usual, [0.25, 0.25, 0.5], rtol=SMOOTH)
    assert_allclose(wide[25] / usual, 2 * 24 / 25, rtol=2 * SMOOTH)


@pytest.mark.parametrize("spiral", [False, True])
@pytest.mark.parametrize("finish", [Finish.OPEN, Finish.SEAMED])
def test_ovals_and_spirals_have_one_patch_for_each_stitch(finish: Finish, *, spiral: bool) -> None:
    """A piece on a chain, its rounds joined or running on, open or folded flat at the end."""
    piece = Piece(Start.CHAIN, 9, (Round.plain(20), shaped(20, 26), Round.plain(26)), finish)
    fabric = stitch_fabric(piece, stitch_width=5.0, row_height=5.0, spiral=spiral)
    positions = lofted(fabric, radius=[0.0, 5, 10, 8], height=[0.0, 2, 6, 11])
    patches = patches_of(fabric, positions)
    assert tuple(np.bincount(patches.round_number)[1:]) == piece.counts
    assert np.isfinite(patches.corners).all()


@pytest.mark.parametrize(("tilt", "turn"), [(25, -90), (-40, 10), (90, 0), (0, 123)])
def test_the_camera_keeps_lengths(tilt: float, turn: float) -> None:
    """Right, up and toward the eye are at right angles, of length one, and right-handed."""
    frame = Camera(tilt=tilt, turn=turn).frame
    assert_allclose(frame @ frame.T, np.eye(3), atol=EXACT)
    assert_allclose(np.linalg.det(frame), 1.0)


@pytest.mark.parametrize("tilt", [0.0, 25.0, -60.0])
def test_a_ball_looks_as_wide_and_high_as_it_is_from_anywhere(ball: Callable[..., Part], tilt: float) -> None:
    """A sphere's parallel projection is a circle of its own diameter."""
    seen = Camera(tilt=tilt).seen(
        on_patches(patches_of(*ball(70, 21)).corners, np.array([[0.5, 0.5], [0, 1]]))
    )
    assert_allclose(np.ptp(seen[..., :2], axis=(0, 1)), [70, 70], rtol=SMOOTH)


@pytest.mark.parametrize("tilt", [0.0, 25.0, 60.0])
def test_a_tube_looks_as_high_as_its_wall_and_rims(tube: Callable[..., Part], tilt: float) -> None:
    """Seen from `tilt` above, H cos(tilt) + 2 R sin(tilt) of descriptive geometry."""
    _, positions = tube(30, 100, 20, 48)
    seen = Camera(tilt=tilt).seen(positions)
    angle = np.radians(tilt)
    assert_allclose(np.ptp(seen[:, 1]), 100 * np.cos(angle) + 30 * np.sin(angle), rtol=SMOOTH)
    assert_allclose(np.ptp(seen[:, 0]), 30, rtol=SMOOTH)


def test_the_usual_camera_stands_in_front_and_sees_the_top() -> None:
    """Up in the picture is up, and the upper pole of a ball faces the eye."""
    right, up, near = Camera().seen(np.array([0.0, 0, 1]))
    assert right == pytest.approx(0)
    assert up > 0.8
    assert near > 0
