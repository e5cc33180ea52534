"""The small-parts check against a search over orientations in the true cylinder.

Sizes: 16 CFR 1501.4 (inside diameter 31.7 mm, depth sloping from 25.4 to 57.1 mm) and 16 CFR 1117.2 (a small
ball passes through a hole of 44.45 mm). The upright capsule's limit follows from the same sizes by geometry.
"""

import numpy as np
import pytest
import trimesh
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

from solver.advice.smallparts import (
    CYLINDER_DEPTHS,
    CYLINDER_WIDTH,
    MARGIN,
    SMALL_BALL,
    all_directions,
    cloud_support,
    fits_cylinder,
    passes_hole,
    revolved_support,
    tilts,
)

CASES = 500  # `python -m tests.bench.small_parts` runs 2,000 about the limits
ORIENTATIONS = 300
SEARCH_SLACK = 0.15
"""A search by trial ends a little short of the best orientation. [mm]"""


def out_of_cylinder(points: np.ndarray, shift: np.ndarray) -> np.ndarray:
    """How far the walls of the true cylinder must move out to hold points (k, n, 3) moved by (k, 2). [mm]"""
    x, y = points[..., 0] + shift[:, :1], points[..., 1] + shift[:, 1:]
    side = np.hypot(x, y).max(1) - 31.7 / 2
    z = points[..., 2]
    # top and sloping bottom move out alike when the solid is let down to between them
    end = (z.max(1) - (z + x).min(1) - (25.4 + 57.1) / 2) / (1 + np.sqrt(2))
    return np.maximum(side, end)


def searched(
    points: np.ndarray, rng: np.random.Generator, *, starts: int, steps: int = 250, enough: float = -1.0
) -> float:
    """Least distance that the walls must move out, over random orientations; the best ones refined."""
    turns = Rotation.random(ORIENTATIONS, random_state=rng)
    turned = np.einsum("kij,nj->kni", turns.as_matrix(), points)
    middle = -(turned[..., :2].max(1) + turned[..., :2].min(1)) / 2
    out = out_of_cylinder(turned, middle)
    best = float(out.min())
    if not -1.0 < best < MARGIN + 8.0:
        starts = 0

    def of(v: np.ndarray) -> float:
        turned = points @ Rotation.from_rotvec(v[:3]).as_matrix().T
        return float(out_of_cylinder(turned[None], v[None, 3:])[0])

    for k in np.argsort(out)[:starts]:
        if best <= enough:
            break
        start = np.concatenate([turns[k].as_rotvec(), middle[k]])
        simplex = np.vstack([start, start + np.diag([0.15, 0.15, 0.15, 2.0, 2.0])])
        options = {"initial_simplex": simplex, "maxfev": steps, "xatol": 1e-3, "fatol": 1e-2}
        best = min(best, float(minimize(of, start, method="Nelder-Mead", options=options).fun))
    return best


def test_check_against_search_over_orientations() -> None:
    """Of random convex solids none that fits is missed, and false alarms lie within the margin."""
    rng = np.random.default_rng(1501)
    directions = all_directions()
    fitting = alarms = 0
    for case in range(CASES):
        scale = rng.uniform(8, 26) * rng.uniform(0.5, 1.8, 3)
        cloud = rng.normal(size=(14, 3))
        mesh = trimesh.convex.convex_hull(cloud / np.linalg.norm(cloud, axis=1)[:, None] * scale)
        points = np.asarray(mesh.vertices)
        told = fits_cylinder(cloud_support(points), directions)
        found = searched(points, rng, starts=1 if case % 20 == 0 else 0)
        fitting += found <= 0
        alarms += told
        assert told or found > 0, f"case {case} fits the cylinder and is not told"
        if told and found > MARGIN:
            deep = searched(points, rng, starts=40, steps=600, enough=MARGIN + SEARCH_SLACK)
            assert deep <= MARGIN + SEARCH_SLACK, f"case {case} is a false alarm"
    assert fitting > CASES / 10
    assert CASES - alarms > CASES / 10


def test_solids_cut_to_the_cylinder_are_told() -> None:
    """Convex solids whose corners lie on the walls of the true cylinder fit it: it is found."""
    rng = np.random.default_rng(57)
    directions = all_directions()
    for _ in range(150):
        turn = rng.uniform(0, 2 * np.pi, 60)
        x, y = 31.7 / 2 * np.cos(turn), 31.7 / 2 * np.sin(turn)
        depth = np.where(rng.random(60) < 0.5, 0.0, (25.4 + 57.1) / 2 + x)
        points = Rotation.random(random_state=rng).apply(np.column_stack([x, y, -depth]))
        assert fits_cylinder(cloud_support(points), directions)


@pytest.mark.parametrize(("moved", "fits"), [(MARGIN - 0.01, True), (MARGIN + 0.05, False)])
def test_the_cylinder_itself_with_its_walls_moved_out(moved: float, fits: bool) -> None:
    """The inside of the cylinder, all its walls further out, fits up to the margin: side, top and slope."""
    turn = np.arange(48) * 2 * np.pi / 48
    x, y = (31.7 / 2 + moved) * np.cos(turn), (31.7 / 2 + moved) * np.sin(turn)
    low = -(25.4 + 57.1) / 2 - x - np.sqrt(2) * moved
    points = np.vstack([np.column_stack([x, y, 0 * x + moved]), np.column_stack([x, y, low])])
    for shift in (np.zeros(3), np.array([120.0, -60.0, 35.0])):  # wherever it lies
        assert fits_cylinder(cloud_support(points + shift), np.array([[0.0, 0.0, 1.0]])) is fits


@pytest.mark.parametrize("margin", [0.0, MARGIN])
def test_ball_at_the_cylinders_width(margin: float) -> None:
    """A ball fits up to the cylinder's inside diameter and not beyond, with the margin on both sides."""
    limit = 31.7 + 2 * margin

    def ball(width: float) -> bool:
        return fits_cylinder(
            revolved_support(np.zeros(1), np.zeros(1), thickness=width), tilts(), margin=margin
        )

    assert CYLINDER_WIDTH == 31.7
    assert CYLINDER_DEPTHS == (25.4, 57.1)
    assert ball(limit - 0.05)
    assert not ball(limit + 0.05)


@pytest.mark.parametrize("margin", [0.0, MARGIN])
def test_small_ball_gauge(margin: float) -> None:
    """A ball passes the hole up to its diameter and not beyond, with the margin on both sides."""
    assert SMALL_BALL == 44.45
    assert passes_hole(44.45 + 2 * margin - 0.01, margin=margin)
    assert not passes_hole(44.45 + 2 * margin + 0.01, margin=margin)


@pytest.mark.parametrize("width", [10.0, 20.0, 28.0])
def test_capsule_upright_and_tilted(width: float) -> None:
    """A capsule fits upright up to 57.1 mm - d / sqrt 2, and never beyond the diagonal."""
    upright = 57.1 - width / np.sqrt(2)

    def fits(length: float) -> bool:
        support = revolved_support(np.zeros(2), np.array([0.0, length - width]), thickness=width)
        return fits_cylinder(support, tilts(), margin=0.0)

    assert fits(upright - 0.01)
    assert not fits(float(np.hypot(31.7, 57.1)))


def test_revolved_and_cloud_agree() -> None:
    """A cone told by its rings and the same cone told by points around them have the same verdict."""
    turn = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    directions = all_directions()
    for radius in (12.0, 17.0, 22.0, 26.0):
        for height in (20.0, 45.0, 70.0):
            ring = np.column_stack([radius * np.cos(turn), radius * np.sin(turn), 0 * turn])
            cloud = np.vstack([ring, [0.0, 0.0, height]])
            revolved = revolved_support(np.array([radius, 0.0]), np.array([0.0, height]))
            assert fits_cylinder(revolved, tilts()) == fits_cylinder(cloud_support(cloud), directions)
