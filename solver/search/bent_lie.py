"""How a form that bends lies on the surface that is wanted."""

from __future__ import annotations

import numpy as np

from solver.arrays import Floats
from solver.form.bent_views import level_middles
from solver.form.fabric import StitchFabric
from solver.wanted.swept import Swept


def off_middle(fabric: StitchFabric, points: Floats, wanted: Swept) -> Floats:
    """Return how far the middles of the rounds lie off the wanted line.

    Of level circles, the middles of level cuts tell it.
    """
    if wanted.is_level:
        return wanted.off_spine(level_middles(fabric, points))
    rings = fabric.rings[1 : len(fabric.piece.rounds) + 1]
    return wanted.off_spine(np.array([points[ring].mean(axis=0)[[0, 2]] for ring in rings]))


def laid_on(fabric: StitchFabric, points: Floats, wanted: Swept) -> Floats:
    """Return nodes turned and moved to where they lie nearest to the wanted surface, (n, 3). [mm]"""
    from scipy.spatial.transform import Rotation

    rings = fabric.rings[: len(fabric.piece.rounds) + 1]
    share = np.linspace(0, 1, len(rings))
    at = wanted.along[0] + share * (wanted.along[-1] - wanted.along[0])
    order = np.linspace(0, 1e-6, len(wanted.along))
    x, z = (np.interp(at, wanted.along + order, values) for values in wanted.spine.T)
    target = np.column_stack([x, np.zeros(len(x)), z])
    middles = np.array([points[ring].mean(axis=0) for ring in rings])
    # a bend tells which way is forward; the middles of a straight part tell nothing, and it stays as it is
    first = _nearest_turn(points, middles, target)
    every = max(len(first) // MEASURED, 1)
    best, least = first, np.inf
    for _ in range(STEPS):
        some, middle = first[::every], first.mean(axis=0)
        off, normal = wanted.off_planes(some)
        if off @ off < least:
            best, least = first, float(off @ off)
        moves = np.column_stack([np.cross(some - middle, normal) / LONG, normal])
        # a ridge: what the surface leaves free stays where it is
        square = moves.T @ moves + RIDGE * len(some) * np.eye(6)
        by = -np.linalg.solve(square, moves.T @ off)
        by *= min(1.0, FURTHEST / float(np.abs(by).max() + 1e-12))
        turn = Rotation.from_rotvec(by[:3] / LONG)
        first = np.asarray(turn.apply(first - middle) + middle + by[3:])
        if np.abs(by).max() < 1e-3:
            return first
    return best


LONG = 20.0
"""Length that weighs like one radian where a form is laid on its surface. [mm]"""

MEASURED, STEPS, RIDGE = 300, 60, 1e-6
"""Nodes that are measured and steps that are taken there, and what holds moves that change nothing."""

FURTHEST = 5.0
"""Greatest move of one step. [mm, or that over `LONG`]"""


def _nearest_turn(points: Floats, middles: Floats, target: Floats) -> Floats:
    """Return nodes turned and moved so that the middles of the rings lie nearest to theirs.

    By singular values [1]_; the fronts of the rings count as well, as middles on a straight line leave a turn
    about it free.

    References
    ----------
    .. [1] W. Kabsch, "A solution for the best rotation to relate two sets of vectors", Acta Cryst. A 32,
       1976, 922-923; from memory.
    """
    a, b = middles - middles.mean(axis=0), target - target.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b + 1e-3 * np.diag([1.0, 1.0, 0.0]) * (a**2).sum())
    sign = np.sign(np.linalg.det(u @ vt))
    turn = u @ np.diag([1.0, 1.0, sign]) @ vt
    return np.asarray((points - middles.mean(axis=0)) @ turn + target.mean(axis=0))


def ring_tilts(fabric: StitchFabric, points: Floats) -> Floats:
    """Return the tilt of each round's plane from level towards forward, counted on. [rad]"""
    told = []
    for ring in fabric.rings[1 : len(fabric.piece.rounds) + 1]:
        at = points[ring] - points[ring].mean(axis=0)
        # right-handed rounds run clockwise from above: their area vector looks down
        area = -np.cross(at, np.roll(at, -1, axis=0)).sum(axis=0)
        told.append(np.arctan2(area[0], area[2]))
    return np.unwrap(np.array(told))
